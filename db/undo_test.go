package db_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/db"
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
