package forecast_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner"
	"roundkit/planner/demand"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// The terms of every part add up to its mean, in every horizon asked for; so do those
// of what is on site and of springs.
func TestTermsAddUp(t *testing.T) {
	t.Parallel()
	for asOf, opts := range map[string]forecast.Options{
		"2027-06-05": {Trip: "TR-ALP"}, "2027-02-09": {Season: true}, "2027-06-14": {Rounds: []string{"TES"}},
	} {
		o := demo(t, asOf)
		for _, p := range o.Snapshot.Parts {
			x, err := o.Explain(p.Code, opts)
			require.NoError(t, err)
			sum := 0.0
			for _, term := range x.Terms {
				sum += term.Mean
				require.GreaterOrEqual(t, term.Jobs, 0.0)
				require.InDelta(t, (1-term.Wet)*term.Dry+term.Wet*term.Rain, term.Mean, 1e-9, "dry and wet means mixed")
			}
			require.InDelta(t, x.Mean, sum, 1e-6*math.Max(1, x.Mean), "%s %s", asOf, p.Code)
		}
	}
}

// A term is the line's own distribution. KAR, foam rings of the lower-leg services:
// 16 jobs, 2 together with 30 % in the dry, 60 % in the wet, rain 35 %. By hand.
func TestTerm(t *testing.T) {
	t.Parallel()
	x, err := demo(t, "2027-06-05").Explain("FRG-40", forecast.Options{Trip: "TR-ALP", At: "truck"})
	require.NoError(t, err)
	require.Len(t, x.Terms, 2, "ZDR and KAR")
	term := x.Terms[1]
	require.Equal(t, "KAR", term.Round)
	require.Equal(t, "2 @30/60 %", term.Line)
	require.False(t, term.Stops)
	require.InDelta(t, 16, term.Jobs, 0)
	require.InDelta(t, 9.6, term.Dry, 1e-12)
	require.InDelta(t, 19.2, term.Rain, 1e-12)
	// variance: 4 x 16 x p(1-p) in each weather, and what the rain moves
	v := 64*(0.65*0.3*0.7+0.35*0.6*0.4) + 0.65*0.35*9.6*9.6
	require.InDelta(t, math.Sqrt(v), term.SD, 1e-12)
	n := demand.Need{Wet: []float64{0.35}, Services: []demand.Service{{Jobs: []int{16}, Lines: []demand.Line{{Kind: demand.Chanced, Quantity: 2, Dry: demand.Chance{P: 0.3}, Wet: &demand.Chance{P: 0.6}}}}}}
	alone, err := n.Distribution()
	require.NoError(t, err)
	require.InDelta(t, alone.Quantile(0.95), float64(term.AtConfidence), 0)
}

// The springs' reasons: rounds, riders, and breakage apart. Scenario section 2.
func TestExplainSpring(t *testing.T) {
	t.Parallel()
	x, err := demo(t, "2027-06-05").Explain("SPF-102", forecast.Options{Trip: "TR-ALP", At: "truck"})
	require.NoError(t, err)
	require.Len(t, x.Springs, 2)
	require.Equal(t, []forecast.SpringRider{{Rider: "PO", Chance: 0.85, Bikes: 2}}, x.Springs[0].Riders)
	require.InDelta(t, 0.01, x.Springs[0].Breaks, 1e-15, "one riding day left at ZDR")
	require.InDelta(t, 0.03, x.Springs[1].Breaks, 1e-15)
	require.Len(t, x.Terms, 3)
	require.Equal(t, "wanted at once", x.Terms[0].Line)
	require.InDelta(t, 2*(1-0.15*0.5), x.Terms[0].Mean, 1e-12)
}

// A picture's bars hold all the chance, touch, and break where the stock ends.
func TestPicture(t *testing.T) {
	t.Parallel()
	o := demo(t, "2027-06-05")
	res, err := o.Forecast(forecast.Options{Trip: "TR-ALP", At: "truck"})
	require.NoError(t, err)
	rapid.Check(t, func(rt *rapid.T) {
		p := res.Parts[rapid.IntRange(0, len(res.Parts)-1).Draw(rt, "part")]
		n := rapid.IntRange(0, 40).Draw(rt, "bars")
		bars := p.Picture(n)
		require.NotEmpty(rt, bars)
		require.LessOrEqual(rt, len(bars), max(n, 2))
		sum, covered, reaches := 0.0, 0.0, 0
		for i, b := range bars {
			require.GreaterOrEqual(rt, b.Chance, -1e-12)
			sum += b.Chance
			if b.Covered {
				covered += b.Chance
			}
			if b.Reaches {
				reaches++
			}
			if i > 0 {
				require.Equal(rt, bars[i-1].To+p.Step, b.From)
			}
		}
		require.InDelta(rt, 1, sum, 1e-9)
		require.Equal(rt, 1, reaches)
		if last := bars[len(bars)-1]; p.OnHand >= bars[0].From && p.OnHand <= last.To && len(bars) > 1 {
			require.InDelta(rt, p.Cover, covered, 0.0011, "what is on hand splits the picture")
		}
	})
}

// A picture of one chance: 0 with 3/4, 2 with 1/4, one in stock. By hand.
func TestPictureSmall(t *testing.T) {
	t.Parallel()
	s := small()
	s.ServiceLines = []planner.ServiceLine{{Service: "SRV", Part: "RING", Quantity: qty(2), DryPercent: dec("25")}}
	s.PlannedJobs = []planner.PlannedJobs{{Round: "ONE", Service: "SRV", Jobs: 1}}
	s.Stock = []planner.Holding{{Part: "RING", Place: "V1", Quantity: 1}}
	p := line(t, newOutlook(t, s), trip, "RING")
	require.Equal(t, []forecast.Bar{
		{From: 0, To: 1, Chance: 0.75, Covered: true}, {From: 2, To: 3, Chance: 0.25, Reaches: true},
	}, p.Picture(10), "bars of whole pairs that part where the stock ends")
	require.Equal(t, units.Quantity(1), p.Short)
}
