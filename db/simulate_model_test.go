package db_test

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// The model: it knows what people did and when, and counts, as they were acknowledged, and
// works out from those alone what each drawer must hold. It is made of no movement rows. What
// the ledger booked by itself (differences, what it took back of late records) it does not
// reckon with; only what was found because a drawer would have stood below nothing.

// simulatedParts are few, so that clients meet. One is counted truck-wide: there only the
// truck's sum is known.
var simulatedParts = []struct {
	code, drawer string
	countedAt    []string
}{
	{"CRW-10", "T-D03", []string{"T-D03", "T-D08"}},
	{"FNS-10", "T-D03", []string{"T-D03", "T-D08"}},
	{"WIP-40", "T-D01", []string{"T-D01", "T-D08"}},
	{"FRG-40", "T-D01", []string{"truck"}},
}

type simMove struct {
	Lot, Tag, From, To string
	Quantity           units.Quantity
}

func movesOf(done db.Recorded, id uuid.UUID) (moves []simMove) {
	for _, e := range done.Entries {
		if e.ID != id {
			continue
		}
		for _, m := range e.Moves {
			moves = append(moves, simMove{m.Lot, m.Tag, m.From, m.To, m.Quantity})
		}
	}
	return moves
}

type simEntry struct {
	id, undoes uuid.UUID
	kind, ref  string
	at         time.Time
	seq        int64
	moves      []simMove
	place      string // counted there
	part       string // counted
	counted    units.Quantity
}

// later reports whether e came after o: by time, at the same time by arrival.
func (e *simEntry) compare(o *simEntry) int {
	return cmp.Or(e.at.Compare(o.at), cmp.Compare(e.seq, o.seq))
}

type simModel struct {
	entries   map[uuid.UUID]*simEntry
	unclaimed map[uuid.UUID]bool // done since the season was loaded, and by people
	undoneBy  map[uuid.UUID]*simEntry
	redoes    map[uuid.UUID]uuid.UUID   // a redo -> the record that it puts back
	together  map[uuid.UUID][]uuid.UUID // a command -> its records
	part      map[string]string         // lot -> part
	held      map[[2]string]units.Quantity
	lots      map[simKey]units.Quantity
}

