package db_test

import (
	"context"
	"errors"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/purchase"
	"roundkit/planner/units"
)

// undone lists which of the records are taken back.
func undone(t *testing.T, s *db.Store, ids ...uuid.UUID) (out []bool) {
	t.Helper()
	for _, id := range ids {
		var n int
		require.NoError(t, s.Pool().QueryRow(t.Context(), "SELECT count(*) FROM entry WHERE undoes = $1", id).Scan(&n))
		out = append(out, n == 1)
	}
	return out
}

// moved records a move of one foot-nut seal and names it.
func moved(t *testing.T, s *db.Store) uuid.UUID {
	t.Helper()
	a := act(t)
	_, err := s.MoveStock(t.Context(), db.Move{Act: a, Kind: "move", Part: "FNS-10", Quantity: 1, From: "T-D03", To: "T-D08"})
	require.NoError(t, err)
	return a.ID
}

// Two programs take back the same person's last record at once: exactly that one goes, the
// other program is refused, and what was recorded before it stands. With names two different
// records go, each once.
func TestTwoUndosAtOnce(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	other, err := db.Connect(t.Context(), s.URL)
	require.NoError(t, err)
	t.Cleanup(other.Close)
	const turns = 12
	both := func(turn int, first, second string) (errs [2]error) {
		var wait sync.WaitGroup
		start := make(chan struct{})
		for i, x := range []struct {
			s    *db.Store
			name string
		}{{s, first}, {other, second}} {
			a := act(t)
			wait.Go(func() {
				<-start
				time.Sleep(time.Duration(i*turn) * 500 * time.Microsecond) // in step, and one behind the other
				_, errs[i] = x.s.Undo(context.WithoutCancel(t.Context()), a, x.name)
			})
		}
		close(start)
		wait.Wait()
		return errs
	}
	for turn := range turns {
		before, last := moved(t, s), moved(t, s)
		errs := both(turn, "", "")
		require.Equal(t, []bool{false, true}, undone(t, s, before, last), "%v", errs)
		refused := errors.Join(errs[:]...)
		require.ErrorIs(t, refused, db.ErrRefused)
		require.True(t, errs[0] == nil || errs[1] == nil, "%v", errs)

		before, last = moved(t, s), moved(t, s)
		errs = both(turn, last.String(), last.String())
		require.Equal(t, []bool{false, true}, undone(t, s, before, last), "%v", errs)
		require.ErrorContains(t, errors.Join(errs[:]...), "is undone already")

		before, last = moved(t, s), moved(t, s)
		errs = both(turn, last.String(), before.String())
		require.NoError(t, errors.Join(errs[:]...))
		require.Equal(t, []bool{true, true}, undone(t, s, before, last))
	}
	requireSound(t, s)
}

// Two redos of one undo: it is put back once.
func TestTwoRedosAtOnce(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	other, err := db.Connect(t.Context(), s.URL)
	require.NoError(t, err)
	t.Cleanup(other.Close)
	const turns = 8
	for turn := range turns {
		have := held(t, s, "FNS-10", "T-D08")
		id := moved(t, s)
		_, err := s.Undo(t.Context(), act(t), "")
		require.NoError(t, err)
		name := ""
		if turn%2 == 1 {
			name = id.String()
		}
		var wait sync.WaitGroup
		errs := make([]error, 2)
		for i, x := range []*db.Store{s, other} {
			a := act(t)
			wait.Go(func() { _, errs[i] = x.Redo(context.WithoutCancel(t.Context()), a, name) })
		}
		wait.Wait()
		require.Error(t, errors.Join(errs...))
		require.True(t, errs[0] == nil || errs[1] == nil, "%v", errs)
		require.Equal(t, have+1, held(t, s, "FNS-10", "T-D08"))
	}
	requireSound(t, s)
}

