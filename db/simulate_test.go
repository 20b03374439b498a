package db_test

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/db/dbtest"
	"roundkit/planner"
	"roundkit/planner/units"
	"roundkit/reports/seasonfile"
	"roundkit/testdata"
)

var (
	simulateSeed  = flag.Uint64("seed", 1, "seed of the Simulate test: the same seed is the same run")
	simulateRuns  = flag.Int("runs", 2, "how many seeds the Simulate test runs, from -seed on")
	simulateOps   = flag.Int("ops", 200, "how many records each seed of the Simulate test sends")
	simulateTrace = flag.Bool("trace", false, "print who went when, in the Simulate test")
	simulateKills = flag.Bool("kills", false, "clients of the Simulate test give up at any moment, connections are cut, the server is killed")
)

// seasonOf is a database with the invented season in it and two days on the clock after
// its last record.
func seasonOf(t *testing.T, clone func(testing.TB, dbtest.Schema) string) *db.Store {
	t.Helper()
	schema := dbtest.Schema{Name: "simulate", Files: db.Migrations, Up: func(ctx context.Context, url string) error {
		s, err := db.Connect(ctx, url)
		if err != nil {
			return err
		}
		defer s.Close()
		folder, err := fs.Sub(testdata.Demo, "demo")
		if err != nil {
			return err
		}
		in, err := seasonfile.ReadFolder(folder, "demo", seasonfile.Limits{})
		if err != nil {
			return err
		}
		if _, err := s.Load(ctx, in, db.LoadOptions{}); err != nil {
			return err
		}
		// what the server does by itself in its first minute: without, a seed costs half as much again
		_, err = s.Pool().Exec(ctx, "ANALYZE")
		return err
	}}
	s, err := db.Connect(t.Context(), clone(t, schema))
	require.NoError(t, err)
	t.Cleanup(s.Close)
	_, err = s.Pool().Exec(t.Context(), "UPDATE clock SET ahead_by = $1 - clock_timestamp()", simulatedNow)
	require.NoError(t, err)
	return s
}

// simulatedNow is when a simulation begins, two days after the season's last record: the same
// each time, or what is cut to the minute would come in another order.
var simulatedNow = time.Date(2027, time.June, 7, 18, 0, 0, 0, time.UTC)

// TestSimulate lets sixteen clients of two programs record at random on the same few parts:
// jobs, moves, receipts, counts (some of two parts in one command), all at any time of two days
// and so mostly late, and a storm of undos, half of them late too, and of redos; each record is sometimes sent twice at once, or again
// after its answer was lost, then perhaps through the other program. With an odd seed most
// jobs are logged when they are done, as on a busy day.
// Who goes next is decided from the seed, request by request (simulate_turns_test.go), and now
// and then the wire is cut at a commit, which arrives or does not (simulate_wire_test.go).
// Afterwards the ledger must be sound, hold every acknowledged record once, and agree
// with a model that is made of what was acknowledged (simulate_model_test.go); saved as a workbook
// and loaded into an empty database it is the same ledger, record by record.
func TestSimulate(t *testing.T) {
	t.Parallel()
	if *simulateKills {
		simulateWithKills(t, *simulateSeed, *simulateRuns, *simulateOps)
		return
	}
	for run := range *simulateRuns {
		seed := *simulateSeed + uint64(run)
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			t.Parallel() // each has a database of its own
			simulate(t, &simulation{seed: seed, ops: *simulateOps, store: seasonOf(t, dbtest.URL)})
		})
	}
}

// The same seed is the same run: who went when, what each was answered, and what lies where.
func TestSimulateTwice(t *testing.T) {
	t.Parallel()
	const seed, ops = 3, 80
	first, second := &simulation{seed: seed, ops: ops}, &simulation{seed: seed, ops: ops}
	for _, sim := range []*simulation{first, second} {
		sim.store = seasonOf(t, dbtest.URL)
		simulate(t, sim)
	}
	require.Equal(t, first.turns.trace, second.turns.trace)
	const what = "SELECT concat_ws('|', l.code, p.code, b.quantity) FROM balance AS b JOIN lot AS l ON l.id = b.lot_id JOIN place AS p ON p.id = b.place_id ORDER BY 1"
	require.Equal(t, told(t, first.store, what), told(t, second.store, what)) // what happened "now" has the clock's time
	other := &simulation{seed: seed + 1, ops: ops, store: seasonOf(t, dbtest.URL)}
	simulate(t, other)
	require.NotEqual(t, first.turns.trace, other.turns.trace)
}

