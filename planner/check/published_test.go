package check_test

import (
	"io/fs"
	"path"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/check"
	"roundkit/testdata"
)

// Every case that came with the program, of a calculation that is built, is green, names
// its source and says what its value rests on.
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
				require.NotEmpty(t, r.Rests, "what the value rests on")
				require.Empty(t, r.Differs)
				require.True(t, r.Pass)
			})
		})
	}
	for _, c := range check.List() {
		require.Positive(t, seen[c.Name], "no published case of %s", c.Name)
	}
}

// A case is published only if its value, or its inputs, were read in what was published.
func TestEvidence(t *testing.T) {
	t.Parallel()
	for line, want := range map[string]check.Evidence{
		`"want":{"mean":2},"verified":"source value read; agrees with the independent reference"`: check.ValueRead,
		`"want":{"mean":2},"verified":"no published value; computed twice, by two programs"`:      check.OwnInstance,
		`"want":{"mean":2},"source":"by hand: it is its mean"`:                                    check.ByHand,
		`"want":{"mean":2},"source":"a textbook, which nobody says to have read"`:                 "",
		`"want":{"error":true},"verified":"source value read"`:                                    check.BadInput,
		`"want":{"mean":2},"verified":7`:                                                          "",
	} {
		check.RunAll([]byte(`{"calc":"poisson","in":{"mean":2},`+line+`}`), func(r check.Result) {
			require.Equal(t, want, r.Rests, line)
		})
	}
}
