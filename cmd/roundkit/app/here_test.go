package app

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
)

// Nobody names a place: what happens is in the truck of the round that is on, and the line
// says so. Figures: known answer 1 (26 washers in T-D03, 24 wipers in T-D01), 75 washers in
// the workshop's W-A2 (stock.csv), the spring lent at 11:40 out of T-D06 (scenario, section 8).
func TestNoPlaceNamed(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	at := func(place, part string) float64 {
		return held(reads[[]answer.Stock](t, run, "stock --at "+place), part)
	}

	out, _ := run(frame.Done, "receive", "CRW-10", "50")
	require.Contains(t, out, "CRW-10 50: received (no place was named: T-D03 in truck, at ZDR)")
	require.InDelta(t, 76, at("T-D03", "CRW-10"), 0)
	out, _ = run(frame.Done, "scrap", "CRW-10", "1")
	require.Contains(t, out, "no place was named: from T-D03 in truck, at ZDR")
	require.InDelta(t, 75, at("T-D03", "CRW-10"), 0)
	run(frame.Done, "move", "CRW-10", "5", "--to", "T-D01")
	require.InDelta(t, 70, at("T-D03", "CRW-10"), 0)
	out, _ = run(frame.Done, "move", "CRW-10", "5", "--from", "W-A2")
	require.Contains(t, out, "no place was named: to T-D03 in truck, at ZDR")
	require.InDelta(t, 75, at("T-D03", "CRW-10"), 0)
	require.InDelta(t, 70, at("W-A2", "CRW-10"), 0)
	_, errs := run(frame.Refused, "scrap", "OIL-D22", "1000ml", "--from", "T-D01")
	require.Contains(t, errs, "in doubt: OIL-D22: found 1 l, expected at most the 0 ml that the book has in T-D01")
	_, errs = run(frame.Refused, "move", "OSL-40B", "1", "--to", "T-D01")
	require.Contains(t, errs, "found no OSL-40B in truck, at ZDR, expected the place it leaves")

	out, _ = run(frame.Done, "lent-back", "--tag", "SPR-435#2")
	require.Contains(t, out, "SPR-435#2: back (home to T-D06, where it left)")
	run(frame.Done, "lend", "--tag", "SPR-435#2", "--to", "lent-1")
	out, _ = run(frame.Done, "lent-back", "SPR-435", "1")
	require.Contains(t, out, "home to T-D06, where it left")

	out, _ = run(frame.Done, "count", "WIP-40=23")
	require.Contains(t, out, "WIP-40 at truck: 1 less than the book, booked as missing (no place was named: truck, at ZDR)")
	require.InDelta(t, 23, at("truck", "WIP-40"), 0)

	require.Equal(t, reads[[]answer.JobsLeft](t, run, "job left --at truck"), reads[[]answer.JobsLeft](t, run, "job left"))
	left, _ := run(frame.Done, "job", "left")
	require.Contains(t, left, "with what is in truck, at ZDR")
	// what asks about everything says so, with the truck's share beside it
	all, _ := run(frame.Done, "stock", "CRW-10")
	require.Contains(t, all, "Stock everywhere of ours")
	require.Contains(t, all, "\"here\" is truck, at ZDR")
	require.Contains(t, all, "80 of 150")
	all, _ = run(frame.Done, "forecast")
	first, _, _ := strings.Cut(all, ":")
	require.Contains(t, first, "with everything of ours (\"here\"")
	require.Regexp(t, `WIP-40 .* 29 +23 `, all)
	left, _ = run(frame.Done, "job", "left", "--as-of", "2027-06-20")
	require.Contains(t, left, "with what is in workshop, at WB2")
}

// Amounts that can hardly be meant: asked again at a terminal, refused elsewhere, taken with
// --sure; nothing is booked of a line with one in it.
func TestAbsurdAmounts(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := person(t, url)
	before := reads[[]answer.Stock](t, run, "stock")
	for line, want := range map[string]string{
		"receive CRW-10 10000000":                  "CRW-10: found 10000000, expected at most ",
		"job log LLS --on F02 --used WIP-40=200":   "WIP-40: found 200, expected about 2, what LLS usually takes",
		"job log LLS --on F02 --used OIL-B68=4.3l": "OIL-B68: found 4.3 l, expected about 43.2 ml",
		"lend SPF-84 9 --to lent-1":                "expected at most the ",
		"move CRW-10 27 --from T-D03 --to T-D01":   "CRW-10: found 27, expected at most the 26 that the book has in T-D03",
		"scrap CRW-10 27":                          "expected at most the 26 that the book has in T-D03",
		"count T-D03 FNS-10=50 CRW-10=240000":      "CRW-10: found 240000, expected at most ",
		"weigh B-104 5000":                         "B-104: found 5 kg, expected at most 964 g, the full bottle of 1 l",
		"tag new B-900 DGR-5L --quantity 6l":       "B-900: found 6 l, expected at most the 5 l",
	} {
		_, errs := run(frame.Refused, words(t, line)...)
		require.Contains(t, errs, want, line)
		require.Contains(t, errs, "hint: if it is so: the same again with --sure", line)
	}
	_, errs := run(frame.Refused, "weigh", "B-104", "80")
	require.Contains(t, errs, "refused: found 80 g gross, expected at least the empty bottle's 92 g", "both figures, once")
	require.NotContains(t, errs, "--sure", "no bottle weighs less than nothing")
	require.Equal(t, before, reads[[]answer.Stock](t, run, "stock"), "nothing was booked")

	_, asked := typing(t, url, frame.Refused, "n\n", "receive CRW-10 10000000")
	require.Contains(t, asked, "Record it all the same? [y/N]")
	require.Contains(t, asked, "stopped, nothing recorded")
	typing(t, url, frame.Refused, "", "scrap CRW-10 27")
	require.Equal(t, before, reads[[]answer.Stock](t, run, "stock"))
	typing(t, url, frame.Done, "y\n", "scrap CRW-10 27")
	require.Zero(t, held(reads[[]answer.Stock](t, run, "stock --at T-D03"), "CRW-10"))
	run(frame.Done, "move", "FNS-10", "60", "--to", "T-D01", "--sure")
	require.InDelta(t, 60, held(reads[[]answer.Stock](t, run, "stock --at T-D01"), "FNS-10"), 0, "51 and 9 found")
}
