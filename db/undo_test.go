package db_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/db"
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
