package forecast_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

var trip = forecast.Options{Trip: "T1"}

// Own damper oil is counted by the fork in hand: F1 and F3 hold OIL, F2 holds OIL2;
// one job is 100 ml + 10 %. By hand.
func TestOwnOil(t *testing.T) {
	t.Parallel()
	s := small()
	s.ServiceLines = []planner.ServiceLine{{Service: "SRV", OwnPart: "damper oil", Quantity: qty(100_000)}}
	s.PlannedJobs = []planner.PlannedJobs{
		{Round: "ONE", Service: "SRV", Assembly: "F1", Jobs: 1}, {Round: "ONE", Service: "SRV", Assembly: "F2", Jobs: 1},
		{Round: "TWO", Service: "SRV", Assembly: "F3", Jobs: 2}, {Round: "TWO", Service: "SRV", Jobs: 1},
	}
	o := newOutlook(t, s)
	oil := line(t, o, trip, "OIL")
	require.Equal(t, units.Quantity(300_000), oil.AtConfidence)
	require.InDelta(t, 300, oil.Mean, 1e-9)
	require.Zero(t, oil.SD)
	require.Equal(t, 1, *oil.Containers, "300 ml of a litre bottle")
	require.Equal(t, units.Quantity(100_000), line(t, o, trip, "OIL2").AtConfidence)
	require.Nil(t, line(t, o, trip, "OIL2").Containers, "nobody said what a container holds")
	res, err := o.Forecast(trip)
	require.NoError(t, err)
	require.Equal(t, []string{"SRV at TWO: 1 jobs name no fork or shock, so their damper oil is not counted"}, res.Notes)
}

// What is on site is wanted once, whatever the number of jobs and rounds.
func TestOnSite(t *testing.T) {
	t.Parallel()
	s := small()
	s.ServiceLines = []planner.ServiceLine{{Service: "SRV", Part: "GAS", Quantity: qty(1), OnSite: yes(true)}}
	none := line(t, newOutlook(t, s), trip, "GAS")
	require.Zero(t, none.AtConfidence)
	s.PlannedJobs = []planner.PlannedJobs{{Round: "ONE", Service: "SRV", Jobs: 4}, {Round: "TWO", Service: "SRV", Jobs: 2}}
	gas := line(t, newOutlook(t, s), trip, "GAS")
	require.Equal(t, units.Quantity(1), gas.AtConfidence)
	require.InDelta(t, 1, gas.Mean, 1e-12)
	require.Equal(t, units.Quantity(1), gas.Short)

	// An unplanned service wants it if it happens at all: 1 - exp(-0.1 x 2 x 8) by hand
	// (two bikes, eight days).
	s.PlannedJobs = nil
	s.ServiceLines[0].Service = "FALL"
	s.UnplannedRates = []planner.UnplannedRate{{Service: "FALL", Rate: dec("0.1")}}
	s.Rounds[0].Bikes, s.Rounds[1].Bikes = num(2), num(2)
	require.InDelta(t, 0.7981034820053446, line(t, newOutlook(t, s), trip, "GAS").Mean, 1e-12)

	// The next trip takes the same bottle with it: still one, if it happens on either.
	s.Rounds[1].Trip = ""
	gas = line(t, newOutlook(t, s), forecast.Options{Season: true}, "GAS")
	require.InDelta(t, 0.7981034820053446, gas.Mean, 1e-12)
	require.Equal(t, 1, gas.Dist.PMF.Max())
}

// The exposure to unplanned jobs: bikes x riding days after the day x rough factor,
// x the wet factor if wet. By hand.
func TestExposure(t *testing.T) {
	t.Parallel()
	s := small()
	s.Rounds = s.Rounds[:1]
	s.Rounds[0].Bikes, s.Rounds[0].RidingDays, s.Rounds[0].RoughFactor = num(4), num(3), dec("1.25")
	s.Rounds[0].WetChancePercent = dec("40")
	s.ServiceLines = []planner.ServiceLine{{Service: "FALL", Part: "RING", Quantity: qty(2)}}
	s.UnplannedRates = []planner.UnplannedRate{{Service: "FALL", Rate: dec("0.1"), WetFactor: dec("2")}}
	for asOf, days := range map[string]float64{"2027-05-01": 3, "2027-05-06": 3, "2027-05-07": 2, "2027-05-08": 1, "2027-05-09": 0} {
		s.AsOf = d(asOf)
		got := line(t, newOutlook(t, s), trip, "RING").Mean
		require.InDelta(t, 2*0.1*4*days*1.25*(0.6+0.4*2), got, 1e-12, asOf)
	}
	s.AsOf = d("2027-05-07")
	s.Rounds[0].Weather, s.Rounds[0].WeatherSeenOn = "wet", on("2027-05-07")
	require.InDelta(t, 2*0.1*4*2*1.25*2, line(t, newOutlook(t, s), trip, "RING").Mean, 1e-12, "seen wet that evening")
	s.Rounds[0].WeatherSeenOn = on("2027-05-08")
	require.InDelta(t, 2*0.1*4*2*1.25*1.4, line(t, newOutlook(t, s), trip, "RING").Mean, 1e-12, "not seen yet")
}

