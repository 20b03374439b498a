package db_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// What a workbook's stock row says is the workbook's: a count puts it right, an undo does
// not.
func TestStockRowIsNotUndone(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	var id string
	require.NoError(t, s.Pool().QueryRow(t.Context(), "SELECT id FROM entry WHERE kind = 'stock' ORDER BY id LIMIT 1").Scan(&id))
	_, err := s.Undo(t.Context(), act(t), id)
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "is a row of the workbook's stock, expected something that was recorded: count instead")
}

// A move is taken back, and that arrives after its pieces went on: at its own time they
// were there, now they are not. It is refused, and nothing has changed.
func TestLateUndoOfWhatIsGone(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	at := actAt(t, s)
	require.Zero(t, held(t, s, "CRW-10", "T-D08"))
	there := at(4 * time.Hour)
	_, err := s.MoveStock(t.Context(), db.Move{Act: there, Kind: "move", Part: "CRW-10", Quantity: 2, From: "T-D03", To: "T-D08"})
	require.NoError(t, err)
	_, err = s.MoveStock(t.Context(), db.Move{Act: at(2 * time.Hour), Kind: "move", Part: "CRW-10", Quantity: 1, From: "T-D08", To: "W-A2"})
	require.NoError(t, err)
	before := where(t, s, "CRW-10")
	_, err = s.Undo(t.Context(), at(150*time.Minute), there.ID.String())
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "found 1 of CRW-10 in T-D08 gone since, expected everything still where the record put it: count instead")
	require.Equal(t, before, where(t, s, "CRW-10"))
	requireSound(t, s)
}

// A late count finds something, as more went on than it saw, and is taken back at a time
// before that: what it found goes too, though somebody has counted in between.
func TestLateUndoOfACountThatFound(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	at := actAt(t, s)
	for _, m := range []struct {
		q        units.Quantity
		from, to string
		ago      time.Duration
	}{{5, "T-D03", "T-D08", 6 * time.Hour}, {3, "T-D08", "W-A2", time.Hour}} {
		_, err := s.MoveStock(t.Context(), db.Move{Act: at(m.ago), Kind: "move", Part: "FNS-10", Quantity: m.q, From: m.from, To: m.to})
		require.NoError(t, err)
	}
	wrong := at(5 * time.Hour)
	counted, err := s.CountPart(t.Context(), wrong, "T-D08", "FNS-10", 0)
	require.NoError(t, err)
	require.NotEmpty(t, counted.Warnings)
	require.Contains(t, counted.Warnings[0], "booked as found")
	_, err = s.CountPart(t.Context(), at(2*time.Hour), "T-D08", "FNS-10", 4)
	require.NoError(t, err)
	_, err = s.Undo(t.Context(), at(4*time.Hour), wrong.ID.String())
	require.NoError(t, err)
	require.Equal(t, units.Quantity(4-3), held(t, s, "FNS-10", "T-D08"), "4 counted, 3 moved on")
	requireSound(t, s)
}

// A job or a move arrives late, after the pieces it took went elsewhere: they are booked as
// found. Taken back, now or at a time before they were found, it left nothing short, and the
// drawer holds what it held before.
func TestUndoOfALateRecordThatFound(t *testing.T) {
	t.Parallel()
	for name, record := range map[string]func(*db.Store, db.Act) (db.Recorded, error){
		"move": func(s *db.Store, a db.Act) (db.Recorded, error) {
			return s.MoveStock(t.Context(), db.Move{Act: a, Kind: "move", Part: "FNS-10", Quantity: 3, From: "T-D03", To: "T-D07"})
		},
		"job": func(s *db.Store, a db.Act) (db.Recorded, error) {
			done, _, err := s.LogJob(t.Context(), db.JobLog{ID: a.ID, Person: a.Person, At: a.At, Service: "LLS", Assembly: "F02", Round: "ZDR",
				Used: []ledger.Amount{{Part: "FNS-10", Quantity: 3}}})
			return done, err
		},
	} {
		for undone, ago := range map[string]time.Duration{"now": 0, "late": 2 * time.Hour} {
			t.Run(name+" undone "+undone, func(t *testing.T) {
				t.Parallel()
				s := demoStore(t)
				at := actAt(t, s)
				have := held(t, s, "FNS-10", "T-D03")
				_, err := s.MoveStock(t.Context(), db.Move{Act: at(time.Hour), Kind: "move", Part: "FNS-10", Quantity: have - 1, From: "T-D03", To: "T-D08"})
				require.NoError(t, err)
				before := where(t, s, "FNS-10")
				late := at(3 * time.Hour)
				done, err := record(s, late)
				require.NoError(t, err)
				require.Contains(t, strings.Join(done.Warnings, "\n"), "FNS-10 at T-D03 would stand 2 below nothing: booked as found, count it again")
				require.Zero(t, held(t, s, "FNS-10", "T-D03"))

				_, err = s.Undo(t.Context(), at(ago), late.ID.String())
				require.NoError(t, err)
				require.Equal(t, before, where(t, s, "FNS-10"))
				requireSound(t, s)
			})
		}
	}
}