// readModel reads it from the ledger's own rows: of a simulation, what it held before, and what
// the one that was heard is compared with.
func readModel(t *testing.T, s *db.Store) *simModel {
	t.Helper()
	m := &simModel{entries: map[uuid.UUID]*simEntry{}, unclaimed: map[uuid.UUID]bool{}, undoneBy: map[uuid.UUID]*simEntry{},
		redoes: map[uuid.UUID]uuid.UUID{}, together: map[uuid.UUID][]uuid.UUID{}, part: map[string]string{}, held: map[[2]string]units.Quantity{}, lots: map[simKey]units.Quantity{}}
	rows, err := s.Pool().Query(t.Context(), `SELECT e.id, coalesce(e.undoes, '00000000-0000-0000-0000-000000000000'), e.kind, e.reference, e.happened_at, s.seq,
			coalesce(p.code, ''), coalesce(q.code, ''), coalesce(c.counted, 0)
		FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id LEFT JOIN count_line AS c ON c.entry_id = e.id AND c.lot_id IS NULL
			LEFT JOIN place AS p ON p.id = c.place_id LEFT JOIN part AS q ON q.id = c.part_id
		WHERE e.code IS NULL AND e.kind <> 'stock'`)
	require.NoError(t, err)
	for rows.Next() {
		e := &simEntry{}
		require.NoError(t, rows.Scan(&e.id, &e.undoes, &e.kind, &e.ref, &e.at, &e.seq, &e.place, &e.part, &e.counted))
		m.entries[e.id] = e
		if e.undoes != uuid.Nil {
			m.undoneBy[e.undoes] = e
		}
	}
	require.NoError(t, rows.Err())
	for sql, pair := range map[string]func(a, b uuid.UUID){
		"SELECT r.entry_id, u.undoes FROM redo AS r JOIN entry AS u ON u.id = r.redoes": func(redo, of uuid.UUID) { m.redoes[redo] = of },
		"SELECT command, entry_id FROM together ORDER BY entry_id":                      func(command, id uuid.UUID) { m.together[command] = append(m.together[command], id) },
	} {
		rows, err := s.Pool().Query(t.Context(), sql)
		require.NoError(t, err)
		for rows.Next() {
			var a, b uuid.UUID
			require.NoError(t, rows.Scan(&a, &b))
			pair(a, b)
		}
		require.NoError(t, rows.Err())
	}
	rows, err = s.Pool().Query(t.Context(), `SELECT m.entry_id, q.code, l.code, coalesce(t.code, ''), f.code, g.code, m.quantity
		FROM movement AS m JOIN lot AS l ON l.id = m.lot_id JOIN part AS q ON q.id = l.part_id JOIN place AS f ON f.id = m.from_id
			JOIN place AS g ON g.id = m.to_id LEFT JOIN tag AS t ON t.id = m.tag_id ORDER BY m.entry_id, m.n`)
	require.NoError(t, err)
	for rows.Next() {
		var id uuid.UUID
		var part string
		var v simMove
		require.NoError(t, rows.Scan(&id, &part, &v.Lot, &v.Tag, &v.From, &v.To, &v.Quantity))
		m.part[v.Lot] = part
		if e := m.entries[id]; e != nil {
			e.moves = append(e.moves, v)
		}
	}
	require.NoError(t, rows.Err())
	rows, err = s.Pool().Query(t.Context(), `SELECT q.code, l.code, p.code, b.quantity FROM balance AS b JOIN lot AS l ON l.id = b.lot_id
		JOIN part AS q ON q.id = l.part_id JOIN place AS p ON p.id = b.place_id WHERE b.kept`)
	require.NoError(t, err)
	for rows.Next() {
		var part string
		var k simKey
		var q units.Quantity
		require.NoError(t, rows.Scan(&part, &k.lot, &k.place, &q))
		m.held[[2]string{part, k.place}] += q
		m.lots[k] += q
	}
	require.NoError(t, rows.Err())
	for id, e := range m.entries {
		if !m.derived(e) {
			m.unclaimed[id] = true
		}
	}
	return m
}

// heard is the model of what was acknowledged, and of nothing else. Where every answer that
// said what a record did beside was lost, the parts' histories on the screen say it. Of the
// ledger as it is (kept) it takes only what lies where in the end, and of two entries at one
// minute which came first.
func heard(t *testing.T, s *db.Store, acked []sent, kept *simModel, seed uint64) (m *simModel, lost map[uuid.UUID]bool) {
	t.Helper()
	m = &simModel{entries: map[uuid.UUID]*simEntry{}, undoneBy: map[uuid.UUID]*simEntry{}, redoes: map[uuid.UUID]uuid.UUID{},
		together: map[uuid.UUID][]uuid.UUID{}, part: map[string]string{}, held: kept.held, lots: kept.lots}
	lost = map[uuid.UUID]bool{}
	for _, x := range acked {
		lost[x.id] = true
		for _, a := range x.answers {
			if !a.Repeat {
				delete(lost, x.id)
				m.add(a)
			}
		}
	}
	for _, x := range acked {
		for _, a := range x.answers {
			for _, e := range a.Entries { // it answers the same again
				if was := m.entries[e.ID]; was != nil {
					require.Equal(t, was.moves, movesOf(a, e.ID), "seed %d: %s %s says again what it did", seed, x.kind, e.ID)
				}
			}
			m.add(a)
		}
		if len(x.members) > 1 {
			m.together[x.id] = x.members
		}
		for i, id := range x.members {
			e := m.entries[id]
			require.NotNil(t, e, "seed %d: %s %s was answered for without %s", seed, x.kind, x.id, id)
			switch {
			case x.kind == "undo":
				e.undoes = x.of[i]
			case x.kind == "redo":
				m.redoes[id] = x.of[i]
				if of := m.entries[x.of[i]]; of != nil {
					e.place, e.part, e.counted = of.place, of.part, of.counted
				}
			case len(x.counts) > 0:
				c := x.counts[i]
				e.place, e.part, e.counted = c.At, c.Part, c.Counted
			}
		}
	}
	if len(lost) > 0 {
		m.look(t, s)
	}
	for _, e := range m.entries {
		if e.undoes != uuid.Nil {
			m.undoneBy[e.undoes] = e
		}
	}
	for id, of := range maps.Clone(m.redoes) { // what was found for it is found again
		if m.entries[id].kind == "count" {
			continue // a late count: what it finds is its own
		}
		for _, w := range m.entries {
			if found := m.foundFor(w); found == nil || found.id != of || m.undoneBy[w.id] == nil {
				continue
			}
			v := w.moves[0]
			moved := ledger.Undo{Entry: w.id, Moves: []ledger.Move{{Lot: v.Lot, Tag: v.Tag, From: v.From, To: v.To, Quantity: v.Quantity}}}
			for _, back := range []ledger.Undo{moved, {Entry: w.id}} { // under a count it moves nothing
				if again := m.entries[ledger.RedoneID(id, back)]; again != nil {
					m.redoes[again.id] = w.id
				}
			}
		}
	}
	for id, e := range m.entries {
		if k := kept.entries[id]; k != nil {
			e.seq = k.seq
		}
	}
	return m, lost
}