// Nobody walks back by repeating: a second undo is refused and says what is next; by its name
// it goes. The first record after it is the last again.
func TestUndoGoesNoFurtherByItself(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	first, second := moved(t, s), moved(t, s)
	done, err := s.Undo(t.Context(), act(t), "")
	require.NoError(t, err)
	require.Equal(t, second, done.Of.ID)

	_, err = s.Undo(t.Context(), act(t), "")
	var further *db.FurtherError
	require.ErrorAs(t, err, &further)
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "the last thing u1 did is taken back already, expected the name of what to take back before it")
	require.Equal(t, first, further.Next.ID)
	require.Equal(t, []bool{false, true}, undone(t, s, first, second))
	would, err := s.WouldUndo(t.Context(), act(t), "")
	require.NoError(t, err)
	require.True(t, would.Further)
	require.Equal(t, first, would.ID)

	third := moved(t, s)
	would, err = s.WouldUndo(t.Context(), act(t), "")
	require.NoError(t, err)
	require.False(t, would.Further)
	require.Equal(t, third, would.ID)
	somebodyElse := act(t)
	somebodyElse.Person = "u2"
	_, err = s.Undo(t.Context(), somebodyElse, third.String())
	require.NoError(t, err)
	_, err = s.Undo(t.Context(), act(t), "")
	require.ErrorAs(t, err, &further, "u1's last record is gone: the one before it is not taken in its place")

	_, err = s.Undo(t.Context(), act(t), first.String())
	require.NoError(t, err)
	_, err = s.Undo(t.Context(), act(t), "")
	require.ErrorIs(t, err, db.ErrNotFound)
	require.ErrorContains(t, err, "u1 has recorded nothing more here that could be undone")
	requireSound(t, s)
}

// What a workbook brought is nobody's last record: it is taken back by its name only.
func TestUndoWithoutANameLeavesTheWorkbook(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	_, err := s.Undo(t.Context(), act(t), "")
	require.ErrorIs(t, err, db.ErrNotFound)
	require.ErrorContains(t, err, "u1 has recorded nothing here that could be undone")
	nobody := act(t)
	nobody.Person = ""
	_, err = s.Undo(t.Context(), nobody, "")
	require.ErrorContains(t, err, "found neither a record nor a person")
	_, err = s.Redo(t.Context(), nobody, "")
	require.ErrorContains(t, err, "found neither a record nor a person")
}

// counting is five parts of a drawer, each counted wrong by its place in the list.
func counting(t *testing.T, s *db.Store) (lines []db.Counting, before []units.Quantity) {
	t.Helper()
	for i, part := range []string{"WIP-40", "OSL-40", "FRG-40", "FNS-10", "CRW-10"} {
		have := held(t, s, part, "truck")
		for _, drawer := range []string{"T-D01", "T-D02", "T-D03", "T-D08"} {
			have += held(t, s, part, drawer)
		}
		require.Positive(t, have, part)
		before = append(before, have)
		lines = append(lines, db.Counting{ID: newID(t), At: "truck", Part: part, Counted: max(0, have-units.Quantity(i))})
	}
	return lines, before
}

func inTruck(t *testing.T, s *db.Store, lines []db.Counting) (out []units.Quantity) {
	t.Helper()
	for _, l := range lines {
		var sum units.Quantity
		for _, place := range below("truck") {
			sum += held(t, s, l.Part, place)
		}
		out = append(out, sum)
	}
	return out
}

// A count of five parts is one record: one undo takes all of it back, one redo puts it back,
// whichever of its parts is named. What cannot go back in one part goes back in none.
func TestACountOfFivePartsGoesBackTogether(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	lines, _ := counting(t, s)
	before := inTruck(t, s, lines)
	var counted []units.Quantity
	for _, l := range lines {
		counted = append(counted, l.Counted)
	}
	a := act(t)
	a.ID = lines[0].ID
	each, err := s.CountParts(t.Context(), a, lines)
	require.NoError(t, err)
	require.Len(t, each, len(lines))
	require.Equal(t, counted, inTruck(t, s, lines))

	dry := act(t)
	dry.DryRun = true
	_, err = s.Undo(t.Context(), dry, "")
	require.NoError(t, err)
	require.Equal(t, counted, inTruck(t, s, lines), "a dry run writes nothing")

	undo := act(t)
	done, err := s.Undo(t.Context(), undo, "")
	require.NoError(t, err)
	require.Len(t, done.Of.Entries, len(lines))
	require.Equal(t, before, inTruck(t, s, lines))
	again, err := s.Undo(t.Context(), undo, "")
	require.NoError(t, err, "the same request again")
	require.True(t, again.Repeat)
	require.Equal(t, done.Of.Title(), again.Of.Title())
	_, err = s.Undo(t.Context(), act(t), lines[3].ID.String())
	require.ErrorContains(t, err, "is undone already, by")

	redo := act(t)
	put, err := s.Redo(t.Context(), redo, "")
	require.NoError(t, err)
	require.Len(t, put.Of.Entries, len(lines))
	require.Equal(t, counted, inTruck(t, s, lines))
	put, err = s.Redo(t.Context(), redo, "")
	require.NoError(t, err)
	require.True(t, put.Repeat)
	_, err = s.Redo(t.Context(), act(t), lines[2].ID.String())
	require.ErrorContains(t, err, "is put back already, by")
	require.Equal(t, counted, inTruck(t, s, lines))

	_, err = s.Undo(t.Context(), act(t), "")
	require.NoError(t, err, "a redo is a record like any other")
	require.Equal(t, before, inTruck(t, s, lines))
	_, err = s.Redo(t.Context(), act(t), "")
	require.Error(t, err)
	require.Equal(t, before, inTruck(t, s, lines), "what was put back once is not put back again")
	readModel(t, s).requireCounts(t, 0)
	requireSound(t, s)
}

