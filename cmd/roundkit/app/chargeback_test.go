package app

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
)

// A charge is taken back as anything else, and put back: the freight of PEL is what it was, then, and
// nothing that was recorded before it is touched. Spread over an order (PO-006, 850.00 of goods) the
// lots cost what they did. By hand: 85.50 more, then as before.
func TestChargeTakenBack(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	ask := func(line string) string {
		env, out, errs := terminal(map[string]string{"DATABASE_URL": url})
		require.Equal(t, frame.Done, Run(t.Context(), env, strings.Fields(line)), errs)
		return out.String()
	}
	charges := func() (sum string) {
		var s struct {
			Rows []struct{ Key, Charges string }
		}
		require.NoError(t, json.Unmarshal([]byte(ask("spend --by round --json")), &s))
		for _, r := range s.Rows {
			if r.Key == "PEL" {
				return decimal.RequireFromString(r.Charges).StringFixed(2)
			}
		}
		return ""
	}
	require.Equal(t, "3066.55", charges())
	says(t, url, frame.Done, "job log LLS --on F01 --as-usual")
	require.Contains(t, says(t, url, frame.Done, "charge add freight 85.50 --round PEL"), "to take it back: roundkit undo")
	require.Equal(t, "3152.05", charges())
	require.Contains(t, says(t, url, frame.Done, "undo"), "undone: the charge, 2027-06-05 19:00, by u3 - freight, 85.5 EUR, PEL")
	require.Equal(t, "3066.55", charges())
	require.Contains(t, says(t, url, frame.Done, "redo"), "freight, 85.5 EUR, PEL")
	require.Equal(t, "3152.05", charges())
	says(t, url, frame.Done, "undo")
	require.Equal(t, "3066.55", charges())
	require.Contains(t, says(t, url, frame.Done, "job list --last 1"), "LLS F01", "the job before it stands")
	require.NotContains(t, says(t, url, frame.Done, "job list --last 1"), "undone")

	before := ask("spend --by service --json")
	says(t, url, frame.Done, "charge add freight 33 --over PO-006")
	require.NotEqual(t, before, ask("spend --by service --json"))
	require.Contains(t, says(t, url, frame.Done, "undo"), "freight, 33 EUR, over PO-006")
	require.Equal(t, before, ask("spend --by service --json"), "its lots cost what they did")
	says(t, url, frame.Done, "db verify")
}