func (m *simModel) add(a db.Recorded) {
	for _, e := range a.Entries {
		if m.entries[e.ID] == nil {
			m.entries[e.ID] = &simEntry{id: e.ID, undoes: e.Undoes.UUID, kind: e.Kind, ref: e.Reference, at: e.At.UTC(), moves: movesOf(a, e.ID)}
		}
	}
	maps.Copy(m.part, a.Parts)
}

// look takes from the parts' histories what no answer told of: what the ledger booked by itself
// because of records of which only a repeat was heard.
func (m *simModel) look(t *testing.T, s *db.Store) {
	t.Helper()
	made := map[uuid.UUID]*simEntry{}
	for _, p := range simulatedParts {
		moved, _, err := s.History(t.Context(), p.code, db.SnapshotOptions{})
		require.NoError(t, err)
		for _, v := range moved {
			if _, err := uuid.Parse(v.Reference); m.entries[v.Entry] != nil || v.Entry.Version() != 5 || err != nil && !v.Undo {
				continue
			}
			e := made[v.Entry]
			if e == nil {
				e = &simEntry{id: v.Entry, kind: v.Kind, ref: v.Reference, at: v.At.UTC()}
				if v.Undo {
					e.kind = "undo"
				}
				made[v.Entry] = e
			}
			m.part[v.Lot] = p.code
			e.moves = append(e.moves, simMove{v.Lot, v.Tag, v.From, v.To, v.Quantity})
		}
	}
	for id, e := range made {
		if e.kind != "undo" {
			m.entries[id] = e
		}
	}
	for cause, undo := range maps.Clone(m.entries) { // an undo names none: its id tells whose it is
		if undo.kind != "undo" || undo.undoes == uuid.Nil {
			continue
		}
		for id := range maps.Clone(m.entries) {
			if e := made[ledger.TakenBackID(cause, id)]; e != nil {
				e.undoes, m.entries[e.id] = id, e
			}
		}
	}
}