// Two receipts of one command: the pieces of one are used, so neither goes back.
func TestATogetherGoesBackWholeOrNotAtAll(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	lines := []db.Counting{{ID: newID(t), At: "T-D08", Part: "FNS-10", Counted: 5}, {ID: newID(t), At: "T-D08", Part: "WIP-40", Counted: 5}}
	_, err := s.CountParts(t.Context(), act(t), lines)
	require.NoError(t, err)
	_, err = s.MoveStock(t.Context(), db.Move{Act: act(t), Kind: "move", Part: "FNS-10", Quantity: 4, From: "T-D08", To: "T-D03"})
	require.NoError(t, err)
	seals, wipers := where(t, s, "FNS-10"), where(t, s, "WIP-40")
	_, err = s.Undo(t.Context(), act(t), lines[0].ID.String())
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "of FNS-10 in T-D08 gone")
	require.Equal(t, []bool{false, false}, undone(t, s, lines[0].ID, lines[1].ID))
	require.Equal(t, seals, where(t, s, "FNS-10"))
	require.Equal(t, wipers, where(t, s, "WIP-40"))

	bad := []db.Counting{{ID: newID(t), At: "T-D08", Part: "FNS-10", Counted: 9}, {ID: newID(t), At: "nowhere", Part: "WIP-40", Counted: 9}}
	_, err = s.CountParts(t.Context(), act(t), bad)
	require.Error(t, err)
	require.Equal(t, seals, where(t, s, "FNS-10"), "nor is half a count booked")
	requireSound(t, s)
}