// TestSimulateKills is a small one of those with -kills.
func TestSimulateKills(t *testing.T) {
	t.Parallel()
	const seed, runs, ops = 1, 1, 80
	simulateWithKills(t, seed, runs, ops)
}

// simulateWithKills does the same on a server that keeps what it has committed, while
// clients give up in the middle, connections are cut and twice in a run the server is
// killed with signal 9. The clients send again until they are answered.
func simulateWithKills(t *testing.T, seed uint64, runs, ops int) {
	server := dbtest.NewDurable(t)
	for run := range runs {
		seed := seed + uint64(run)
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			sim := &simulation{seed: seed, ops: ops, store: seasonOf(t, server.URL), server: server}
			simulate(t, sim)
			require.Equal(t, kills, sim.killed)
			t.Logf("seed %d: %d connections cut, the server killed %d times", seed, sim.cut, sim.killed)
		})
	}
}

const (
	simulatedClients = 16
	kills            = 2 // of the server, in a run
)

// sent is one record as its client knows it.
type sent struct {
	id, undoes uuid.UUID
	kind       string
	pair       bool          // two records of one command, or what took them back
	members    []uuid.UUID   // its records, in the order in which they came
	of         []uuid.UUID   // what each takes back, or puts back
	counts     []db.Counting // what each counted
	answers    []db.Recorded
}

// takes fills in the records of an undo, or a redo, of a command's: the undo takes the last
// first, the redo puts the first back first.
func (x *sent) takes(of []uuid.UUID) {
	x.of = slices.Clone(of)
	slices.Reverse(x.of)
	x.members = []uuid.UUID{x.id}
	for _, id := range x.of[1:] {
		x.members = append(x.members, db.MemberID(x.id, id))
	}
}

type simulation struct {
	seed   uint64
	ops    int
	store  *db.Store
	here   *db.Store       // the program of one half of the clients
	there  *db.Store       // that of the other half
	wire   *wire           // of both
	turns  *turns          // nil: all go at once
	server *dbtest.Durable // killed now and then; nil: nothing is disturbed
	now    time.Time

	broken atomic.Bool // the server could not be brought back: nobody tries on

	mu    sync.Mutex
	acked []sent
	never map[uuid.UUID]bool // refused

	sends, cut, killed int
}