// requireKept: the ledger holds what was acknowledged, as it was said, each once, and nothing
// that nobody was told of.
func (m *simModel) requireKept(t *testing.T, s *db.Store, before, kept *simModel, lost map[uuid.UUID]bool, seed uint64) {
	t.Helper()
	rows, err := s.Pool().Query(t.Context(), "SELECT id FROM entry WHERE xmin IN (SELECT xmin FROM entry WHERE id = ANY ($1))", slices.Collect(maps.Keys(lost)))
	require.NoError(t, err)
	beside, err := pgx.CollectRows(rows, pgx.RowTo[uuid.UUID]) // written in the transactions that nobody heard of
	require.NoError(t, err)
	for id, e := range m.entries {
		k := kept.entries[id]
		require.NotNil(t, k, "seed %d: acknowledged %s %s is not there", seed, e.kind, id)
		require.Equal(t, k.moves, e.moves, "seed %d: %s %s says what it did", seed, e.kind, id)
		require.WithinDuration(t, k.at, e.at, 0, "seed %d: %s %s says when", seed, e.kind, id)
		was, is := *k, *e
		was.at, was.moves, is.at, is.moves = time.Time{}, nil, time.Time{}, nil
		require.Equal(t, was, is, "seed %d: %s %s says what it is", seed, e.kind, id)
		require.ElementsMatch(t, kept.together[id], m.together[id], "seed %d: %s %s says what belongs to it", seed, e.kind, id)
		if back := kept.undoneBy[kept.redoes[id]]; back != nil && m.entries[back.id] == nil {
			continue // nobody was told that it was taken back, nor need have been: nothing moved
		}
		require.Equal(t, kept.redoes[id], m.redoes[id], "seed %d: %s %s says what it puts back", seed, e.kind, id)
	}
	for id, k := range kept.entries {
		if before.entries[id] == nil && (id.Version() != 5 || !slices.Contains(beside, id)) {
			require.NotNil(t, m.entries[id], "seed %d: nobody was told of %s %s", seed, k.kind, id)
		}
	}
}

// derived reports whether the ledger made the entry itself.
func (m *simModel) derived(e *simEntry) bool {
	switch {
	case e.kind == "undo":
		return e.id != uuid.Nil && m.entries[e.undoes] != nil && m.derived(m.entries[e.undoes])
	case e.kind == "count":
		return e.place == ""
	}
	return e.kind == "receipt" && e.id.Version() == 5 || e.kind == "weighing"
}

// foundFor returns the record because of which a drawer would have stood below nothing.
func (m *simModel) foundFor(e *simEntry) *simEntry {
	cause, err := uuid.Parse(e.ref)
	if of := m.entries[m.redoes[e.id]]; err == nil && of != nil && m.foundFor(of) != nil { // found again; under a count it moves nothing
		return m.entries[cause]
	}
	if err != nil || len(e.moves) != 1 {
		return nil
	}
	v := e.moves[0]
	if e.id != ledger.Because(cause, "found "+v.Lot+" "+v.Tag+" "+v.To) {
		return nil
	}
	return m.entries[cause]
}

// ofFound reports whether the entry is what was found, or takes that back at its own time.
func (m *simModel) ofFound(e *simEntry) bool {
	if was := m.entries[e.undoes]; was != nil && was.at.Equal(e.at) {
		e = was
	}
	return m.foundFor(e) != nil
}

// requireFoundUndone: what was found is taken back with its record, at the later of the
// undo's minute and its own.
func (m *simModel) requireFoundUndone(t *testing.T) {
	t.Helper()
	for id, e := range m.entries {
		cause, back := m.foundFor(e), m.undoneBy[id]
		if cause == nil || back == nil {
			continue
		}
		undo := m.undoneBy[cause.id]
		require.NotNil(t, undo, "what was found went without its record")
		require.Equal(t, latest(undo.at, e.at), back.at, "what %s found", cause.id)
	}
}

// requireTogether: what one command recorded is taken back as one, and put back as one.
func (m *simModel) requireTogether(t *testing.T, seed uint64) {
	t.Helper()
	redone := map[uuid.UUID]bool{}
	for _, of := range m.redoes {
		redone[of] = true
	}
	for command, members := range m.together {
		for _, id := range members {
			require.Equal(t, m.undoneBy[command] != nil, m.undoneBy[id] != nil, "seed %d: %s of %s, undone", seed, id, command)
			require.Equal(t, redone[command], redone[id], "seed %d: %s of %s, put back", seed, id, command)
		}
	}
}

