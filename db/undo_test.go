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

// A receipt is taken back, and that arrives after its pieces went on: as many are booked as
// found. Then a count arrives from between the two: they were there. It stays true, and
// neither the undo nor what was found because of it adds to it.
func TestLateCountAcrossAnUndoThatFound(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	at := actAt(t, s)
	there := held(t, s, "CRW-10", "T-D03")
	require.Zero(t, held(t, s, "CRW-10", "T-D08"))

	receipt := at(4 * time.Hour)
	_, err := s.Receive(t.Context(), db.Receipt{Act: receipt, Part: "CRW-10", Quantity: 2, To: "T-D08"})
	require.NoError(t, err)
	_, err = s.MoveStock(t.Context(), db.Move{Act: at(2 * time.Hour), Kind: "move", Part: "CRW-10", Quantity: 2, From: "T-D08", To: "T-D03"})
	require.NoError(t, err)
	undone, err := s.Undo(t.Context(), at(150*time.Minute), receipt.ID.String())
	require.NoError(t, err)
	require.Len(t, undone.Warnings, 1)
	require.Contains(t, undone.Warnings[0], "booked as found")
	require.Zero(t, held(t, s, "CRW-10", "T-D08"))

	_, err = s.CountPart(t.Context(), at(3*time.Hour), "T-D08", "CRW-10", 2)
	require.NoError(t, err)
	require.Zero(t, held(t, s, "CRW-10", "T-D08"), "2 counted, 2 moved on")
	require.Equal(t, there+2, held(t, s, "CRW-10", "T-D03"))
}

// A move is taken back, and that arrives after its pieces went on: as many are booked as
// found. More come in from before that. Then somebody counts where the move came from, at a
// time between the move and its undo: that says nothing of the place it went to, and what
// was found there stays.
func TestCountElsewhereLeavesWhatWasFound(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	at := actAt(t, s)
	require.Zero(t, held(t, s, "CRW-10", "T-D08"))

	there := at(4 * time.Hour)
	_, err := s.MoveStock(t.Context(), db.Move{Act: there, Kind: "move", Part: "CRW-10", Quantity: 2, From: "T-D03", To: "T-D08"})
	require.NoError(t, err)
	_, err = s.MoveStock(t.Context(), db.Move{Act: at(2 * time.Hour), Kind: "move", Part: "CRW-10", Quantity: 2, From: "T-D08", To: "W-A2"})
	require.NoError(t, err)
	undone, err := s.Undo(t.Context(), at(150*time.Minute), there.ID.String())
	require.NoError(t, err)
	require.Len(t, undone.Warnings, 1)
	require.Contains(t, undone.Warnings[0], "booked as found")
	_, err = s.MoveStock(t.Context(), db.Move{Act: at(140 * time.Minute), Kind: "move", Part: "CRW-10", Quantity: 2, From: "T-D03", To: "T-D08"})
	require.NoError(t, err)
	require.Equal(t, units.Quantity(2), held(t, s, "CRW-10", "T-D08"))

	_, err = s.CountPart(t.Context(), at(3*time.Hour), "T-D03", "CRW-10", 20)
	require.NoError(t, err)
	require.Equal(t, units.Quantity(2), held(t, s, "CRW-10", "T-D08"), "nobody counted there")
	require.Equal(t, units.Quantity(20), held(t, s, "CRW-10", "T-D03"))
}

// The same, but a count comes to lie between the move and its undo, at the place it went
// to, and is taken back: what it changed of the undo and of what was found goes with it.
func TestUndoneCountAcrossAnUndoThatFound(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	at := actAt(t, s)
	there := at(4 * time.Hour)
	_, err := s.MoveStock(t.Context(), db.Move{Act: there, Kind: "move", Part: "CRW-10", Quantity: 2, From: "T-D03", To: "T-D08"})
	require.NoError(t, err)
	_, err = s.MoveStock(t.Context(), db.Move{Act: at(2 * time.Hour), Kind: "move", Part: "CRW-10", Quantity: 1, From: "T-D08", To: "W-A2"})
	require.NoError(t, err)
	undone, err := s.Undo(t.Context(), at(150*time.Minute), there.ID.String())
	require.NoError(t, err)
	require.Len(t, undone.Warnings, 1)
	require.Contains(t, undone.Warnings[0], "booked as found")
	_, err = s.MoveStock(t.Context(), db.Move{Act: at(140 * time.Minute), Kind: "move", Part: "CRW-10", Quantity: 3, From: "T-D03", To: "T-D08"})
	require.NoError(t, err)

	require.Equal(t, units.Quantity(3), held(t, s, "CRW-10", "T-D08"))
	for range 2 { // each count meets what the one before has left
		count := at(3 * time.Hour)
		_, err = s.CountPart(t.Context(), count, "T-D08", "CRW-10", 2)
		require.NoError(t, err)
		require.Equal(t, units.Quantity(2-1+3), held(t, s, "CRW-10", "T-D08"), "2 counted, 1 moved on, 3 came")
		taken, err := s.Undo(t.Context(), act(t), count.ID.String())
		require.NoError(t, err)
		require.Empty(t, taken.Warnings)
		require.Equal(t, units.Quantity(3), held(t, s, "CRW-10", "T-D08"), "as before the count")
	}
	requireSound(t, s)
}
