package left_test

import (
	"os"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/left"
	"roundkit/planner/units"
	"roundkit/testdata/season"
)

func qty(n int64) *units.Quantity     { v := units.Quantity(n); return &v }
func dec(text string) planner.Decimal { v := decimal.RequireFromString(text); return &v }
func yes(v bool) *bool                { return &v }

// bench is a round in progress in a workshop with 10 rings, 1 l of oil, no gas.
func bench() *planner.Snapshot {
	return &planner.Snapshot{
		AsOf: day.Of(2027, 5, 2),
		Catalogue: planner.Catalogue{
			Places:   []planner.Place{{Code: "workshop", Kind: "workshop"}, {Code: "W1", In: "workshop", Kind: "drawer"}, {Code: "W2", In: "workshop", Kind: "drawer"}, {Code: "truck", Kind: "truck"}},
			Parts:    []planner.Part{{Code: "RING", Unit: units.PC}, {Code: "OIL", Unit: units.ML}, {Code: "GAS", Unit: units.PC}, {Code: "RAG", Unit: units.PC}},
			Services: []planner.Service{{Code: "SRV"}},
		},
		Plan: planner.Plan{
			Rounds:       []planner.Round{{Code: "NOW", FirstOn: day.Of(2027, 5, 1), LastOn: day.Of(2027, 5, 4)}, {Code: "NEXT", FirstOn: day.Of(2027, 5, 10), LastOn: day.Of(2027, 5, 12)}},
			ServiceLines: []planner.ServiceLine{{Service: "SRV", Part: "RING", Quantity: qty(2)}, {Service: "SRV", Part: "OIL", Min: qty(60_000), Typical: qty(80_000), Max: qty(120_000), AllowancePercent: dec("25")}},
		},
		Stock: []planner.Holding{
			{Part: "RING", Place: "W1", Quantity: 7}, {Part: "RING", Place: "W2", Quantity: 4},
			{Part: "OIL", Place: "W1", Quantity: 850_000}, {Part: "OIL", Place: "W2", Quantity: 150_000},
			{Part: "RING", Place: "truck", Quantity: 100},
		},
	}
}