// below lists the places that a count of the place looks at.
func below(place string) []string {
	if place == "truck" {
		return []string{"truck", "T-D01", "T-D02", "T-D03", "T-D04", "T-D05", "T-D06", "T-D07", "T-D08", "T-L01", "T-L02", "T-B01", "T-W01"}
	}
	return []string{place}
}

// delta is what an entry's own movements did to a part in a scope.
func (m *simModel) delta(e *simEntry, part string, places []string) (d units.Quantity) {
	for _, v := range e.moves {
		if m.part[v.Lot] != part {
			continue
		}
		if slices.Contains(places, v.To) {
			d += v.Quantity
		}
		if slices.Contains(places, v.From) {
			d -= v.Quantity
		}
	}
	return d
}

// requireBalances works out what each place must hold and compares.
func (m *simModel) requireBalances(t *testing.T, before *simModel, seed uint64) {
	t.Helper()
	m.requireFoundUndone(t)
	for _, p := range simulatedParts {
		for _, place := range p.countedAt {
			places := below(place)
			var start, have units.Quantity
			for _, x := range places {
				start += before.held[[2]string{p.code, x}]
				have += m.held[[2]string{p.code, x}]
			}
			want := m.expected(t, before, p.code, place, start)
			require.Equal(t, want, have, "seed %d: %s at %s, at first %d%s", seed, p.code, place, start, m.story(before, p.code, places))
		}
	}
}

func (m *simModel) expected(t *testing.T, before *simModel, part, place string, start units.Quantity) units.Quantity {
	places := below(place)
	var counts []*simEntry
	for id, e := range m.entries {
		if before.entries[id] == nil && e.kind == "count" && e.place == place && e.part == part && m.undoneBy[id] == nil {
			counts = append(counts, e)
		}
	}
	slices.SortFunc(counts, (*simEntry).compare)
	last := &simEntry{}
	if len(counts) > 0 {
		last = counts[len(counts)-1]
		start = last.counted
	}
	// a count between a record and its undo: it says what is there, and the undo adds nothing
	between := func(was, e *simEntry) bool {
		return slices.ContainsFunc(counts, func(c *simEntry) bool { return c.compare(was) > 0 && c.compare(e) <= 0 })
	}
	// what is put back had happened after all: a count since the record knew of it
	done := func(e *simEntry) units.Quantity {
		if of := m.entries[m.redoes[e.id]]; of != nil {
			if between(of, e) {
				return 0
			}
			e = of
		}
		return m.delta(e, part, places)
	}
	for id, e := range m.entries {
		if before.entries[id] != nil || e.kind == "count" && e.place != "" {
			continue
		}
		if found := m.foundFor(e); found != nil {
			require.NotEqual(t, "undo", found.kind, "an undo finds nothing: it is refused")
			if e.compare(last) > 0 && m.undoneBy[found.id] == nil {
				start += done(e)
			}
			continue
		}
		if m.derived(e) || e.compare(last) <= 0 {
			continue
		}
		was := m.entries[e.undoes]
		switch _, redo := m.redoes[e.id]; {
		case redo && m.undoneBy[id] != nil: // both or, with a count between them, neither
		case e.kind != "undo":
			start += done(e)
		case was.kind == "count" || between(was, e) || m.redoes[was.id] != uuid.Nil:
		default:
			start -= m.delta(was, part, places)
		}
	}
	return start
}

// touched lists the parts that a record counted or moved, or took back.
func (m *simModel) touched(e *simEntry) (parts []string) {
	if e.part != "" {
		parts = append(parts, e.part)
	}
	moves := e.moves
	if was := m.entries[e.undoes]; was != nil {
		moves = append(slices.Clone(moves), was.moves...)
		if was.part != "" {
			parts = append(parts, was.part)
		}
	}
	for _, v := range moves {
		parts = append(parts, m.part[v.Lot])
	}
	slices.Sort(parts)
	return slices.Compact(parts)
}