func simulate(t *testing.T, sim *simulation) {
	s, seed := sim.store, sim.seed
	sim.now, sim.never = simulatedNow, map[uuid.UUID]bool{}
	before := readModel(t, s)
	if sim.server == nil {
		sim.turns = newTurns(seed, s.Pool())
	}
	sim.wire = &wire{turns: sim.turns, look: s.Pool()}
	for _, program := range []**db.Store{&sim.here, &sim.there} {
		other, err := s.Another(t.Context(), sim.wire.config)
		require.NoError(t, err)
		t.Cleanup(other.Close)
		_, err = other.Undo(t.Context(), db.Act{ID: uuid.New(), Person: "u1"}, uuid.NewString()) // it reads the plan before it
		require.ErrorIs(t, err, db.ErrNotFound)
		*program = other
	}
	faults := make(chan error, sim.ops)
	var clients []func()
	for client := range simulatedClients {
		clients = append(clients, sim.turns.beside(t.Context(), fmt.Sprint("client ", client), func(ctx context.Context) {
			chance := rand.New(rand.NewPCG(seed, uint64(client)))
			for op := client; op < sim.ops && !sim.broken.Load(); op += simulatedClients {
				if err := sim.one(t, ctx, chance, client%2 == 1); err != nil {
					faults <- err
				}
			}
		}))
	}
	if sim.turns != nil {
		err := sim.turns.run(t)
		if *simulateTrace || t.Failed() {
			t.Log("who went when:\n" + strings.Join(sim.turns.trace, "\n"))
		}
		require.NoError(t, err, "seed %d", seed)
	}
	for _, wait := range clients {
		wait()
	}
	close(faults)
	for err := range faults {
		require.NoError(t, err, "seed %d", seed)
	}
	s.Pool().Reset() // connections that were cut while idle
	require.False(t, sim.broken.Load())
	requireSound(t, s)
	requireTagsInOnePlace(t, s)
	kept := readModel(t, s)
	for id := range sim.never {
		require.Nil(t, kept.entries[id], "seed %d: refused, and recorded", seed)
	}
	m, lost := heard(t, s, sim.acked, kept, seed)
	m.requireKept(t, s, before, kept, lost, seed)
	m.requireTogether(t, seed)
	m.requireBalances(t, before, seed)
	m.requireCounts(t, seed)
	m.requireTaken(t, before, seed)
	requireReloads(t, s)
	require.Greater(t, len(sim.acked), sim.ops/2)
	require.Positive(t, sim.wire.reached, "commits that were not heard of")
	require.Positive(t, sim.wire.never, "commits that were lost")
}