// A late move between two drawers leaves one short behind a count of the whole truck, which
// does not see it. Taken back late, what was found goes at its own time, the count's minute:
// what was counted stays what was counted.
func TestUndoOfALateMoveUnderACountOfTheTruck(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	at := actAt(t, s)
	_, err := s.CountPart(t.Context(), at(time.Hour), "truck", "FRG-40", 1)
	require.NoError(t, err)
	before := where(t, s, "FRG-40")
	late := at(3 * time.Hour)
	done, err := s.MoveStock(t.Context(), db.Move{Act: late, Kind: "move", Part: "FRG-40", Quantity: 4, From: "T-D01", To: "T-D08"})
	require.NoError(t, err)
	require.Contains(t, strings.Join(done.Warnings, "\n"), "FRG-40 at T-D01 would stand 3 below nothing: booked as found, count it again")
	readModel(t, s).requireCounts(t, 0)
	_, err = s.Undo(t.Context(), at(2*time.Hour), late.ID.String())
	require.NoError(t, err)
	require.Equal(t, before, where(t, s, "FRG-40"))
	m := readModel(t, s)
	m.requireFoundUndone(t)
	m.requireCounts(t, 0)
	requireSound(t, s)
}

// What a late move left short stays found where its own pieces have gone on: it is not taken
// back at all. Nor is what was found undone by itself.
func TestUndoOfALateMoveWhosePiecesAreGone(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	at := actAt(t, s)
	move := func(a db.Act, q units.Quantity, from, to string) db.Recorded {
		t.Helper()
		done, err := s.MoveStock(t.Context(), db.Move{Act: a, Kind: "move", Part: "FNS-10", Quantity: q, From: from, To: to})
		require.NoError(t, err)
		return done
	}
	move(at(2*time.Hour), held(t, s, "FNS-10", "T-D03")-1, "T-D03", "T-D08")
	late := at(3 * time.Hour)
	done := move(late, 3, "T-D03", "T-D07")
	require.Len(t, done.Entries, 2, "the move, and what was found")
	move(at(time.Hour), 1, "T-D07", "W-A2")
	before := where(t, s, "FNS-10")
	_, err := s.Undo(t.Context(), at(0), late.ID.String())
	require.ErrorContains(t, err, "1 of 3 of FNS-10 in T-D07 gone, expected everything still where the record put it: count instead")
	found := done.Entries[1].ID.String()
	_, err = s.Undo(t.Context(), at(0), found)
	require.ErrorContains(t, err, found+" is what "+late.ID.String()+" booked, expected that record")
	require.Equal(t, before, where(t, s, "FNS-10"))
	requireSound(t, s)
}

// A workbook's rows may leave something short too. What was found then is of no single row,
// so it stays where the last of them is taken back.
func TestUndoOfTheLastRowOfALoadThatFound(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	at := actAt(t, s)
	have := held(t, s, "FNS-10", "T-D03")
	_, err := s.MoveStock(t.Context(), db.Move{Act: at(time.Hour), Kind: "move", Part: "FNS-10", Quantity: have - 1, From: "T-D03", To: "T-D08"})
	require.NoError(t, err)
	_, err = s.Load(t.Context(), demoWith(t, map[string]string{
		"movements.csv": "M-9001,2027-06-05 08:00,u1,FNS-10,,,T-D03,T-D07,3,pc,move,,,,\nM-9002,2027-06-05 08:10,u1,CRW-10,,,T-D03,T-D07,1,pc,move,,,,\n",
	}), db.LoadOptions{})
	require.NoError(t, err)
	before := where(t, s, "FNS-10")
	require.Zero(t, before["T-D03"])
	require.EqualValues(t, 1, held(t, s, "CRW-10", "T-D07"))
	_, err = s.Undo(t.Context(), at(0), "M-9002")
	require.NoError(t, err)
	require.Zero(t, held(t, s, "CRW-10", "T-D07"))
	require.Equal(t, before, where(t, s, "FNS-10"))
	requireSound(t, s)
}
