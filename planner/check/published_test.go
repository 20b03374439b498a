package check_test

import (
	"io/fs"
	"path"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/check"
	"roundkit/testdata"
)

// Every published case whose calculation is built is green and names its source.
func TestPublished(t *testing.T) {
	t.Parallel()
	files, err := fs.Glob(testdata.Checks, "checks/*.jsonl")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	seen := map[string]int{}
	for _, file := range files {
		text, err := fs.ReadFile(testdata.Checks, file)
		require.NoError(t, err)
		check.RunAll(text, func(r check.Result) {
			seen[r.Calc]++
			t.Run(path.Base(file)+"/"+r.ID, func(t *testing.T) {
				require.NotEmpty(t, r.Source)
				require.Empty(t, r.Differs)
				require.True(t, r.Pass)
			})
		})
	}
	for _, c := range check.List() {
		require.Positive(t, seen[c.Name], "no published case of %s", c.Name)
	}
}