// one sends one random record until it is answered, through one of the two programs; what
// is sent twice goes through the other as well.
func (sim *simulation) one(t *testing.T, ctx context.Context, chance *rand.Rand, second bool) error {
	here, there := sim.here, sim.there
	if second {
		here, there = there, here
	}
	part := simulatedParts[chance.IntN(len(simulatedParts))]
	other := simulatedParts[chance.IntN(len(simulatedParts))]
	var raw [16]byte
	for i := range raw {
		raw[i] = byte(chance.Uint32())
	}
	raw[6], raw[8] = raw[6]&0x0f|0x70, raw[8]&0x3f|0x80 // version 7, as people's records have: the ledger's own are 5
	id := uuid.UUID(raw)
	sim.turns.stop(ctx, "begins "+id.String()[:13], nil, nil)
	const window = 47 * time.Hour
	at := sim.now.Add(-time.Duration(chance.Int64N(int64(window)))).Truncate(time.Microsecond)
	if chance.IntN(8) == 0 {
		at = at.Truncate(time.Minute) // two at the same minute: the number of arrival decides
	}
	q := units.Quantity(1 + chance.IntN(4))
	a := db.Act{ID: id, Person: "u1", At: at}
	x := sent{id: id, kind: "job", members: []uuid.UUID{id}}
	busy := sim.seed%2 == 1
	if busy && chance.IntN(4) > 0 {
		at = time.Time{}
	}
	send := func(ctx context.Context, s *db.Store) (db.Recorded, error) {
		return s.Record(ctx, db.Request{ID: id, Kind: "job", Person: "u1", At: at, Job: &planner.Job{Service: "LLS", Assembly: "F02", Round: "ZDR"},
			JobParts: []planner.JobPart{{Part: part.code, Quantity: &q}, {Part: other.code, Quantity: &q}}})
	}
	switch kind := chance.IntN(100); {
	case kind < 35: // a job, as above
	case kind < 47:
		x.kind = "move"
		from, to := part.drawer, "T-D08"
		if chance.IntN(2) == 0 {
			from, to = to, from
		}
		send = func(ctx context.Context, s *db.Store) (db.Recorded, error) {
			return s.MoveStock(ctx, db.Move{Act: a, Kind: "move", Part: part.code, Quantity: q, From: from, To: to})
		}
	case kind < 52:
		x.kind = "receipt"
		send = func(ctx context.Context, s *db.Store) (db.Recorded, error) {
			return s.Receive(ctx, db.Receipt{Act: a, Part: part.code, Quantity: q, To: part.drawer})
		}
	case kind < 57: // one thing, moved by several people
		x.kind = "move"
		tag, to := []string{"SPF-58#1", "SPF-58#2"}[chance.IntN(2)], []string{"T-D05", "W-A4"}[chance.IntN(2)]
		a.At = time.Time{}
		send = func(ctx context.Context, s *db.Store) (db.Recorded, error) {
			return s.MoveStock(ctx, db.Move{Act: a, Kind: "move", Tag: tag, To: to})
		}
	case kind < 61: // two parts in one command: one record to take back
		x.kind = "count"
		place := func(countedAt []string) string { return countedAt[len(countedAt)-1] }
		lines := []db.Counting{{ID: id, At: place(part.countedAt), Part: part.code, Counted: units.Quantity(chance.IntN(6))}}
		if other.code != part.code {
			second := id
			second[15]++ // of the same version
			x.pair = true
			lines = append(lines, db.Counting{ID: second, At: place(other.countedAt), Part: other.code, Counted: units.Quantity(chance.IntN(6))})
			x.members = append(x.members, second)
		}
		x.counts = lines
		send = func(ctx context.Context, s *db.Store) (done db.Recorded, err error) {
			each, err := s.CountParts(ctx, a, lines)
			for i, d := range each {
				if i == 0 {
					done = d
					continue
				}
				done.Entries = append(done.Entries, d.Entries...)
			}
			return done, err
		}
	case kind < 75:
		x.kind = "count"
		most := 50
		if busy {
			most = 6 // drawers run out
		}
		counted, place := units.Quantity(chance.IntN(most)), part.countedAt[chance.IntN(len(part.countedAt))]
		x.counts = []db.Counting{{ID: id, At: place, Part: part.code, Counted: counted}}
		send = func(ctx context.Context, s *db.Store) (db.Recorded, error) {
			return s.CountPart(ctx, a, place, part.code, counted)
		}
	case kind < 82:
		x.kind = "redo"
		var undone []sent
		pairs := chance.IntN(2) == 0
		sim.mu.Lock()
		for _, a := range sim.acked {
			if a.kind == "undo" && a.pair == pairs {
				undone = append(undone, a)
			}
		}
		sim.mu.Unlock()
		if len(undone) == 0 {
			return nil
		}
		of := undone[chance.IntN(len(undone))]
		x.takes(of.of)
		send = func(ctx context.Context, s *db.Store) (db.Recorded, error) {
			done, err := s.Redo(ctx, a, of.id.String())
			return done.Recorded, err
		}
	default:
		x.kind = "undo"
		sim.mu.Lock()
		if len(sim.acked) > 0 {
			of := sim.acked[chance.IntN(len(sim.acked))]
			x.undoes, x.pair = of.id, of.pair
			x.takes(of.members)
		}
		if busy && chance.IntN(3) == 0 { // a count that may lie across an undo
			for _, a := range slices.Backward(sim.acked) {
				if a.kind == "count" {
					x.undoes, x.pair = a.id, a.pair
					x.takes(a.members)
					break
				}
			}
		}
		sim.mu.Unlock()
		if x.undoes == uuid.Nil {
			return nil
		}
		if chance.IntN(2) == 0 {
			a.At = time.Time{}
		}
		send = func(ctx context.Context, s *db.Store) (db.Recorded, error) {
			done, err := s.Undo(ctx, a, x.undoes.String())
			return done.Recorded, err
		}
	}
	var (
		twin       db.Recorded
		twinErr    = db.ErrRefused
		seed       = chance.Uint64()
		seedOfTwin = chance.Uint64()
		wait       = func() {}
	)
	if chance.IntN(3) == 0 { // sent twice at once, as after a lost connection
		wait = sim.turns.beside(ctx, "the twin of "+id.String()[:13], func(ctx context.Context) {
			twin, twinErr = sim.until(t, ctx, there, seedOfTwin, send)
		})
	}
	answer, err := sim.until(t, ctx, here, seed, send)
	wait()
	if err == nil {
		x.answers = append(x.answers, answer)
	}
	if twinErr == nil && (err == nil || errors.Is(err, db.ErrRefused)) { // one came before, one after something that makes the difference
		x.answers, err = append(x.answers, twin), nil
	}
	if err == nil && chance.IntN(5) == 0 { // the answer was lost: again
		again, err := sim.until(t, ctx, there, chance.Uint64(), send)
		if err != nil {
			return fmt.Errorf("sent again: %w", err)
		}
		if !again.Repeat {
			return fmt.Errorf("%s %s was recorded twice", x.kind, id)
		}
		x.answers = append(x.answers, again)
	}
	sim.turns.stop(ctx, fmt.Sprint("heard of ", x.kind, " ", id.String()[:13], ": ", said(err)), nil, nil)
	sim.mu.Lock()
	defer sim.mu.Unlock()
	switch {
	case errors.Is(err, db.ErrRefused):
		sim.never[id] = true
		return nil
	case err != nil:
		return err
	}
	sim.acked = append(sim.acked, x)
	return nil
}