// A job is undone and put back: it counts as done again, with its own parts, and the old one
// stays undone. It is no likely double of itself.
func TestRedoOfAJob(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	log := func() (db.Recorded, uuid.UUID) {
		t.Helper()
		a := act(t)
		done, _, err := s.LogJob(t.Context(), db.JobLog{ID: a.ID, Person: a.Person, Service: "LLS", Assembly: "F02", Round: "ZDR", Used: []ledger.Amount{{Part: "WIP-40", Quantity: 2}}})
		require.NoError(t, err)
		return done, a.ID
	}
	have := held(t, s, "WIP-40", "T-D01")
	first, id := log()
	used := where(t, s, "WIP-40")
	_, err := s.Undo(t.Context(), act(t), "")
	require.NoError(t, err)
	require.Equal(t, have, held(t, s, "WIP-40", "T-D01"))
	a := act(t)
	put, err := s.Redo(t.Context(), a, "")
	require.NoError(t, err)
	require.Equal(t, used, where(t, s, "WIP-40"))
	require.Equal(t, first.Entries[0].Moves, put.Entries[0].Moves)
	require.Empty(t, put.Doubles)

	jobs, err := s.Jobs(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	byID := map[uuid.UUID]db.JobDone{}
	for _, j := range jobs {
		byID[j.ID] = j
	}
	require.NotNil(t, byID[id].UndoneAt)
	require.Equal(t, a.ID, byID[id].RedoneBy)
	require.Nil(t, byID[a.ID].UndoneAt)
	require.Equal(t, id, byID[a.ID].Redoes)
	require.Equal(t, "LLS F02 ZDR", byID[a.ID].Service+" "+byID[a.ID].Assembly+" "+byID[a.ID].Round)
	double, _ := log()
	require.Len(t, double.Doubles, 1, "the one that was put back; the undone one is none")
	require.Equal(t, a.ID, double.Doubles[0].ID)
	requireSound(t, s)
}

// What was undone cannot be put back once its pieces have gone on, nor a tag that was moved.
func TestRedoOfWhatHasMovedOn(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	all := act(t)
	_, err := s.MoveStock(t.Context(), db.Move{Act: all, Kind: "move", Part: "FNS-10", Quantity: held(t, s, "FNS-10", "T-D03"), From: "T-D03", To: "T-D08"})
	require.NoError(t, err)
	_, err = s.Undo(t.Context(), act(t), "")
	require.NoError(t, err)
	_, err = s.MoveStock(t.Context(), db.Move{Act: act(t), Kind: "move", Part: "FNS-10", Quantity: 2, From: "T-D03", To: "T-D07"})
	require.NoError(t, err)
	before := where(t, s, "FNS-10")

	_, err = s.Redo(t.Context(), act(t), "")
	var further *db.FurtherError
	require.ErrorAs(t, err, &further, "something was recorded since")
	require.ErrorContains(t, err, "the last thing u1 did is no undo, expected the name of what to put back")
	require.Equal(t, all.ID, further.Next.ID)
	_, err = s.Redo(t.Context(), act(t), all.ID.String())
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "of FNS-10 in T-D03 gone, expected everything still where the undo put it: log it again as it is now, or count")
	require.Equal(t, before, where(t, s, "FNS-10"))

	spring := act(t)
	_, err = s.MoveStock(t.Context(), db.Move{Act: spring, Kind: "move", Tag: "SPF-58#1", To: "W-A4"})
	require.NoError(t, err)
	_, err = s.Undo(t.Context(), act(t), "")
	require.NoError(t, err)
	_, err = s.MoveStock(t.Context(), db.Move{Act: act(t), Kind: "move", Tag: "SPF-58#1", To: "T-D08"})
	require.NoError(t, err)
	_, err = s.Redo(t.Context(), act(t), spring.ID.String())
	require.ErrorContains(t, err, "SPF-58#1 is in T-D08 now, no longer in T-D05")
	_, err = s.Redo(t.Context(), act(t), all.ID.String()[:8])
	require.ErrorIs(t, err, db.ErrNotFound)
	_, err = s.Redo(t.Context(), act(t), moved(t, s).String())
	require.ErrorContains(t, err, "is not undone, expected something that is")
	requireSound(t, s)
}

// Put back, a record has happened after all, and whoever counted since counted with it: before
// its undo or after it, and whether the count arrives before the redo or late.
func TestRedoAcrossACount(t *testing.T) {
	t.Parallel()
	const counted = 30
	for name, c := range map[string]struct {
		ago       time.Duration // of the count; the move was 5 hours ago, its undo 3
		late      bool
		redoFirst bool // it is taken back before the count is
	}{
		"between record and undo":                       {4 * time.Hour, false, false},
		"between undo and redo":                         {2 * time.Hour, false, false},
		"late, between record and undo":                 {4 * time.Hour, true, false},
		"late, between undo and redo":                   {2 * time.Hour, true, false},
		"late, between record and undo, the redo first": {4 * time.Hour, true, true},
		"late, between undo and redo, the redo first":   {2 * time.Hour, true, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := demoStore(t)
			at := actAt(t, s)
			m := at(5 * time.Hour)
			_, err := s.MoveStock(t.Context(), db.Move{Act: m, Kind: "move", Part: "CRW-10", Quantity: 3, From: "T-D03", To: "T-D08"})
			require.NoError(t, err)
			count := func() uuid.UUID {
				t.Helper()
				a := at(c.ago)
				_, err := s.CountPart(t.Context(), a, "T-D03", "CRW-10", counted)
				require.NoError(t, err)
				return a.ID
			}
			_, err = s.Undo(t.Context(), at(3*time.Hour), m.ID.String())
			require.NoError(t, err)
			var id uuid.UUID
			if !c.late {
				id = count()
			}
			redo := act(t)
			_, err = s.Redo(t.Context(), redo, m.ID.String())
			require.NoError(t, err)
			if c.late {
				id = count()
			}
			require.Equal(t, units.Quantity(counted), held(t, s, "CRW-10", "T-D03"))
			require.Equal(t, units.Quantity(3), held(t, s, "CRW-10", "T-D08"), "nobody counted there")
			readModel(t, s).requireCounts(t, 0)

			if c.redoFirst {
				_, err = s.Undo(t.Context(), act(t), redo.ID.String())
				require.NoError(t, err)
				require.Equal(t, units.Quantity(counted), held(t, s, "CRW-10", "T-D03"))
				require.Zero(t, held(t, s, "CRW-10", "T-D08"))
			}
			_, err = s.Undo(t.Context(), act(t), id.String()) // without the count the three are gone from the drawer
			require.NoError(t, err)
			if !c.redoFirst {
				require.Equal(t, units.Quantity(26-3), held(t, s, "CRW-10", "T-D03"))
				_, err = s.Undo(t.Context(), act(t), redo.ID.String())
				require.NoError(t, err)
			}
			require.Equal(t, units.Quantity(26), held(t, s, "CRW-10", "T-D03"))
			require.Zero(t, held(t, s, "CRW-10", "T-D08"))
			requireSound(t, s)
		})
	}
}

