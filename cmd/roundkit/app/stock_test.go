package app

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
)

// What each filter of stock leaves. Figures: the scenario's wrinkles (an expired lot of
// OSL-40, bottle B-018 past its months after opening, a lent spring due on 06-06), its
// bottles, and known answers 1, 4, 5 and 6.
func TestStockFilters(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	tags := func(rows []answer.Stock) (out []string) {
		for _, r := range rows {
			out = append(out, r.Part+" "+r.Tag)
		}
		return out
	}
	require.Equal(t, []string{"OSL-40 ", "OIL-D10 B-018"}, tags(reads[[]answer.Stock](t, run, "stock --expiring 2027-06-05")))
	require.Equal(t, []string{"OSL-40 "}, tags(reads[[]answer.Stock](t, run, "stock --expiring 2027-02-01")), "B-018 is good until that day")

	require.Equal(t, []string{"OIL-B68 B-104", "OIL-D10 B-121", "OIL-D16 B-109", "OIL-D22 B-111", "OIL-S13 B-112", "OIL-A150 B-116"},
		tags(reads[[]answer.Stock](t, run, "stock --open --at truck")))

	lent := reads[[]answer.Stock](t, run, "stock --lent")
	require.Equal(t, []string{"SPR-435 SPR-435#2"}, tags(lent))
	require.Equal(t, []any{"lent-1", "2027-06-06", false}, []any{lent[0].Place, lent[0].DueBack.String(), lent[0].Overdue})
	require.True(t, reads[[]answer.Stock](t, run, "stock --lent --as-of 2027-06-07")[0].Overdue)

	require.Equal(t, reads[[]answer.Stock](t, run, "stock --at truck"), reads[[]answer.Stock](t, run, "stock --trip TR-ALP"), "the truck is away with it")
	require.Empty(t, reads[[]answer.Stock](t, run, "stock --trip TR-COM"))
	require.Len(t, reads[[]answer.Stock](t, run, "stock --reserved --at FC-2 --as-of 2027-03-05"), 27, "packed for the fly-away: 15 fork springs, 12 shock springs")
	require.Empty(t, reads[[]answer.Stock](t, run, "stock --reserved --at FC-2 --as-of 2027-04-01"), "home again")

	short := map[string]float64{}
	for _, b := range reads[[]answer.Below](t, run, "stock --below --at truck") {
		short[b.Part] = b.Short
	}
	require.Equal(t, map[string]float64{"WIP-40": 4, "FRG-40": 2, "CRW-10": 14, "SPF-102": 1, "KIT-VA75": 1}, short)
	out, _ := run(frame.Done, "stock", "--below", "--at", "truck", "CRW-10")
	require.Contains(t, out, "T-D03 26, W-A2 75")

	// the board: SPF-75#5 was the last loose 43 lb/in (known answer 9)
	board, _ := run(frame.Done, "stock", "springs")
	require.Contains(t, board, "41 springs, season clock 2027-06-05 19:0")
	require.Contains(t, board, "none loose of SPF-75")
	require.Contains(t, board, "7.49 N/mm  F05     BU-A BU  fitted")
	board, _ = run(frame.Done, "stock", "springs", "--as-of", "2027-06-07")
	require.Contains(t, board, "lent, overdue since 2027-06-06")

	for line, want := range map[string]string{"2027-02-30": "option --expiring: found \"2027-02-30\"", "5.6.2027": "expected a date such as"} {
		_, errs := run(frame.Wrong, "stock", "--expiring", line)
		require.Contains(t, errs, want)
	}
	for part, want := range map[string]string{"wiper": "did you mean WIP-40 (wiper, 40 mm leg)?", "WIP40": "did you mean WIP-40?", "copper": "did you mean CRW-10C (crush washer"} {
		_, errs := run(frame.Refused, "stock", part)
		require.Contains(t, errs, want)
	}
}
