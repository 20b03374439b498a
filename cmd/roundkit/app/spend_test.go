package app

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
	"roundkit/testdata/answers"
)

// asked runs a command and reads its JSON.
func asked[T any](t *testing.T, url string, line ...string) (out T) {
	t.Helper()
	env, printed, errs := terminal(map[string]string{"DATABASE_URL": url})
	require.Equal(t, frame.Done, Run(t.Context(), env, append(line, "--json")), "%v: %s", line, errs)
	require.NoError(t, json.Unmarshal(printed.Bytes(), &out), printed)
	return out
}

func reasons(s answer.Spend) map[string]int {
	out := map[string]int{}
	for _, n := range s.NotValued {
		out[n.Reason] = n.Rows
	}
	return out
}

// What cannot be valued is said with its reason, and the figure it would be in lacks it:
// the demo's charges are 3328.55 and its budget 15174; LT-0003, 60 for 51.00, was
// used up by the rows of job-parts.csv, of 1778.9405 in all.
func TestWhatCannotBeValued(t *testing.T) {
	t.Parallel()
	tests := map[string]struct {
		patch  answers.Patch
		reason string
		rows   int
		figure func(answer.SpendRow) string
		want   string
	}{
		"a missing exchange rate": {answers.Patch{File: "exchange-rates.csv", Where: map[string]string{"currency": "NZD"}, Set: map[string]string{"currency": "SEK"}},
			"charge CH-003: no rate for NZD on 2027-03-22", 1, func(r answer.SpendRow) string { return r.Charges }, "1892.5000"},
		"a lot without cost": {answers.Patch{File: "lots.csv", Where: map[string]string{"lot": "LT-0003"}, Set: map[string]string{"cost": ""}},
			"used: lot LT-0003 has no cost", 30 /* rows of job-parts.csv */, func(r answer.SpendRow) string { return r.Used }, "1727.9405"},
		"a budget in two currencies": {answers.Patch{File: "budget.csv", Where: map[string]string{"line": "oils and waste"}, Set: map[string]string{"currency": "SEK"}},
			"budget line oils and waste: no rate for SEK on 2027-06-05", 1, func(r answer.SpendRow) string { return r.Budget }, "14574.0000"},
		"a date outside the season": {answers.Patch{File: "charges.csv", Where: map[string]string{"charge": "CH-001"}, Set: map[string]string{"date": "2027-02-07"}},
			"charge CH-001 is dated 2027-02-07, outside the season (2027-02-08 to 2027-10-15)", 1, func(r answer.SpendRow) string { return r.Charges }, "3116.5500"},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			url := seasonURL(t, []answers.Patch{tt.patch})
			s := asked[answer.Spend](t, url, "spend")
			require.Equal(t, tt.rows, reasons(s)[tt.reason], "%v", reasons(s))
			require.Equal(t, tt.want, tt.figure(s.Total))
			env, out, errs := terminal(map[string]string{"DATABASE_URL": url})
			require.Equal(t, frame.Done, Run(t.Context(), env, []string{"spend"}), errs)
			require.Contains(t, out.String(), "not valued")
		})
	}
}

// Rates come from a CSV file: the same that the workbook's sheet holds, each from its day
// on; what lacked one is valued with that of its own day, not the latest. By hand: 2,611 NZD
// of 2027-03-22 at 0.55, not at 0.99.
func TestRatesFromAFile(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, []answers.Patch{{File: "exchange-rates.csv", Where: map[string]string{"currency": "NZD"}, Set: map[string]string{"currency": "SEK"}}})
	require.NotEmpty(t, asked[answer.Spend](t, url, "spend").NotValued)
	file := filepath.Join(t.TempDir(), "rates.csv")
	run := func(status int, text string, line ...string) string {
		t.Helper()
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
		env, out, errs := terminal(map[string]string{"DATABASE_URL": url, "ROUNDKIT_HOME": t.TempDir()})
		require.Equal(t, status, Run(t.Context(), env, append([]string{"rate", "load", file}, line...)), errs)
		return out.String() + errs.String()
	}
	const good = "day;currency;rate\n2027-03-22;NZD;0,55\n2027-03-23;NZD;0,99\n"
	said := run(frame.Refused, "day,currency,rate\n2027-03-32,NZD,0.55\n2027-03-22,EUR,1\n2027-03-22,NZD,0\n2027-03-21,NDZ,1\n")
	for _, fault := range []string{"line 2, column from day", `line 3, column currency: found "EUR"`, "line 4, column rate to home currency", `line 5, column currency: found "NDZ"`} {
		require.Contains(t, said, fault)
	}
	require.Contains(t, run(frame.Refused, "a,b\n1,2\n"), "found no heading")
	require.Contains(t, run(frame.Done, good, "--dry-run"), "added NZD, 2027-03-22")
	require.NotEmpty(t, asked[answer.Spend](t, url, "spend").NotValued, "nothing was written so far")

	run(frame.Done, good)
	s := asked[answer.Spend](t, url, "spend")
	require.Empty(t, s.NotValued)
	require.Equal(t, "3328.5500", s.Total.Charges)
	holds := map[string]string{}
	for _, r := range asked[[]struct {
		Currency, Rate string
		Holds          bool
	}](t, url, "rate", "list", "--as-of", "2027-03-22") {
		if r.Holds {
			holds[r.Currency] = r.Rate
		}
	}
	require.Equal(t, "0.55", holds["NZD"])
	require.Equal(t, "1.16", holds["GBP"])
	require.Contains(t, run(frame.Done, good), "already is what the file says")
}

// Other cost formulas, the balance and the variances from the command: they agree with each
// other, and what cannot go together is wrong usage.
func TestSpendPartByPart(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	for _, formula := range []string{"lot", "fifo", "average"} {
		s := asked[answer.Spend](t, url, "spend", "--by", "rider", "--valued", formula)
		b := asked[answer.Balances](t, url, "spend", "--reconcile", "--valued", formula)
		require.Equal(t, formula, s.Valued)
		require.True(t, b.Sound)
		require.Equal(t, []string{s.Total.Used, s.Total.Scrapped, s.Total.Difference}, []string{b.Total.Used, b.Total.Scrapped, b.Total.Difference}, formula)
		require.Equal(t, "0.0000", b.Total.Remainder)
	}
	v := asked[answer.Variances](t, url, "spend", "--variance", "list")
	require.NotEmpty(t, v.Parts)
	require.Equal(t, "-1951.1000", v.Total.Free, "known answer 16: what came free has this list value")
	for _, line := range [][]string{{"--valued", "lifo"}, {"--variance", "dear"}, {"--reconcile", "--by", "round"}, {"--variance", "list", "--valued", "fifo"},
		{"--out", "x.xlsx", "--from", "2027-03-01"}, {"--reconcile", "--variance", "list"}} {
		env, _, errs := terminal(map[string]string{"DATABASE_URL": url})
		require.Equal(t, frame.Wrong, Run(t.Context(), env, append([]string{"spend"}, line...)), "%v: %s", line, errs)
	}
}