// A late move of a lot that has gone since left the drawer short, and the rest was found. Put
// back, it is found again; taken back a second time nothing is left of either, nor of what a
// count in between took back of it.
func TestRedoOfALateRecordThatFound(t *testing.T) {
	t.Parallel()
	for name, counts := range map[string]bool{"nobody counts": false, "a late count lies across": true} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := demoStore(t)
			at := actAt(t, s)
			have := held(t, s, "FNS-10", "T-D03")
			_, err := s.MoveStock(t.Context(), db.Move{Act: at(4 * time.Hour), Kind: "move", Part: "FNS-10", Quantity: have - 1, From: "T-D03", To: "T-D08"})
			require.NoError(t, err)
			before := where(t, s, "FNS-10")
			late := at(5 * time.Hour)
			done, err := s.Record(t.Context(), db.Request{ID: late.ID, Kind: "move", Person: "u1", At: late.At,
				Movements: []planner.Movement{{Part: "FNS-10", Lot: "LT-0067", From: "T-D03", To: "T-D07", Quantity: 3}}})
			require.NoError(t, err)
			require.Len(t, done.Entries, 2, "the move, and what was found")
			with := where(t, s, "FNS-10")
			_, err = s.Undo(t.Context(), at(3*time.Hour), late.ID.String())
			require.NoError(t, err)
			require.Equal(t, before, where(t, s, "FNS-10"))
			redo := act(t)
			_, err = s.Redo(t.Context(), redo, late.ID.String())
			require.NoError(t, err)
			require.Equal(t, with, where(t, s, "FNS-10"))
			c := at(2 * time.Hour)
			if counts {
				_, err = s.CountPart(t.Context(), c, "T-D03", "FNS-10", 7)
				require.NoError(t, err)
				require.Equal(t, units.Quantity(7), held(t, s, "FNS-10", "T-D03"))
			}
			_, err = s.Undo(t.Context(), act(t), redo.ID.String())
			require.NoError(t, err)
			if counts {
				require.Equal(t, units.Quantity(7), held(t, s, "FNS-10", "T-D03"))
				_, err = s.Undo(t.Context(), act(t), c.ID.String())
				require.NoError(t, err)
			}
			require.Equal(t, before, where(t, s, "FNS-10"))
			readModel(t, s).requireFoundUndone(t)
			requireSound(t, s)
		})
	}
}

