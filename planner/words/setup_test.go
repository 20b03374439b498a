package words_test

import (
	"io/fs"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/words"
	"roundkit/testdata"
	"roundkit/testdata/season"
)

// evening is the invented season on its Saturday evening, and the time of its last record.
func evening(t testing.TB) (*planner.Snapshot, *words.Bench, time.Time) {
	t.Helper()
	demo, err := fs.Sub(testdata.Demo, "demo")
	require.NoError(t, err)
	snap, err := season.Load(demo, day.Of(2027, time.June, 5))
	require.NoError(t, err)
	return snap, words.New(snap), time.Date(2027, 6, 5, 19, 0, 0, 0, snap.Zone)
}
