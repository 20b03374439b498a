package forecast_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// springy is the small season with two fork springs: R1 rides F1 and F2, R2 rides F3.
// R1 wants SP2 with 60 % at steepness 3, else keeps what is fitted (SP1 in F1, SP2 in
// F2); R2 always wants SP1.
func springy() *planner.Snapshot {
	s := small()
	s.Rounds[0].Steepness = num(3)
	s.Springs = []planner.Spring{{Part: "SP1", Model: "FK"}, {Part: "SP2", Model: "FK"}}
	s.SpringChoices = []planner.SpringChoice{
		{Rider: "R1", Model: "FK", Spring: "SP2", Steep3: dec("60")},
		{Rider: "R2", Model: "FK", Spring: "SP1", Steep3: dec("100")},
	}
	s.Stock = []planner.Holding{
		{Part: "SP1", Place: "F1", Quantity: 1}, {Part: "SP2", Place: "F2", Quantity: 1}, {Part: "SP1", Place: "F3", Quantity: 1},
		{Part: "SP2", Place: "V1", Quantity: 1},
	}
	s.ServiceLines = []planner.ServiceLine{{Service: "SRV", OwnPart: "fork spring", Quantity: qty(1)}}
	s.PlannedJobs = []planner.PlannedJobs{{Round: "ONE", Service: "SRV", Jobs: 1}}
	return s
}

// By hand: of SP1 R2 wants 1, R1 with 40 % keeps 1; of SP2 R1 wants 2 with 60 % and
// keeps 1 with 40 %.
func TestSpringsKeptAndChosen(t *testing.T) {
	t.Parallel()
	o := newOutlook(t, springy())
	one := line(t, o, trip, "SP1")
	require.InDelta(t, 0.6, one.Dist.PMF.At(1), 1e-12)
	require.InDelta(t, 0.4, one.Dist.PMF.At(2), 1e-12)
	two := line(t, o, trip, "SP2")
	require.InDelta(t, 0.4, two.Dist.PMF.At(1), 1e-12)
	require.InDelta(t, 0.6, two.Dist.PMF.At(2), 1e-12)
	require.Equal(t, units.Quantity(2), one.OnHand, "what is fitted counts as had")
	require.Equal(t, units.Quantity(2), two.OnHand)
	require.Equal(t, units.Quantity(2), line(t, o, forecast.Options{Trip: "T1", At: "workshop"}, "SP1").OnHand, "fitted ones are on the trip wherever we ask")
}

// The most wanted at once, not the sum: the same round twice. By hand: P(SP2 = 1) is
// 0.4 twice. A round of which nobody knows the steepness wants none.
func TestSpringsAtOnce(t *testing.T) {
	t.Parallel()
	s := springy()
	require.InDelta(t, 0.6, line(t, newOutlook(t, s), trip, "SP2").Dist.PMF.At(2), 1e-12, "TWO has no steepness")
	s.Rounds[1].Steepness = num(3)
	two := line(t, newOutlook(t, s), trip, "SP2").Dist.PMF
	require.InDelta(t, 0.16, two.At(1), 1e-12)
	require.InDelta(t, 0.84, two.At(2), 1e-12)
	s.AsOf = d("2027-05-09") // ONE is over
	require.InDelta(t, 0.6, line(t, newOutlook(t, s), trip, "SP2").Dist.PMF.At(2), 1e-12)
}

// Breakage on the riding days left of rounds where some rider may want the spring:
// 0.1 a day on four days, then on two. By hand.
func TestSpringsBreak(t *testing.T) {
	t.Parallel()
	s := springy()
	s.Springs[1].BreaksPerDay = dec("0.1")
	require.InDelta(t, 1.6+0.4, line(t, newOutlook(t, s), trip, "SP2").Mean, 1e-12)
	s.AsOf = d("2027-05-07")
	require.InDelta(t, 1.6+0.2, line(t, newOutlook(t, s), trip, "SP2").Mean, 1e-12)
	s.SpringChoices[0].Steep3 = nil // R1 keeps what is fitted: F2 still wants its own
	require.InDelta(t, 1+0.2, line(t, newOutlook(t, s), trip, "SP2").Mean, 1e-12)
	s.Stock[1].Part = "SP1" // nobody wants or keeps it: nothing can break
	require.Zero(t, line(t, newOutlook(t, s), trip, "SP2").Mean)
}