// Steps of an order and what came of it go back to what the order was before, and can be put
// back, but not over what somebody did since.
func TestOrderStepsAreTakenBack(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	_, err := s.DraftOrders(t.Context(), []purchase.Draft{sealsDraft()}, seen(t, s), db.ChangeOptions{})
	require.NoError(t, err)
	const order = "PO-015"
	step := func(take func(context.Context, db.OrderStep) (db.OrderChange, error)) uuid.UUID {
		t.Helper()
		p := db.OrderStep{Order: order, Person: "u1"}
		p.ID = newID(t)
		_, err := take(t.Context(), p)
		require.NoError(t, err)
		return p.ID
	}
	undo := func(name string) {
		t.Helper()
		_, err := s.Undo(t.Context(), act(t), name)
		require.NoError(t, err)
	}
	placed := step(s.PlaceOrder)
	undo("")
	o := orderIn(t, s, order)
	require.Equal(t, "drafted", o.State)
	require.Nil(t, o.PlacedOn)
	require.Nil(t, o.DueOn)
	require.Contains(t, o.Notes, "taken back 2027-06-05, was placed by u1")
	_, err = s.Redo(t.Context(), act(t), "")
	require.NoError(t, err)
	o = orderIn(t, s, order)
	require.Equal(t, "placed", o.State)
	require.Equal(t, dayOf(t, "2027-06-17"), o.DueOn)

	confirmed := step(s.ConfirmOrder)
	_, err = s.Undo(t.Context(), act(t), placed.String())
	require.ErrorContains(t, err, "is undone already", "it was, and was put back in a record of its own")
	undo("")
	require.Equal(t, "placed", orderIn(t, s, order).State)
	_, err = s.Redo(t.Context(), act(t), confirmed.String())
	require.NoError(t, err)

	seals := where(t, s, "OSL-40")
	_, _, err = s.ArriveOrder(t.Context(), db.Arrival{Act: act(t), Order: order, Came: []ledger.Amount{{Part: "OSL-40", Quantity: 5}}})
	require.NoError(t, err)
	_, _, err = s.ArriveOrder(t.Context(), db.Arrival{Act: act(t), Order: order})
	require.NoError(t, err)
	require.Equal(t, "here", orderIn(t, s, order).State)
	undo("")
	require.Equal(t, "part here", orderIn(t, s, order).State)
	require.Equal(t, seals["W-A1"]+5, held(t, s, "OSL-40", "W-A1"))
	_, err = s.Redo(t.Context(), act(t), "")
	require.NoError(t, err)
	require.Equal(t, "here", orderIn(t, s, order).State)
	require.Equal(t, seals["W-A1"]+20, held(t, s, "OSL-40", "W-A1"))
	undo("")

	off := step(s.CallOffOrder)
	undo("")
	require.Equal(t, "part here", orderIn(t, s, order).State)
	_, err = s.Redo(t.Context(), act(t), "")
	require.NoError(t, err)
	require.Equal(t, "called off", orderIn(t, s, order).State)
	var first uuid.UUID
	require.NoError(t, s.Pool().QueryRow(t.Context(), `SELECT id FROM entry AS e WHERE kind = 'receipt' AND reference = $1
		AND NOT EXISTS (SELECT FROM entry AS u WHERE u.undoes = e.id) LIMIT 1`, order).Scan(&first))
	undo(first.String())
	var redo uuid.UUID
	require.NoError(t, s.Pool().QueryRow(t.Context(), "SELECT r.entry_id FROM redo AS r JOIN entry AS u ON u.id = r.redoes WHERE u.undoes = $1", off).Scan(&redo))
	undo(redo.String())
	require.Equal(t, "confirmed", orderIn(t, s, order).State, "nothing of it is here, and it was confirmed before")
	require.Equal(t, seals, where(t, s, "OSL-40"))

	again := step(s.CallOffOrder)
	_, err = s.Undo(t.Context(), act(t), again.String())
	require.NoError(t, err)
	step(s.ConfirmOrder)
	step(s.CallOffOrder)
	_, err = s.Redo(t.Context(), act(t), again.String())
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "order PO-015 is called off now, expected confirmed: it was changed since")
	requireSound(t, s)
}

