package db_test

import (
	"errors"
	"flag"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/units"
)

var (
	simulateSeed = flag.Uint64("seed", 1, "seed of the Simulate test: the same seed makes the same requests")
	simulateRuns = flag.Int("runs", 2, "how many seeds the Simulate test runs, from -seed on")
)

// acknowledged is what the clients were told is recorded, each id with its request.
type acknowledged struct {
	mu  sync.Mutex
	ids map[uuid.UUID]bool
}

// TestSimulate lets sixteen clients record at random on the same few parts: jobs, moves,
// counts (also late ones) and undos, each sometimes sent twice, at once or again. Whatever
// order it comes to, every acknowledged record is there once, lots sum to zero, nothing
// of ours is below zero, balances are the sums of the movements, and nobody was refused
// for anything but a reason. Run more: go test ./db -run Simulate -seed N -runs 100
func TestSimulate(t *testing.T) {
	t.Parallel()
	for run := range *simulateRuns {
		seed := *simulateSeed + uint64(run)
		s := demoStore(t)
		now, _, err := s.Now(t.Context())
		require.NoError(t, err)
		var done acknowledged
		done.ids = map[uuid.UUID]bool{}
		var clients sync.WaitGroup
		const many, each = 16, 12
		faults := make(chan error, many*each)
		for client := range many {
			clients.Go(func() {
				chance := rand.New(rand.NewPCG(seed, uint64(client)))
				for range each {
					if err := oneRecord(t, s, chance, now, &done); err != nil {
						faults <- err
					}
				}
			})
		}
		clients.Wait()
		close(faults)
		for err := range faults {
			require.NoError(t, err, "seed %d", seed)
		}
		requireSound(t, s)
		for id := range done.ids {
			var n int
			require.NoError(t, s.Pool().QueryRow(t.Context(), "SELECT count(*) FROM entry AS e JOIN entry_seq AS q ON q.entry_id = e.id WHERE e.id = $1", id).Scan(&n))
			require.Equal(t, 1, n, "seed %d: acknowledged record %s", seed, id)
		}
		require.Greater(t, len(done.ids), many*each/2)
	}
}

// oneRecord sends one random record, sometimes twice. Refusals with a reason are no fault.
func oneRecord(t *testing.T, s *db.Store, chance *rand.Rand, now time.Time, done *acknowledged) error {
	parts := []string{"CRW-10", "FNS-10", "WIP-40", "OSL-40"}
	drawer := map[string]string{"CRW-10": "T-D03", "FNS-10": "T-D03", "WIP-40": "T-D01", "OSL-40": "T-D01"}
	part := parts[chance.IntN(len(parts))]
	id, err := uuid.NewV7()
	if err != nil {
		return err
	}
	at := now.Add(-time.Duration(chance.IntN(48*60)) * time.Minute) // some before the counts of the last two days
	q := units.Quantity(1 + chance.IntN(4))
	job := db.Request{ID: id, Kind: "job", Person: "u1", At: at, Job: &planner.Job{Service: "LLS", Assembly: "F02", Round: "ZDR"},
		JobParts: []planner.JobPart{{Part: part, Quantity: &q}, {Part: parts[chance.IntN(len(parts))], Quantity: &q}}}
	send := func() error {
		_, err := s.Record(t.Context(), job)
		return err
	}
	switch kind := chance.IntN(10); {
	case kind < 4: // jobs, as above
	case kind < 6:
		send = func() error {
			_, err := s.MoveStock(t.Context(), db.Move{Act: db.Act{ID: id, Person: "u2", At: at}, Kind: "move", Part: part, Quantity: q, From: drawer[part], To: "T-D08"})
			return err
		}
	case kind < 8:
		counted := units.Quantity(chance.IntN(60))
		send = func() error {
			_, err := s.CountPart(t.Context(), db.Act{ID: id, Person: "u5", At: at}, drawer[part], part, counted)
			return err
		}
	default:
		done.mu.Lock()
		victim := uuid.Nil
		for known := range done.ids {
			victim = known
			break
		}
		done.mu.Unlock()
		if victim == uuid.Nil {
			return nil
		}
		send = func() error {
			_, err := s.Undo(t.Context(), db.Act{ID: id, Person: "u1"}, victim.String())
			return err
		}
	}
	var errs [2]error
	if chance.IntN(3) == 0 { // sent twice at once, as after a lost connection
		var both sync.WaitGroup
		both.Go(func() { errs[0] = send() })
		both.Go(func() { errs[1] = send() })
		both.Wait()
	} else {
		errs[0] = send()
	}
	if err := errors.Join(errs[:]...); err != nil {
		if errors.Is(err, db.ErrRefused) {
			return nil
		}
		return err
	}
	done.mu.Lock()
	defer done.mu.Unlock()
	done.ids[id] = true
	return nil
}
