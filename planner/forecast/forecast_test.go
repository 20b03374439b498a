package forecast_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/demand"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// A row for every part, in the catalogue's order, and the same bits on any number of
// workers.
func TestRowsAndWorkers(t *testing.T) {
	t.Parallel()
	o := demo(t, "2027-02-09")
	one, err := o.Forecast(forecast.Options{Season: true})
	require.NoError(t, err)
	require.Len(t, one.Parts, 62)
	for i, p := range o.Snapshot.Parts {
		require.Equal(t, p.Code, one.Parts[i].Code)
		require.InDelta(t, 1, one.Parts[i].Dist.PMF.Total(), 1e-12, p.Code)
	}
	for _, workers := range []int{2, 7} {
		again, err := o.Forecast(forecast.Options{Season: true, Workers: workers})
		require.NoError(t, err)
		require.Equal(t, one, again)
	}
}

// The scenario's known answer 8: what the van must bring on Monday is what is short
// on the truck and lies in the workshop; of the spring that is short there is none.
func TestWhatTheVanBrings(t *testing.T) {
	t.Parallel()
	o := demo(t, "2027-06-05")
	res, err := o.Forecast(forecast.Options{Trip: "TR-ALP", At: "truck"})
	require.NoError(t, err)
	home, err := o.ScopeOf(res.Horizon, "workshop")
	require.NoError(t, err)
	there := o.OnHand(res.Horizon, home)
	short, bring := map[string]units.Quantity{}, map[string]units.Quantity{}
	for _, p := range res.Parts {
		if p.Short > 0 {
			short[p.Code] = p.Short
		}
		if q := min(p.Short, there[p.Code]); q > 0 {
			bring[p.Code] = q
		}
	}
	require.Equal(t, map[string]units.Quantity{"CRW-10": 14, "WIP-40": 4, "FRG-40": 2, "KIT-VA75": 1}, bring)
	require.Equal(t, map[string]units.Quantity{"CRW-10": 14, "WIP-40": 4, "FRG-40": 2, "KIT-VA75": 1, "SPF-102": 1}, short)
}

// What is used at every job is certain: by hand from the scenario's planned jobs, two
// washers for each of 140 lower-leg and 32 full services, a kit for each rebuild.
func TestCertainNeeds(t *testing.T) {
	t.Parallel()
	res, err := demo(t, "2027-02-09").Forecast(forecast.Options{Season: true})
	require.NoError(t, err)
	for _, want := range []struct {
		part string
		mean float64
	}{
		{"CRW-10", 2 * (140 + 32)},
		{"KIT-DMP40", 8 + 4*8},
	} {
		for _, p := range res.Parts {
			if p.Code == want.part {
				require.InDelta(t, want.mean, p.Mean, 1e-9, want.part)
				require.Zero(t, p.SD)
			}
		}
	}
}

// The grid of a liquid by the rule: of the bath oil the range is 16 x 1.08 ml, a
// sixteenth 1.08, the spread larger: 1 ml. Of the threadlock 0.2 ml: 0.01.
func TestGrid(t *testing.T) {
	t.Parallel()
	o := demo(t, "2027-06-05")
	opts := forecast.Options{Trip: "TR-COM"}
	require.Equal(t, units.Quantity(1000), line(t, o, opts, "OIL-B68").Step)
	require.Equal(t, units.Quantity(10), line(t, o, opts, "THL-10").Step)
	require.Equal(t, units.Quantity(1), line(t, o, opts, "RAG-LF").Step)
	require.Empty(t, line(t, o, opts, "OIL-B68").Coarse)
}

// Kits wanted = kits used whole + the largest shortfall of a loose part. One whole
// kit; 2 rings wanted loose, 1 here, 1 a kit; with 50 % 3 more are wanted. By hand.
func TestKits(t *testing.T) {
	t.Parallel()
	s := small()
	s.Parts = append(s.Parts, planner.Part{Code: "KIT", Unit: units.PC, Kind: "seal kit"})
	s.KitContents = []planner.KitContent{{Kit: "KIT", Part: "RING", Quantity: 2}}
	s.ServiceLines = []planner.ServiceLine{
		{Service: "SRV", Part: "KIT", Quantity: qty(1)}, {Service: "SRV", Part: "RING", Quantity: qty(2)}, {Service: "SRV", Part: "RING", Quantity: qty(3), DryPercent: dec("50")},
	}
	s.PlannedJobs = []planner.PlannedJobs{{Round: "ONE", Service: "SRV", Jobs: 1}}
	s.Stock = []planner.Holding{{Part: "RING", Place: "V1", Quantity: 1}, {Part: "KIT", Place: "V1", Quantity: 2}}
	o := newOutlook(t, s)
	kit := line(t, o, trip, "KIT")
	require.Equal(t, units.Quantity(1), kit.AtConfidence, "a kit's own row is of its own lines")
	require.InDelta(t, 1, kit.Cover, 1e-12)
	// 2 short of 1: one kit; 5 short of 1: two kits
	require.InDelta(t, 1+0.5*1+0.5*2, kit.Kits.Mean, 1e-12)
	require.Equal(t, 3, kit.Kits.AtConfidence)
	require.InDelta(t, 0.5, kit.Kits.Cover, 1e-12)
	x, err := o.Explain("KIT", trip)
	require.NoError(t, err)
	require.Equal(t, kit.Kits, x.Kits, "the same from either side")
	require.Nil(t, line(t, o, trip, "RING").Kits)
}