// Changes of the plan go back by as much as they were, weather only while it is still what was
// said; all of it is in the plan that the next question reads.
func TestPlanChangesAreTakenBack(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	planned := func() (n int) {
		t.Helper()
		snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
		require.NoError(t, err)
		for _, p := range snap.PlannedJobs {
			if p.Round == "KAR" && p.Service == "LLS" && p.Assembly == "" {
				n += p.Jobs
			}
		}
		return n
	}
	weather := func() string {
		t.Helper()
		snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
		require.NoError(t, err)
		for _, r := range snap.Rounds {
			if r.Code == "ZDR" {
				return r.Weather
			}
		}
		return "no round"
	}
	add := func(by int) uuid.UUID {
		t.Helper()
		o := db.ChangeOptions{ID: newID(t), Person: "u1"}
		_, err := s.PlanAdd(t.Context(), db.PlanChange{Round: "KAR", Service: "LLS"}, by, o)
		require.NoError(t, err)
		return o.ID
	}
	start := planned()
	first := add(4)
	add(2)
	done, err := s.Undo(t.Context(), act(t), first.String())
	require.NoError(t, err)
	require.Equal(t, "the change of the plan, 2027-06-05 19:00, by u1", done.Of.Title())
	require.Equal(t, start+2, planned())
	_, err = s.Redo(t.Context(), act(t), "")
	require.NoError(t, err)
	require.Equal(t, start+6, planned())
	add(-start - 6)
	_, err = s.Undo(t.Context(), act(t), "")
	require.NoError(t, err)
	require.Equal(t, start+6, planned())
	big := add(3)
	add(-start - 8)
	_, err = s.Undo(t.Context(), act(t), big.String())
	require.ErrorContains(t, err, "round KAR plans 1 LLS now, expected at least 3: it was changed since")

	before := weather()
	say := func(w string) uuid.UUID {
		t.Helper()
		o := db.ChangeOptions{ID: newID(t), Person: "u1"}
		_, _, err := s.RoundWeather(t.Context(), "ZDR", w, o)
		require.NoError(t, err)
		return o.ID
	}
	wet := say("wet")
	_, err = s.Undo(t.Context(), act(t), "")
	require.NoError(t, err)
	require.Equal(t, before, weather())
	_, err = s.Redo(t.Context(), act(t), wet.String())
	require.NoError(t, err)
	require.Equal(t, "wet", weather())
	dry, _ := say("dry"), say("wet")
	_, err = s.Undo(t.Context(), act(t), dry.String())
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "ZDR is wet now, expected dry: it was changed since")
	nobody := db.ChangeOptions{Person: "u99"}
	_, err = s.PlanAdd(t.Context(), db.PlanChange{Round: "KAR", Service: "LLS"}, 1, nobody)
	require.ErrorContains(t, err, "u99")
}

// Two people add to one plan at once: both are in it.
func TestTwoPlanChangesAtOnce(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	const people, turns = 8, 5
	first, err := s.PlanAdd(t.Context(), db.PlanChange{Round: "KAR", Service: "LLS"}, 1, db.ChangeOptions{})
	require.NoError(t, err)
	errs := make(chan error, people*turns)
	var wait sync.WaitGroup
	for range people {
		wait.Go(func() {
			for range turns {
				_, err := s.PlanAdd(context.WithoutCancel(t.Context()), db.PlanChange{Round: "KAR", Service: "LLS"}, 1, db.ChangeOptions{})
				errs <- err
			}
		})
	}
	wait.Wait()
	close(errs)
	for err := range errs {
		require.NoError(t, err)
	}
	last, err := s.PlanAdd(t.Context(), db.PlanChange{Round: "KAR", Service: "LLS"}, 1, db.ChangeOptions{})
	require.NoError(t, err)
	require.Equal(t, first.Now+people*turns+1, last.Now)
}

// A packed list, a case, a receipt, a lent thing, an opened kit: each goes back and is put
// back.
func TestEveryKindGoesBackAndIsPutBack(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		part   string
		record func(*db.Store, db.Act) error
	}{
		"a receipt": {"CRW-10", func(s *db.Store, a db.Act) error {
			_, err := s.Receive(t.Context(), db.Receipt{Act: a, Part: "CRW-10", Quantity: 10})
			return err
		}},
		"scrap": {"CRW-10", func(s *db.Store, a db.Act) error {
			_, err := s.MoveStock(t.Context(), db.Move{Act: a, Kind: "scrap", Part: "CRW-10", Quantity: 3, From: "T-D03"})
			return err
		}},
		"an opened kit": {"KIT-DMP40", func(s *db.Store, a db.Act) error {
			_, err := s.OpenKit(t.Context(), a, "KIT-DMP40", "")
			return err
		}},
		"packed": {"CRW-10", func(s *db.Store, a db.Act) error {
			before, err := s.PackedSoFar(t.Context(), "")
			if err != nil {
				return err
			}
			_, err = s.PackLoad(t.Context(), db.Packing{Act: a, Trip: "TR-COM", Before: before,
				Rows: []planner.Movement{{Part: "CRW-10", From: "W-A2", To: "T-D03", Quantity: 1}}})
			return err
		}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := demoStore(t)
			before := where(t, s, c.part)
			require.NoError(t, c.record(s, act(t)))
			with := where(t, s, c.part)
			require.NotEqual(t, before, with)
			_, err := s.Undo(t.Context(), act(t), "")
			require.NoError(t, err)
			require.Equal(t, before, where(t, s, c.part))
			_, err = s.Redo(t.Context(), act(t), "")
			require.NoError(t, err)
			require.Equal(t, with, where(t, s, c.part))
			requireSound(t, s)
		})
	}
}