// story tells what happened to a part in a scope, for whoever looks for the fault.
func (m *simModel) story(before *simModel, part string, places []string) string {
	var all []*simEntry
	for id, e := range m.entries {
		if before.entries[id] == nil && (m.delta(e, part, places) != 0 || e.part == part && slices.Contains(places, e.place) ||
			e.undoes != uuid.Nil && m.delta(m.entries[e.undoes], part, places) != 0 ||
			m.entries[m.redoes[id]] != nil && m.delta(m.entries[m.redoes[id]], part, places) != 0) {
			all = append(all, e)
		}
	}
	return m.tell(all, func(e *simEntry) string { return fmt.Sprintf("%+d", m.delta(e, part, places)) })
}

// tale tells of entries with all their movements.
func (m *simModel) tale(entries []*simEntry) string {
	return m.tell(slices.Clone(entries), func(e *simEntry) string { return fmt.Sprint(e.moves) })
}

func (m *simModel) tell(all []*simEntry, did func(*simEntry) string) string {
	slices.SortFunc(all, (*simEntry).compare)
	out := ""
	for _, e := range all {
		out += fmt.Sprintf("\n%s %3d %s %-8s %s", e.at.UTC().Format("02 15:04:05.000000"), e.seq, e.id.String()[:4], e.kind, did(e))
		if e.place != "" {
			out += fmt.Sprintf(" counted %d", e.counted)
		}
		if e.undoes != uuid.Nil {
			out += " undoes " + e.undoes.String()[:4]
		}
		if of := m.redoes[e.id]; of != uuid.Nil {
			out += " redoes " + of.String()[:4]
		}
		if e.ref != "" {
			out += " for " + e.ref[:4]
		}
		if m.undoneBy[e.id] != nil {
			out += " (undone)"
		}
	}
	return out
}

// simKey is where a part lies, lot by lot; the simulated parts have no tags.
type simKey struct{ lot, place string }

// requireTaken: what a job or a move takes is there when it is recorded, lot by lot: now, or
// if it comes late and a count behind it saw the place, when that count began. It finds
// something only where the part has run out there as a whole. The choice is made before the
// locks are taken, so that one made from stock that is no longer true would show here too.
func (m *simModel) requireTaken(t *testing.T, before *simModel, seed uint64) {
	t.Helper()
	var all []*simEntry
	for _, e := range m.entries {
		all = append(all, e)
		if cause := m.foundFor(e); cause != nil {
			require.NotContains(t, []string{"job", "move"}, cause.kind, "seed %d: %s left something short that it need not have taken", seed, cause.id)
		}
	}
	slices.SortFunc(all, func(a, b *simEntry) int { return cmp.Compare(a.seq, b.seq) })
	for _, p := range simulatedParts {
		var known []*simEntry // so far, of the part
		for _, e := range all {
			if before.entries[e.id] != nil || e.part != p.code && !slices.ContainsFunc(e.moves, func(v simMove) bool { return m.part[v.Lot] == p.code }) {
				continue
			}
			if (e.kind == "job" || e.kind == "move") && m.redoes[e.id] == uuid.Nil { // a redo takes what its record took
				m.requireTakenBy(t, e, p.code, before.lots, known, seed)
			}
			known = append(known, e)
		}
	}
}

