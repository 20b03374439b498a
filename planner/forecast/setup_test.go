package forecast_test

import (
	"os"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
	"roundkit/testdata/season"
)

// demo returns the invented season as of a day.
func demo(t *testing.T, asOf string) *forecast.Outlook {
	t.Helper()
	s, err := season.Load(os.DirFS("../../testdata/demo"), d(asOf))
	require.NoError(t, err)
	o, err := forecast.New(s)
	require.NoError(t, err)
	return o
}

// d is a date written out in a test.
func d(text string) day.Day {
	v, err := day.Parse(text)
	if err != nil {
		panic(err)
	}
	return v
}

func on(text string) *day.Day         { v := d(text); return &v }
func dec(text string) planner.Decimal { v := decimal.RequireFromString(text); return &v }
func qty(n int64) *units.Quantity     { v := units.Quantity(n); return &v }
func num(n int) *int                  { return &n }
func yes(v bool) *bool                { return &v }
func newOutlook(t *testing.T, s *planner.Snapshot) *forecast.Outlook {
	t.Helper()
	o, err := forecast.New(s)
	require.NoError(t, err)
	return o
}

// small is a season of one trip by truck, two rounds, one fork service; tests change
// what they are about.
func small() *planner.Snapshot {
	return &planner.Snapshot{
		AsOf: d("2027-05-01"),
		Catalogue: planner.Catalogue{
			Models:     []planner.Model{{Code: "FK", Kind: "fork"}, {Code: "BK", Kind: "bike"}},
			Assemblies: []planner.Assembly{{Code: "F1", Model: "FK", Rider: "R1", DamperOil: "OIL"}, {Code: "F2", Model: "FK", Rider: "R1", DamperOil: "OIL2"}, {Code: "F3", Model: "FK", Rider: "R2", DamperOil: "OIL"}},
			Places: []planner.Place{
				{Code: "workshop", Kind: "workshop"}, {Code: "van", Kind: "truck"}, {Code: "V1", In: "van", Kind: "drawer"},
				{Code: "lent-1", Kind: "lent"}, {Code: "scrap", Kind: "outside"},
			},
			Parts: []planner.Part{
				{Code: "RING", Unit: units.PC, Kind: "seal"}, {Code: "OIL", Unit: units.ML, Kind: "oil", Contents: qty(1_000_000), MonthsAfterOpening: num(12)},
				{Code: "OIL2", Unit: units.ML, Kind: "oil"}, {Code: "GAS", Unit: units.PC, Kind: "gas"},
				{Code: "SP1", Unit: units.PC, Kind: "spring"}, {Code: "SP2", Unit: units.PC, Kind: "spring"},
			},
			Services: []planner.Service{{Code: "SRV", ModelKind: "fork"}, {Code: "FALL", ModelKind: "bike", Planned: yes(false)}},
		},
		Plan: planner.Plan{
			Rounds: []planner.Round{
				{Code: "ONE", Trip: "T1", FirstOn: d("2027-05-06"), LastOn: d("2027-05-09")},
				{Code: "TWO", Trip: "T1", FirstOn: d("2027-05-13"), LastOn: d("2027-05-16")},
			},
			Trips: []planner.Trip{{Code: "T1", GoesBy: "truck", Truck: "van", PackBy: on("2027-05-04"), LeavesOn: on("2027-05-05"), BackOn: on("2027-05-18")}},
		},
	}
}

// line returns a part's line of the forecast of a trip.
func line(t *testing.T, o *forecast.Outlook, opts forecast.Options, part string) forecast.Part {
	t.Helper()
	res, err := o.Forecast(opts)
	require.NoError(t, err)
	for _, p := range res.Parts {
		if p.Code == part {
			return p
		}
	}
	require.Fail(t, "no part "+part)
	return forecast.Part{}
}
