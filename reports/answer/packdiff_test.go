package answer_test

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/load"
	"roundkit/planner/versus"
	"roundkit/reports/answer"
	"roundkit/testdata/season"
)

// A saved answer read back is the list that was saved: nothing differs, and the money that
// is not in it is said to be the same lines as in the load.
func TestSavedListReadsBack(t *testing.T) {
	t.Parallel()
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 2, 25))
	require.NoError(t, err)
	o, err := forecast.New(s)
	require.NoError(t, err)
	r, err := load.Plan(t.Context(), o, load.Options{Trip: "TR-PEL", Draws: 500, Seed: 1})
	require.NoError(t, err)
	text, err := json.Marshal(answer.OfPack(r))
	require.NoError(t, err)
	saved, err := answer.ReadPackedList(bytes.NewReader(text), s.Parts)
	require.NoError(t, err)
	now := answer.PackedList(r)
	require.Equal(t, len(now.Lines), len(saved.Lines))
	d, err := versus.Between(saved, now)
	require.NoError(t, err)
	require.Empty(t, d.Parts)
	require.True(t, d.Grams.IsZero(), d.Grams)
	require.NotEmpty(t, d.Money)
	for _, m := range d.Money {
		require.True(t, m.By.IsZero(), m)
	}
	require.Equal(t, now.Readiness, saved.Readiness)
}

func TestSavedListRefused(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"":        "expected what pack --json printed",
		"[]":      "expected what pack --json printed",
		`{"a":1}`: "found no trip or no lines",
		`{"trip":"T","lines":[{"part":"A","unit":"pc","quantity":-1},{"part":"B","unit":"l","quantity":1},{"unit":"pc","quantity":1}]}`: "lines[1], B: found 1 l",
		`{"trip":"T","lines":[{"part":"A","unit":"pc","quantity":1,"value":"x"}]}`:                                                      `found value "x"`,
		`{"trip":"T","lines":[{"part":"A","unit":"pc","quantity":1e300}]}`:                                                              "expected a quantity above 0",
	} {
		_, err := answer.ReadPackedList(strings.NewReader(text), nil)
		require.ErrorContains(t, err, want, text)
	}
	_, err := answer.ReadPackedList(strings.NewReader(`{"trip":"T","lines":[{"unit":"pc","quantity":1},{"part":"A","unit":"pc","quantity":-1}]}`), nil)
	require.ErrorContains(t, err, "lines[0]: found no part")
	require.ErrorContains(t, err, "lines[1], A: found -1 pc", "all faults at once")
}

func FuzzReadPackedList(f *testing.F) {
	f.Add([]byte(`{"trip":"T","as_of":"2027-06-05","lines":[{"part":"A","unit":"ml","quantity":0.5,"mass_g":1.25,"value":"3.10","value_in":"EUR"}]}`))
	f.Add([]byte(`{"trip":"T","lines":[]}`))
	f.Add([]byte(`{"trip":"T","lines":[{"part":"A","unit":"pc","quantity":1,"mass_g":1e300,"value":"1e999999999"}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		list, err := answer.ReadPackedList(bytes.NewReader(text), nil)
		if err != nil {
			return
		}
		for _, l := range list.Lines {
			require.Positive(t, l.Quantity)
		}
		same, err := versus.Between(list, list)
		if err == nil { // a part in two units within one list is refused
			require.Empty(t, same.Parts)
		}
	})
}