// Bikes left blank are all that travel; by air only those that go by air.
func TestBikesThatTravel(t *testing.T) {
	t.Parallel()
	s := small()
	s.Rounds = s.Rounds[:1]
	s.Rounds[0].RidingDays = num(1)
	for _, code := range []string{"B1", "B2", "B3"} {
		s.Assemblies = append(s.Assemblies, planner.Assembly{Code: code, Model: "BK", GoesByAir: yes(code == "B1")})
	}
	s.Assemblies = append(s.Assemblies, planner.Assembly{Code: "B4", Model: "BK"})
	s.ServiceLines = []planner.ServiceLine{{Service: "FALL", Part: "RING", Quantity: qty(1)}}
	s.UnplannedRates = []planner.UnplannedRate{{Service: "FALL", GammaA: dec("2"), GammaB: dec("20")}}
	require.InDelta(t, 0.4, line(t, newOutlook(t, s), trip, "RING").Mean, 1e-12, "four bikes, a mean rate of 0.1")
	s.Trips[0].GoesBy = "air"
	require.InDelta(t, 0.1, line(t, newOutlook(t, s), trip, "RING").Mean, 1e-12)
}

// A line reads as a workshop writes it; the scenario's section 5.
func TestLineText(t *testing.T) {
	t.Parallel()
	texts := map[string]string{}
	for part, code := range map[string]string{"WIP-40": "LLS", "OIL-B68": "LLS", "BND-P40": "DMP", "CLP-40": "FSS"} {
		x, err := demo(t, "2027-02-09").Explain(part, forecast.Options{Season: true})
		require.NoError(t, err)
		for _, term := range x.Terms {
			if term.Service == code {
				texts[part] = term.Line
			}
		}
	}
	require.Equal(t, map[string]string{
		"WIP-40": "2 @25/70 %", "OIL-B68": "32-40-48 +8 %", "BND-P40": "1 @Beta(2, 8)", "CLP-40": "2 @15 %",
	}, texts)
}

// Inside an unplanned job an unknown chance counts at its mean: Beta(1, 3) is 25 %.
// Eight days, one bike, 0.5 a day: 4 jobs expected, one ring. By hand.
func TestUnknownChanceInUnplannedJob(t *testing.T) {
	t.Parallel()
	s := small()
	s.Rounds[0].Bikes, s.Rounds[1].Bikes = num(1), num(1)
	s.ServiceLines = []planner.ServiceLine{{Service: "FALL", Part: "RING", Quantity: qty(1), BetaDryA: dec("1"), BetaDryB: dec("3")}}
	s.UnplannedRates = []planner.UnplannedRate{{Service: "FALL", Rate: dec("0.5")}}
	p := line(t, newOutlook(t, s), trip, "RING")
	require.InDelta(t, 1, p.Mean, 1e-12)
	require.InDelta(t, 1, p.SD, 1e-12, "Poisson of mean 1")
}

// Short is what is on hand and in time taken off: 40 wanted, 6 here, 30 coming.
func TestShort(t *testing.T) {
	t.Parallel()
	s := small()
	s.ServiceLines = []planner.ServiceLine{{Service: "SRV", Part: "RING", Quantity: qty(2)}}
	s.PlannedJobs = []planner.PlannedJobs{{Round: "ONE", Service: "SRV", Jobs: 12}, {Round: "TWO", Service: "SRV", Jobs: 8}}
	s.Stock = []planner.Holding{{Part: "RING", Place: "V1", Quantity: 6}}
	s.Orders = []planner.Order{{Code: "P1", State: "placed", DueOn: on("2027-05-04"), ShipTo: "workshop"}}
	s.OrderLines = []planner.OrderLine{{Order: "P1", Part: "RING", Quantity: 30}}
	p := line(t, newOutlook(t, s), trip, "RING")
	require.Equal(t, units.Quantity(4), p.Short)
	require.Zero(t, p.Cover, "of what is on hand alone")
	s.OrderLines[0].Quantity = 90
	require.Zero(t, line(t, newOutlook(t, s), trip, "RING").Short, "never below 0")
}

// Whatever is planned and logged, the mean of a fixed line is what is left of the
// rounds not over, counted here the plain way.
func TestMeanOfWhatIsLeft(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		s := small()
		s.AsOf = d("2027-05-01") + day.Day(rapid.IntRange(0, 18).Draw(rt, "day"))
		s.ServiceLines = []planner.ServiceLine{{Service: "SRV", Part: "RING", Quantity: qty(rapid.Int64Range(0, 5).Draw(rt, "each"))}}
		want := 0.0
		for _, r := range s.Rounds {
			left := 0
			spare := map[string]int{}
			for _, fork := range []string{"", "F1", "F2"} {
				plan, done := rapid.IntRange(0, 4).Draw(rt, "plan"), rapid.IntRange(0, 4).Draw(rt, "done")
				s.PlannedJobs = append(s.PlannedJobs, planner.PlannedJobs{Round: r.Code, Service: "SRV", Assembly: fork, Jobs: plan})
				s.Done = append(s.Done, planner.DoneJobs{Round: r.Code, Service: "SRV", Assembly: fork, Jobs: done})
				spare[fork] = plan - done
			}
			byNumber := spare[""]
			for _, fork := range []string{"F1", "F2"} {
				left += max(0, spare[fork])
				byNumber += min(0, spare[fork]) // extra ones take from the plan by number
			}
			left += max(0, byNumber)
			if s.AsOf < r.LastOn {
				want += float64(left) * float64(*s.ServiceLines[0].Quantity)
			}
		}
		require.InDelta(rt, want, line(t, newOutlook(t, s), trip, "RING").Mean, 1e-9)
	})
}