// Alternatives by preference, a blank one last; they change no figure of the part.
func TestAlternatives(t *testing.T) {
	t.Parallel()
	s := small()
	s.Alternatives = []planner.Alternative{{Part: "RING", Alternative: "GAS"}, {Part: "RING", Alternative: "SP1", Preference: num(2)}, {Part: "RING", Alternative: "SP2", Preference: num(1)}}
	s.Stock = []planner.Holding{{Part: "SP1", Place: "V1", Quantity: 3}}
	p := line(t, newOutlook(t, s), trip, "RING")
	require.Equal(t, []forecast.StandIn{{Part: "SP2", Unit: "pc"}, {Part: "SP1", Unit: "pc", OnHand: 3}, {Part: "GAS", Unit: "pc"}}, p.StandIns)
	require.Zero(t, p.OnHand)
}

// Two rings wanted only in the wet, none here: both are enough if it stays dry, which
// they share. Rain 40 %: joint and within the weather 0.6, the product 0.36. By hand.
func TestReadinessSharesTheWeather(t *testing.T) {
	t.Parallel()
	s := small()
	s.Rounds[0].WetChancePercent = dec("40")
	wet := func(part, stops string) planner.ServiceLine {
		return planner.ServiceLine{Service: "SRV", Part: part, Quantity: qty(1), DryPercent: dec("0"), WetPercent: dec("100"), StopsJob: yes(stops == "stops")}
	}
	s.ServiceLines = []planner.ServiceLine{wet("RING", "stops"), wet("GAS", "stops"), wet("SP1", "does not")}
	s.PlannedJobs = []planner.PlannedJobs{{Round: "ONE", Service: "SRV", Jobs: 1}}
	r, err := newOutlook(t, s).Ready(trip, forecast.ReadyOptions{})
	require.NoError(t, err)
	require.InDelta(t, 0.6, r.All.Joint, 1e-12)
	require.InDelta(t, 0.6, r.All.Within, 1e-12)
	require.InDelta(t, 0.36, r.All.Product, 1e-12)
	require.True(t, r.All.Exact)
	require.True(t, r.All.Bound)
	require.Contains(t, r.All.Method(), "exact")
	require.Len(t, r.Parts, 2, "what does not stop a job does not count")
	require.InDelta(t, 1, r.WithoutShort.Joint, 1e-12, "without the two that are short nothing is left")
	require.Equal(t, "SRV", r.Services[0].Service)
	require.InDelta(t, 0.6, r.Services[0].Joint, 1e-12)
}

// The demo's readiness: every service's chance is at least the whole's, the whole is
// at most the worst part's, and the product over the parts is what it says.
func TestReadinessOfTheDemo(t *testing.T) {
	t.Parallel()
	o := demo(t, "2027-06-14")
	r, err := o.Ready(forecast.Options{Trip: "TR-COM"}, forecast.ReadyOptions{})
	require.NoError(t, err)
	product := 1.0
	for _, p := range r.Parts {
		product *= p.Enough
		require.LessOrEqual(t, r.All.Joint, p.Enough+1e-12, p.Part)
		require.InDelta(t, line(t, o, forecast.Options{Trip: "TR-COM"}, p.Part).Cover, p.Enough, 1e-12, p.Part)
	}
	require.InDelta(t, product, r.All.Product, 1e-9)
	for _, s := range r.Services {
		require.GreaterOrEqual(t, s.Joint, r.All.Joint-1e-12, s.Service)
	}
	require.Empty(t, r.Short)

	// The alpine pair with the truck as it is: the washers are short for certain, and
	// nitrogen is there. Scenario answers 4 to 6.
	r, err = demo(t, "2027-06-05").Ready(forecast.Options{Trip: "TR-ALP", At: "truck"}, forecast.ReadyOptions{})
	require.NoError(t, err)
	require.Zero(t, r.All.Joint)
	var short []string
	for _, p := range r.Short {
		short = append(short, p.Part)
	}
	require.Equal(t, []string{"CRW-10", "SPF-102", "KIT-VA75", "WIP-40"}, short, "foam rings stop no job")
	require.Equal(t, []forecast.PartChance{{Part: "N2-5L", Enough: 1}}, r.OnSite)
	require.Greater(t, r.WithoutShort.Joint, 0.85)
	require.GreaterOrEqual(t, r.WithoutShort.Joint+demand.Slack, r.WithoutShort.Within)
}
