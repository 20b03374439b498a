package answers_test

import (
	"encoding/json"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"roundkit/testdata/answers"
)

const sample = `{"parts":[{"part":"A","mean":2,"n":"1.50"},{"part":"B","mean":3,"n":null}],
"pmf":{"step":0.5,"from":1,"p":[0.25,0.5,0.25]}}`

// Computed by hand from the sample.
func TestAt(t *testing.T) {
	t.Parallel()
	var root any
	require.NoError(t, json.Unmarshal([]byte(sample), &root))
	for path, want := range map[string]any{
		"parts[part=A].mean":        2.0,
		"parts[part=B,mean=3].mean": 3.0,
		"parts[part=A].n":           "1.50",
		"parts.sum mean":            5.0,
		"parts[part=C].sum mean":    0.0,
		"pmf.cdf 0.9":               0.0,
		"pmf.cdf 1.5":               0.75,
		"pmf.cdf 9":                 1.0,
	} {
		got, err := answers.At(root, path)
		require.NoError(t, err, path)
		require.Equal(t, want, got, path)
	}
	for _, bad := range []string{"parts.mean", "parts[part=C].mean", "parts[none=A].mean", "pmf.q", "parts[part=A]x", "parts"} {
		_, err := answers.At(root, bad)
		require.Error(t, err, bad)
	}
}

// A wrong figure, text or row turns the check red: it can fail.
func TestCheckFails(t *testing.T) {
	t.Parallel()
	right := answers.Answer{ID: "x", Want: []answers.Want{{Path: "parts[part=A].n", Value: 1.5}, {Path: "parts[part=B].mean", Value: 3.1, Tol: 0.1}}}
	require.NoError(t, right.Check([]byte(sample)))
	wrong := answers.Answer{ID: "x", Want: []answers.Want{
		{Path: "parts[part=A].mean", Value: 2.2, Tol: 0.1}, {Path: "parts[part=A].part", Value: "B"}, {Path: "parts[part=Z].mean", Value: 0.0}}}
	err := wrong.Check([]byte(sample))
	require.ErrorContains(t, err, "found 2, expected 2.2")
	require.ErrorContains(t, err, "found A, expected B")
	require.ErrorContains(t, err, "found 0 rows")
}

func TestPatched(t *testing.T) {
	t.Parallel()
	folder := fstest.MapFS{"rounds.csv": {Data: []byte("round,wet\nZDR,25\nKAR,35\n")}}
	got, err := answers.Patched(folder, []answers.Patch{{File: "rounds.csv", Where: map[string]string{"round": "KAR"}, Set: map[string]string{"wet": "60"}}})
	require.NoError(t, err)
	text, err := got.(fstest.MapFS).ReadFile("rounds.csv")
	require.NoError(t, err)
	require.Equal(t, "round,wet\nZDR,25\nKAR,60\n", string(text))
	_, err = answers.Patched(folder, []answers.Patch{{File: "rounds.csv", Where: map[string]string{"round": "KRA"}, Set: map[string]string{"wet": "60"}}})
	require.ErrorContains(t, err, "no row")
}