func said(err error) string {
	switch {
	case errors.Is(err, db.ErrRefused):
		return "refused"
	case err != nil:
		return "failed"
	}
	return "recorded"
}

// until sends until there is an answer: a client that gave up, or whose connection was
// cut, does not know what became of its record, and sends the very same again.
func (sim *simulation) until(t *testing.T, ctx context.Context, s *db.Store, seed uint64, send func(context.Context, *db.Store) (db.Recorded, error)) (done db.Recorded, err error) {
	if sim.server == nil {
		return send(ctx, s)
	}
	const (
		patience = time.Minute // a killed server is back long before
		pause    = 20 * time.Millisecond
		giveUp   = 8 * time.Millisecond
	)
	chance := rand.New(rand.NewPCG(seed, 0))
	for start := time.Now(); time.Since(start) < patience && !sim.broken.Load(); time.Sleep(pause) {
		if err := sim.disturb(t); err != nil {
			sim.broken.Store(true)
			return done, err
		}
		ctx, stop := ctx, func() {}
		if chance.IntN(3) == 0 {
			ctx, stop = context.WithTimeout(ctx, time.Duration(chance.Int64N(int64(giveUp))))
		}
		done, err = send(ctx, s)
		stop()
		if err == nil || errors.Is(err, db.ErrRefused) {
			return done, err
		}
	}
	return done, err
}

// disturb cuts a connection at every 10th send, and kills the server twice, after a third
// and two thirds of the records: by count, so that a slow machine gets on all the same.
func (sim *simulation) disturb(t *testing.T) error {
	const cutEvery = 10
	sim.mu.Lock()
	sim.sends++
	cut := sim.sends%cutEvery == 0
	kill := sim.killed < kills && len(sim.acked)+len(sim.never) >= (sim.killed+1)*sim.ops/(kills+1)
	if kill {
		sim.killed++
	}
	if cut {
		sim.cut++
	}
	sim.mu.Unlock()
	if kill {
		return sim.server.Kill(t.Context())
	}
	if cut { // the one who cuts may be hit too, or find the server gone
		_, _ = sim.store.Pool().Exec(t.Context(), `SELECT pg_terminate_backend(pid) FROM pg_stat_activity
			WHERE datname = current_database() AND pid <> pg_backend_pid() ORDER BY state = 'active' DESC, random() LIMIT 1`)
	}
	return nil
}

func requireTagsInOnePlace(t *testing.T, s *db.Store) {
	t.Helper()
	var n int
	require.NoError(t, s.Pool().QueryRow(t.Context(), `SELECT count(*) FROM (SELECT tag_id FROM balance
		WHERE kept AND quantity > 0 AND tag_id IS NOT NULL GROUP BY tag_id HAVING count(*) > 1) AS x`).Scan(&n))
	require.Zero(t, n, "a thing in two places")
	require.NoError(t, s.Pool().QueryRow(t.Context(), `SELECT count(*) FROM balance AS b JOIN tag AS t ON t.id = b.tag_id
		JOIN part AS p ON p.id = t.part_id WHERE b.kept AND b.quantity > 1 AND p.unit = 'pc'`).Scan(&n))
	require.Zero(t, n, "a thing twice in a place")
}