// By hand: 11 rings do 5 services of 2, 1000 ml do 10 of 80 ml + 25 %.
func TestAt(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name        string
		do          func(*planner.Snapshot)
		left, after int
		by          string
		next        []left.PartLeft
	}{
		{"pooled over drawers and bottles", func(*planner.Snapshot) {}, 5, 5, "RING", []left.PartLeft{{Part: "OIL", Left: 10}}},
		{"three more are planned in the round in progress", func(s *planner.Snapshot) {
			s.PlannedJobs = []planner.PlannedJobs{{Round: "NOW", Service: "SRV", Jobs: 4}, {Round: "NEXT", Service: "SRV", Jobs: 9}}
			s.Done = []planner.DoneJobs{{Round: "NOW", Service: "SRV", Jobs: 1}}
		}, 5, 2, "RING", []left.PartLeft{{Part: "OIL", Left: 10}}},
		{"more are planned than can be done", func(s *planner.Snapshot) {
			s.PlannedJobs = []planner.PlannedJobs{{Round: "NOW", Service: "SRV", Jobs: 40}}
		}, 5, 0, "RING", []left.PartLeft{{Part: "OIL", Left: 10}}},
		{"a range without typical counts at its middle", func(s *planner.Snapshot) { s.ServiceLines[1].Typical = nil }, 5, 5, "RING", []left.PartLeft{{Part: "OIL", Left: 8}}},
		{"chance lines and what stops no job count nothing", func(s *planner.Snapshot) {
			s.ServiceLines = append(s.ServiceLines, planner.ServiceLine{Service: "SRV", Part: "RAG", Quantity: qty(1), DryPercent: dec("90")},
				planner.ServiceLine{Service: "SRV", Part: "RAG", Quantity: qty(1), StopsJob: yes(false)}, planner.ServiceLine{Service: "SRV", OwnPart: "fork spring", Quantity: qty(1)})
		}, 5, 5, "RING", []left.PartLeft{{Part: "OIL", Left: 10}}},
		{"two lines of one part add up", func(s *planner.Snapshot) {
			s.ServiceLines = append(s.ServiceLines, planner.ServiceLine{Service: "SRV", Part: "RING", Quantity: qty(3)})
		}, 2, 2, "RING", []left.PartLeft{{Part: "OIL", Left: 10}}},
		{"ties go to the sheet's first line", func(s *planner.Snapshot) { s.Stock[2].Quantity = 350_000 }, 5, 5, "RING", []left.PartLeft{{Part: "OIL", Left: 5}}},
		{"what must be on site is missing", func(s *planner.Snapshot) {
			s.ServiceLines = append(s.ServiceLines, planner.ServiceLine{Service: "SRV", Part: "GAS", Quantity: qty(1), OnSite: yes(true)})
		}, 0, 0, "GAS", []left.PartLeft{{Part: "RING", Left: 5}, {Part: "OIL", Left: 10}}},
		{"what must be on site is there, and limits nothing", func(s *planner.Snapshot) {
			s.ServiceLines = append(s.ServiceLines, planner.ServiceLine{Service: "SRV", Part: "GAS", Quantity: qty(1), OnSite: yes(true)})
			s.Stock = append(s.Stock, planner.Holding{Part: "GAS", Place: "W1", Quantity: 1})
		}, 5, 5, "RING", []left.PartLeft{{Part: "OIL", Left: 10}}},
		{"past its date on the day", func(s *planner.Snapshot) {
			yesterday := day.Of(2027, 5, 1)
			s.Lots = []planner.Lot{{Code: "L", Part: "RING", ExpiresOn: &yesterday}}
			s.Stock[0].Lot = "L"
		}, 2, 2, "RING", []left.PartLeft{{Part: "OIL", Left: 10}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := bench()
			c.do(s)
			o, err := forecast.New(s)
			require.NoError(t, err)
			rows, err := left.At(o, "workshop")
			require.NoError(t, err)
			require.Len(t, rows, 1)
			require.Equal(t, c.left, *rows[0].Left)
			require.Equal(t, c.after, *rows[0].LeftAfterPlan)
			require.Equal(t, c.by, rows[0].LimitedBy)
			require.Equal(t, c.next, rows[0].Next)
		})
	}
}

func TestNothingCounted(t *testing.T) {
	t.Parallel()
	s := bench()
	s.ServiceLines = nil
	o, err := forecast.New(s)
	require.NoError(t, err)
	rows, err := left.At(o, "")
	require.NoError(t, err)
	require.Nil(t, rows[0].Left)
	require.Empty(t, rows[0].LimitedBy)
	_, err = left.At(o, "wrkshop")
	require.EqualError(t, err, "no place wrkshop; did you mean workshop?")
}

// Rows only for the forks with oil of their own; after what is left at ZDR (4 lower-leg
// services, two washers each) 26 - 8 = 18 washers do 9. Scenario answers 2 to 4.
func TestDemo(t *testing.T) {
	t.Parallel()
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 6, 5))
	require.NoError(t, err)
	o, err := forecast.New(s)
	require.NoError(t, err)
	rows, err := left.At(o, "truck")
	require.NoError(t, err)
	forks := 0
	for _, r := range rows {
		switch r.Service {
		case "DMP":
			forks++
			require.NotEmpty(t, r.Assembly)
		case "LLS":
			require.Equal(t, 13, *r.Left)
			require.Equal(t, 9, *r.LeftAfterPlan)
			require.Equal(t, "CRW-10", r.LimitedBy)
		case "CRA":
			require.Nil(t, r.Left, "all its lines are by chance")
		default:
			require.Empty(t, r.Assembly)
		}
	}
	require.Equal(t, 8, forks)
	// the workshop's stock is not what ZDR draws on
	rows, err = left.At(o, "workshop")
	require.NoError(t, err)
	for _, r := range rows {
		require.Equal(t, r.Left, r.LeftAfterPlan, r.Service)
	}
}
