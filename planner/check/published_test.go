package check_test

import (
	"io/fs"
	"path"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/check"
	"roundkit/testdata"
)

// The calculations that later parts of the program bring. Each leaves this list when its
// calculation is built; a name that is built already fails the test.
var notBuilt = map[string]bool{
	"newsvendor": true, "lot-size": true, "joint-order": true, "netting": true,
}

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
			if notBuilt[r.Calc] {
				require.NotNil(t, r.Error)
				require.True(t, strings.HasPrefix(*r.Error, "unknown calc"), "%s is built: take it off the list", r.Calc)
				return
			}
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