// By air only what goes by air is there: R1's F1 alone. By hand.
func TestSpringsByAir(t *testing.T) {
	t.Parallel()
	s := springy()
	s.Trips[0].GoesBy = "air"
	s.Assemblies[0].GoesByAir = yes(true)
	o := newOutlook(t, s)
	two := line(t, o, trip, "SP2")
	require.InDelta(t, 0.6, two.Dist.PMF.At(1), 1e-12)
	require.InDelta(t, 0.4, two.Dist.PMF.At(0), 1e-12)
	require.Equal(t, units.Quantity(1), two.OnHand, "the loose one; F2 and its spring stay at home")
}

// The springs of a model together: with two of each, both rates are enough whatever
// is chosen; with one SP1 and two SP2 R1 must choose SP2. By hand, then with breakage.
func TestSpringBlock(t *testing.T) {
	t.Parallel()
	s := springy()
	joint := func() forecast.SpringBlock {
		r, err := newOutlook(t, s).Ready(trip, forecast.ReadyOptions{})
		require.NoError(t, err)
		require.Len(t, r.Springs, 1)
		require.InDelta(t, r.Springs[0].Joint, r.All.Joint, 1e-15, "nothing else can stop a job")
		return r.Springs[0]
	}
	require.InDelta(t, 1, joint().Joint, 1e-12)
	s.Stock[3].Quantity = 0 // only the fitted SP2: R1 must keep
	require.InDelta(t, 0.4, joint().Joint, 1e-12)
	s.Stock[2].Quantity = 0 // and F1's SP1 is the only one: R1 can neither keep nor choose
	b := joint()
	require.InDelta(t, 0, b.Joint, 1e-12)
	require.InDelta(t, 0.6*0.4, b.Product, 1e-12, "as if SP1 and SP2 had nothing to do with each other")
	s.Stock[2].Quantity = 1
	s.Stock[3] = planner.Holding{Part: "SP1", Place: "V1", Quantity: 1} // three SP1, one SP2
	b = joint()
	require.InDelta(t, 0.4, b.Joint, 1e-12)
	require.True(t, b.Exact)
	s.Springs[1].BreaksPerDay = dec("0.1") // SP2 must not break on four days either
	require.InDelta(t, 0.4*math.Exp(-0.4), joint().Joint, 1e-12)
	s.Stock[3] = planner.Holding{Part: "SP2", Place: "V1", Quantity: 1}
	// two SP2: chosen (0.6) none may break, kept (0.4) one may
	require.InDelta(t, 0.6*math.Exp(-0.4)+0.4*math.Exp(-0.4)*1.4, joint().Joint, 1e-12)
}

// A neighbour within the tolerance on its measured rate may stand in. 43 lb/in is
// 7.530454 N/mm; 7.60 is 0.92 % off, 7.70 is 2.25 %.
func TestSpringNeighbours(t *testing.T) {
	t.Parallel()
	s := springy()
	s.Season = []planner.Season{{Code: "S", SpringTolerancePercent: dec("1")}}
	s.Springs[0].Rate, s.Springs[0].RateUnit = *dec("43"), "lb/in"
	s.Springs[1].Rate, s.Springs[1].RateUnit = *dec("7.8"), "N/mm"
	s.Tags = []planner.Tag{{Code: "SP2#1", Part: "SP2", MeasuredRateNPerMM: dec("7.60")}, {Code: "SP2#2", Part: "SP2", MeasuredRateNPerMM: dec("7.70")}}
	s.Stock[1].Tag, s.Stock[3].Tag = "SP2#2", "SP2#1"
	got := line(t, newOutlook(t, s), trip, "SP1").StandIns
	require.Len(t, got, 1)
	require.Equal(t, "SP2#1", got[0].Tag)
	require.InDelta(t, 0.9235, got[0].OffPercent, 1e-3)
}
