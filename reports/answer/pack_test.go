package answer_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/load"
	"roundkit/reports/answer"
	"roundkit/testdata/season"
)

// Every field of the contract is there under its name, with numbers, texts and lists as
// the project's own contract says, also where nothing is packed or short.
func TestPackHasTheContractsFields(t *testing.T) {
	t.Parallel()
	for trip, lines := range map[string]bool{"TR-TES": true, "TR-WB2": false} {
		s, err := season.Load(demo, day.Of(2027, 6, 5))
		require.NoError(t, err)
		o, err := forecast.New(s)
		require.NoError(t, err)
		r, err := load.Plan(t.Context(), o, load.Options{Trip: trip, Draws: 200, Alone: true})
		require.NoError(t, err)
		text, err := json.Marshal(answer.OfPack(r))
		require.NoError(t, err)
		var got map[string]any
		require.NoError(t, json.Unmarshal(text, &got))
		for _, f := range []string{"trip", "readiness", "bound", "gap", "lines", "short", "mass_kg", "gross_kg", "litres", "spend", "first_to_leave", "next_to_add"} {
			require.Contains(t, got, f)
		}
		for _, f := range []string{"product", "product_without_short", "within_weather", "simulated", "se"} {
			require.Contains(t, got["readiness"], f)
		}
		require.IsType(t, []any{}, got["lines"])
		require.IsType(t, []any{}, got["short"])
		require.IsType(t, "", got["spend"], "money is a decimal text")
		require.Equal(t, lines, len(got["lines"].([]any)) > 0)
		if !lines {
			continue
		}
		mass := 0.0
		for _, l := range got["lines"].([]any) {
			line := l.(map[string]any)
			for _, f := range []string{"part", "unit", "quantity", "containers", "place", "case", "lot", "tag", "order"} {
				require.Contains(t, line, f)
			}
			mass += line["mass_g"].(float64)
		}
		require.InDelta(t, mass/1000, got["mass_kg"], 1e-9)
		short := got["short"].([]any)[0].(map[string]any)
		require.Equal(t, map[string]any{"part": "N2-5L", "unit": "pc", "need": 1.0, "have": 0.0, "why": "air"},
			map[string]any{"part": short["part"], "unit": short["unit"], "need": short["need"], "have": short["have"], "why": short["why"]})
		require.Equal(t, []string{"part", "container", "readiness"}, have(got["first_to_leave"].(map[string]any), "part", "container", "readiness"))
	}
}

// have returns which of the fields an object has.
func have(object map[string]any, fields ...string) []string {
	var out []string
	for _, f := range fields {
		if _, ok := object[f]; ok {
			out = append(out, f)
		}
	}
	return out
}
