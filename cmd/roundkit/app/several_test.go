package app

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
)

// Several parts in one command are one record to take back: all of them or none. What lies where is
// the invented season's: 24 CRW-10 and 2 of an older lot in T-D03, 75 in W-A2; WIP-40 24 in T-D01.
func TestSeveralPartsAtOnce(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	lies := func(part, place string) (sum float64) {
		env, out, errs := terminal(map[string]string{"DATABASE_URL": url})
		require.Equal(t, frame.Done, Run(t.Context(), env, []string{"stock", "--json"}), errs)
		var rows []answer.Stock
		require.NoError(t, json.Unmarshal(out.Bytes(), &rows))
		for _, r := range rows {
			if r.Part == part && r.Place == place {
				sum += r.Quantity
			}
		}
		return sum
	}
	where := func() []float64 {
		return []float64{lies("CRW-10", "W-A2"), lies("CRW-10", "T-D01"), lies("WIP-40", "W-A1"), lies("WIP-40", "T-D01")}
	}
	require.Equal(t, []float64{75, 0, 6, 24}, where())

	said := says(t, url, frame.Done, "move CRW-10=4 wip-40=2 --from workshop --to T-D01")
	require.Contains(t, said, "CRW-10 4: moved")
	require.Contains(t, said, "WIP-40 2: moved")
	require.Contains(t, said, "all 2 go back together")
	require.Equal(t, []float64{71, 4, 4, 26}, where())
	require.Contains(t, says(t, url, frame.Done, "undo"), "undone: ")
	require.Equal(t, []float64{75, 0, 6, 24}, where(), "both are back")
	says(t, url, frame.Done, "redo")
	require.Equal(t, []float64{71, 4, 4, 26}, where())
	says(t, url, frame.Done, "undo")

	// all that is wrong at once, and nothing recorded
	said = says(t, url, frame.Refused, "move CRW-10=4 WIP-40=700 NO-1=2 --from workshop --to T-D01")
	require.Contains(t, said, "NO-1")
	said = says(t, url, frame.Refused, "move CRW-10=400 WIP-40=700 --from workshop --to T-D01")
	require.Contains(t, said, "CRW-10")
	require.Contains(t, said, "WIP-40", "each is named")
	require.Contains(t, said, "--sure")
	require.Equal(t, []float64{75, 0, 6, 24}, where())
	for _, line := range []string{"move CRW-10=4 CRW-10=2 --to T-D01", "receive WIP-40=1 OSL-40=1 --cost 12.00", "scrap", "scrap WIP-40", "move CRW-10=1 WIP-40=1 --to T-D01 --trip TR-COM",
		"lend SPF-84=1 SPF-93=1 --tag SPF-84#1 --to lent-1"} {
		says(t, url, frame.Wrong, line)
	}
	require.Equal(t, []float64{75, 0, 6, 24}, where())

	env, out, errs := terminal(map[string]string{"DATABASE_URL": url, "ROUNDKIT_PERSON": "u3"})
	require.Equal(t, frame.Done, Run(t.Context(), env, strings.Fields("receive CRW-10=10 WIP-40=20 --to W-A1 --json")), errs)
	var all []answer.Recorded
	require.NoError(t, json.Unmarshal(out.Bytes(), &all))
	require.Len(t, all, 2)
	require.Equal(t, []float64{75, 0, 26, 24}, where())
	require.Equal(t, 10.0, lies("CRW-10", "W-A1"))
	says(t, url, frame.Done, "scrap CRW-10=1 WIP-40=1 --from W-A1")
	require.Equal(t, []float64{75, 0, 25, 24}, where())
	says(t, url, frame.Done, "lend SPF-84=1 SPF-93=1 --to lent-1")
	require.Equal(t, 1.0, lies("SPF-84", "lent-1"))
	says(t, url, frame.Done, "lent-back SPF-84=1 SPF-93=1")
	require.Zero(t, lies("SPF-84", "lent-1")+lies("SPF-93", "lent-1"))
}