func (m *simModel) requireTakenBy(t *testing.T, e *simEntry, part string, start map[simKey]units.Quantity, known []*simEntry, seed uint64) {
	t.Helper()
	taken, found, to := map[simKey]units.Quantity{}, units.Quantity(0), ""
	for _, v := range e.moves {
		if m.part[v.Lot] != part {
			continue
		}
		to = v.To
		if v.From == ledger.CountDifference {
			found += v.Quantity
		} else {
			taken[simKey{v.Lot, v.From}] += v.Quantity
		}
	}
	places := below("truck")
	if e.kind == "move" { // between the drawer and the other one
		places = []string{"T-D08"}
		if to == "T-D08" {
			places = []string{drawerOf(part)}
		}
	}
	var left units.Quantity
	for lot, of := range m.part {
		for _, place := range places {
			if of != part {
				continue
			}
			k := simKey{lot, place}
			can := max(0, m.canGive(e, k, to, start, known))
			if taken[k] > can {
				require.Fail(t, "takes what has gone since", "seed %d: %s %s takes %d of %v, which can give %d%s", seed, e.kind, e.id, taken[k], k, can, m.tale(known))
			}
			left += can - taken[k]
			delete(taken, k)
		}
	}
	require.Empty(t, taken, "seed %d: %s %s takes elsewhere", seed, e.kind, e.id)
	if found > 0 && left > 0 {
		require.Fail(t, "finds what is there", "seed %d: %s %s found %d of %s, though there are %d more%s", seed, e.kind, e.id, found, part, left, m.tale(known))
	}
}

// canGive is what a lot at a place can give to an entry, of what was known when it was recorded.
func (m *simModel) canGive(e *simEntry, k simKey, to string, start map[simKey]units.Quantity, known []*simEntry) units.Quantity {
	var counts []*simEntry
	for _, c := range known {
		undo := m.undoneBy[c.id]
		if c.kind == "count" && c.place != "" && c.at.After(e.at) && (undo == nil || undo.seq > e.seq) {
			counts = append(counts, c)
		}
	}
	slices.SortFunc(counts, (*simEntry).compare)
	var until *simEntry // the count that saw it go, but not arrive
	arrives := to
	for _, c := range counts {
		from, in := slices.Contains(below(c.place), k.place), slices.Contains(below(c.place), arrives)
		if from && !in {
			until = c
			break
		}
		if in && !from {
			arrives = ""
		}
	}
	have := start[k]
	for _, x := range known {
		if until != nil && !x.at.Before(until.at) {
			continue
		}
		for _, v := range x.moves {
			if v.Lot == k.lot && v.To == k.place {
				have += v.Quantity
			}
			if v.Lot == k.lot && v.From == k.place {
				have -= v.Quantity
			}
		}
	}
	return have
}

func drawerOf(part string) string {
	for _, p := range simulatedParts {
		if p.code == part {
			return p.drawer
		}
	}
	return ""
}

func latest(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// requireCounts: at its own minute the book says what was counted, whatever came later.
func (m *simModel) requireCounts(t *testing.T, seed uint64) {
	t.Helper()
	type moment struct {
		at   time.Time
		part string
	}
	same := map[moment]int{} // of a part at one minute, the arrival decides
	for _, e := range m.entries {
		if m.derived(e) {
			continue
		}
		for _, part := range m.touched(e) {
			same[moment{e.at, part}]++
		}
	}
	for id, c := range m.entries {
		if c.kind != "count" || c.place == "" || m.undoneBy[id] != nil || same[moment{c.at, c.part}] > 1 || !m.simulated(c.part) {
			continue
		}
		book := m.held0(c)
		for _, e := range m.entries {
			if e.at.After(c.at) || e.seq > c.seq && e.at.Equal(c.at) && m.ofFound(e) { // at one minute the arrival decides
				book -= m.delta(e, c.part, below(c.place))
			}
		}
		require.Equal(t, c.counted, book, "seed %d: count %s of %s at %s", seed, id, c.part, c.place)
	}
}

func (m *simModel) simulated(part string) bool {
	return slices.ContainsFunc(simulatedParts, func(p struct {
		code, drawer string
		countedAt    []string
	}) bool {
		return p.code == part
	})
}

// held0 is what the count's scope holds now: the book at its minute is that less all later.
func (m *simModel) held0(c *simEntry) (q units.Quantity) {
	for _, x := range below(c.place) {
		q += m.held[[2]string{c.part, x}]
	}
	return q
}
