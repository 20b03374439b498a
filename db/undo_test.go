package db_test

import (
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
	require.Equal(t, []string{"T-D08 has given 3 of FNS-10 more since than it held: booked as found, count it again"}, counted.Warnings)
	found := counted.Entries[len(counted.Entries)-1].ID.String()
	_, err = s.Undo(t.Context(), at(0), found)
	require.ErrorContains(t, err, found+" is what "+wrong.ID.String()+" booked, expected that record")
	_, err = s.CountPart(t.Context(), at(2*time.Hour), "T-D08", "FNS-10", 4)
	require.NoError(t, err)
	_, err = s.Undo(t.Context(), at(4*time.Hour), wrong.ID.String())
	require.NoError(t, err)
	require.Equal(t, units.Quantity(4-3), held(t, s, "FNS-10", "T-D08"), "4 counted, 3 moved on")
	requireSound(t, s)
}

// A job or a move arrives late, after the pieces it took went elsewhere: they are booked as
// found, in the same record. Taken back, now or late, it left nothing short, and the drawer
// holds what it held before.
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
				_, err := s.MoveStock(t.Context(), db.Move{Act: at(time.Hour), Kind: "move", Part: "FNS-10", Quantity: have - 1, From: "T-D03", To: "W-A2"})
				require.NoError(t, err)
				before := where(t, s, "FNS-10")
				late := at(3 * time.Hour)
				done, err := record(s, late)
				require.NoError(t, err)
				require.Equal(t, []string{"2 of FNS-10 taken as found: what lay in T-D03 then has gone since, count it"}, done.Warnings)
				require.Zero(t, held(t, s, "FNS-10", "T-D03"))

				_, err = s.Undo(t.Context(), at(ago), late.ID.String())
				require.NoError(t, err)
				require.Equal(t, before, where(t, s, "FNS-10"))
				requireSound(t, s)
			})
		}
	}
}

// A late move between two drawers, of more than a later count of the whole truck has left:
// the count stands, so the truck holds no more than was counted, and the line says why the
// rest is found. Taken back late, all is as before.
func TestLateMoveUnderACountOfTheTruck(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	at := actAt(t, s)
	count := at(time.Hour)
	_, err := s.CountPart(t.Context(), count, "truck", "FRG-40", 1)
	require.NoError(t, err)
	before := where(t, s, "FRG-40")
	late := at(3 * time.Hour)
	done, err := s.MoveStock(t.Context(), db.Move{Act: late, Kind: "move", Part: "FRG-40", Quantity: 4, From: "T-D01", To: "T-D08"})
	require.NoError(t, err)
	require.Equal(t, []string{"3 of FRG-40 taken as found: counted at 18:00, after this"}, done.Warnings)
	require.EqualValues(t, 0, held(t, s, "FRG-40", "T-D01"))
	require.EqualValues(t, 1, held(t, s, "FRG-40", "T-D08"), "1 was counted in the truck")
	readModel(t, s).requireCounts(t, 0)
	_, err = s.Undo(t.Context(), at(2*time.Hour), late.ID.String())
	require.NoError(t, err)
	require.Equal(t, before, where(t, s, "FRG-40"))
	m := readModel(t, s)
	m.requireFoundUndone(t)
	m.requireCounts(t, 0)
	requireSound(t, s)
}

// A late move whose own pieces have gone on is not taken back at all.
func TestUndoOfALateMoveWhosePiecesAreGone(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	at := actAt(t, s)
	move := func(a db.Act, q units.Quantity, from, to string) {
		t.Helper()
		_, err := s.MoveStock(t.Context(), db.Move{Act: a, Kind: "move", Part: "FNS-10", Quantity: q, From: from, To: to})
		require.NoError(t, err)
	}
	move(at(2*time.Hour), held(t, s, "FNS-10", "T-D03")-1, "T-D03", "T-D08")
	late := at(3 * time.Hour)
	move(late, 3, "T-D03", "T-D07")
	move(at(time.Hour), 1, "T-D07", "W-A2")
	before := where(t, s, "FNS-10")
	_, err := s.Undo(t.Context(), at(0), late.ID.String())
	require.ErrorContains(t, err, "1 of 3 of FNS-10 in T-D07 gone, expected everything still where the record put it: count instead")
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
		"movements.csv": "M-9001,2027-06-05 08:00,u1,FNS-10,LT-0067,,T-D03,T-D07,3,pc,move,,,,\nM-9002,2027-06-05 08:10,u1,CRW-10,,,T-D03,T-D07,1,pc,move,,,,\n",
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
