package load

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/demand"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
	"roundkit/testdata/season"
)

// The list for Combe Vareille has its foot nut seals: 51 are in the truck, the Alps take 40 for
// certain, 11 are left; the workshop's 25 lose 16 to the block at home, so 9 can be packed, and
// 20 of the 32 wanted are there. By itself the trip packs none of them.
func TestFootNutSealsForCombeVareille(t *testing.T) {
	t.Parallel()
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 6, 5))
	require.NoError(t, err)
	o, err := forecast.New(s)
	require.NoError(t, err)
	packed := func(r *Result) (q units.Quantity) {
		for _, l := range r.Lines {
			if l.Part.Code == "FNS-10" {
				q += l.Quantity
			}
		}
		return q
	}
	r, err := Plan(t.Context(), o, Options{Trip: "TR-COM", Draws: -1})
	require.NoError(t, err)
	require.Equal(t, []string{"TR-ALP", "TR-WB2"}, r.After)
	require.Equal(t, units.Quantity(9), packed(r))
	for _, short := range r.Short {
		if short.Part.Code == "FNS-10" {
			require.Equal(t, [2]units.Quantity{32, 20}, [2]units.Quantity{short.Need, short.Have})
			require.Zero(t, short.Chance)
		}
	}
	require.Zero(t, r.Readiness.Product)
	alone, err := Plan(t.Context(), o, Options{Trip: "TR-COM", Draws: -1, Alone: true})
	require.NoError(t, err)
	require.Empty(t, alone.After)
	require.Zero(t, packed(alone))
}

// Mont Tessaly wants 28 crush washers for certain; of the 101 the trips before take 88 for
// certain, which leaves 13, and nothing but 15 of the 20 copper ones beside them makes 28.
func TestStandsInForWhatTheTripsBeforeUse(t *testing.T) {
	t.Parallel()
	p, r := packedFor(t, day.Of(2027, 6, 5), Options{Trip: "TR-TES"})
	b, ok := p.blockOf(p.at["CRW-10"]).(standInBlock)
	require.True(t, ok)
	v, have, none := p.mixed(), p.haves(), make([]bool, len(p.parts))
	washer, copper := p.at["CRW-10"], p.at["CRW-10C"]
	require.Equal(t, units.Quantity(13), p.parts[washer].most())
	for _, of := range []struct {
		washers, copper units.Quantity
		want            float64
	}{{13, 15, 1}, {13, 14, 0}, {12, 15, 0}, {12, 16, 1}, {13, 0, 0}, {8, 20, 1}} {
		have[washer], have[copper] = of.washers, of.copper
		require.InDelta(t, of.want, b.chance(v, have, none), 1e-12, "%+v", of)
	}
	require.Equal(t, ForReadiness, r.Asked.For)
	require.NotContains(t, r.Asked.Without, "CRW-10")
	packed := map[string]units.Quantity{}
	for _, l := range r.Lines {
		packed[l.Part.Code] += l.Quantity
	}
	require.Equal(t, units.Quantity(28), packed["CRW-10"]+packed["CRW-10C"])
}

// What is packed for Mont Tessaly serves no other trip, until that trip has lost its round
// before it left.
func TestCalledOffTripFreesWhatIsPacked(t *testing.T) {
	t.Parallel()
	packed := func(calledOff bool) (q units.Quantity, notes []string) {
		s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 6, 5))
		require.NoError(t, err)
		s.Packed = append(s.Packed, planner.PackedFor{Trip: "TR-TES", Case: "FC-1"})
		for i := range s.Stock {
			if h := &s.Stock[i]; h.Part == "FNS-10" && s.Stock[i].Place == "W-A1" {
				h.Place = "FC-1"
			}
		}
		if calledOff {
			s.Rounds = slices.DeleteFunc(s.Rounds, func(r planner.Round) bool { return r.Trip == "TR-TES" })
			s.PlannedJobs = slices.DeleteFunc(s.PlannedJobs, func(j planner.PlannedJobs) bool { return j.Round == "TES" })
		}
		o, err := forecast.New(s)
		require.NoError(t, err)
		r, err := Plan(t.Context(), o, Options{Trip: "TR-COM", Draws: -1})
		require.NoError(t, err)
		for _, l := range r.Lines {
			if l.Part.Code == "FNS-10" {
				q += l.Quantity
			}
		}
		return q, r.Notes
	}
	q, _ := packed(false)
	require.Zero(t, q)
	q, notes := packed(true)
	require.Equal(t, units.Quantity(9), q)
	require.Contains(t, notes, "TR-TES has no round any more: what is packed for it in FC-1 is free")
}

// walked is a season of three to five trips, by truck, by air and at home, with fixed, chance,
// unknown-chance and crash lines, stock of two ages in truck and workshop, and orders on their
// way.
func walked(rng *rand.Rand) *planner.Snapshot {
	num := func(n int) planner.Decimal { d := decimal.NewFromInt(int64(n)); return &d }
	on := func(d day.Day) *day.Day { return &d }
	qty := func(n int) *units.Quantity { q := units.Quantity(n); return &q }
	start := day.Of(2027, 5, 1)
	s := &planner.Snapshot{AsOf: start}
	s.Season = []planner.Season{{Code: "S", FirstOn: start - 30, LastOn: start + 200, HandlingDays: new(int)}}
	s.Places = []planner.Place{{Code: "workshop", Kind: "workshop"}, {Code: "van", Kind: "truck"}, {Code: "D1", In: "van", Kind: "drawer"}}
	s.Models = []planner.Model{{Code: "BK", Kind: "bike"}}
	for i := range 4 {
		s.Assemblies = append(s.Assemblies, planner.Assembly{Code: fmt.Sprint("B", i), Model: "BK"})
	}
	on0 := start + 3
	for k := range 3 + rng.IntN(3) {
		code := fmt.Sprint("T", k)
		trip := planner.Trip{Code: code, GoesBy: []string{"truck", "truck", "home", "air"}[rng.IntN(4)]}
		if trip.GoesBy == "truck" {
			trip.Truck = "van"
		}
		if trip.GoesBy != "home" {
			trip.PackBy, trip.LeavesOn, trip.BackOn = on(on0), on(on0+1), on(on0+7)
		}
		s.Trips = append(s.Trips, trip)
		r := planner.Round{Code: fmt.Sprint("R", k), Trip: code, FirstOn: on0 + 2, LastOn: on0 + 5, WetChancePercent: num(10 * rng.IntN(8))}
		s.Rounds = append(s.Rounds, r)
		s.PlannedJobs = append(s.PlannedJobs, planner.PlannedJobs{Round: r.Code, Service: "SRV", Jobs: 1 + rng.IntN(6)})
		on0 += 9
	}
	s.Services = []planner.Service{{Code: "SRV", ModelKind: "bike"}, {Code: "FALL", ModelKind: "bike", Planned: new(bool)}}
	s.UnplannedRates = []planner.UnplannedRate{{Service: "FALL", GammaA: num(2), GammaB: num(30), WetFactor: num(2)}}
	lines := []planner.ServiceLine{
		{Service: "SRV", Quantity: qty(2)},
		{Service: "SRV", Quantity: qty(2), DryPercent: num(25), WetPercent: num(70)},
		{Service: "SRV", Quantity: qty(1), BetaDryA: num(2), BetaDryB: num(8)},
		{Service: "FALL", Quantity: qty(1)},
	}
	for i, l := range lines {
		l.Part = fmt.Sprint("P", i)
		s.ServiceLines = append(s.ServiceLines, l)
		s.Parts = append(s.Parts, planner.Part{Code: l.Part, Unit: units.PC, Kind: "seal"})
		soon, late := fmt.Sprint("L", i, "a"), fmt.Sprint("L", i, "b")
		s.Lots = append(s.Lots, planner.Lot{Code: soon, Part: l.Part, ExpiresOn: on(start + day.Day(rng.IntN(50)))}, planner.Lot{Code: late, Part: l.Part})
		for _, place := range []string{"D1", "workshop"} {
			for _, lot := range []string{soon, late} {
				if q := rng.IntN(14); q > 0 {
					s.Stock = append(s.Stock, planner.Holding{Part: l.Part, Place: place, Lot: lot, Quantity: units.Quantity(q)})
				}
			}
		}
		s.Orders = append(s.Orders, planner.Order{Code: fmt.Sprint("O", i), State: "placed", DueOn: on(start + day.Day(rng.IntN(40))), ShipTo: "workshop"})
		s.OrderLines = append(s.OrderLines, planner.OrderLine{Order: fmt.Sprint("O", i), Part: l.Part, Quantity: units.Quantity(rng.IntN(6))})
	}
	return s
}

// Random seasons walked forward job by job from the plan's rows: what the list says of the last
// trip, part by part and for what was packed, agrees with how often it was enough: no figure is
// so far out that a draw would be once in a million times (nearly 5 standard errors, and right
// in the tails, where those are not).
func TestWalkedForward(t *testing.T) {
	t.Parallel()
	const draws, unlucky = 2500, 1e-6
	figures := 0
	for seed := range uint64(200) {
		rng := rand.New(rand.NewPCG(seed, 77))
		s := walked(rng)
		o, err := forecast.New(s)
		require.NoError(t, err)
		p, err := newPacking(t.Context(), o, Options{Trip: s.Trips[len(s.Trips)-1].Code, Seed: seed})
		require.NoError(t, err)
		for i := range p.parts {
			p.parts[i].pick = rng.IntN(len(p.parts[i].sets))
		}
		have := p.haves()
		st := p.newStage()
		for r, round := range p.trip.Rounds {
			st.wet[r] = round.WetChancePercent.InexactFloat64() / 100
		}
		enough := make([]int, len(p.parts))
		for range draws {
			need := st.play(p)
			st.playBefore(p, need, have)
			for i := range need {
				if enoughOf(need[i], float64(have[i])) {
					enough[i]++
				}
			}
		}
		for i, part := range p.parts {
			said := part.line.Need.Cover(have[i])
			of, err := demand.Binomial(draws, min(max(said, 0), 1))
			require.NoError(t, err)
			where := fmt.Sprintf("seed %d, %s on %s: %d with it, %d packed: said %v, drawn %v", seed, part.Code, p.trip.Code, part.there, have[i]-part.there, said, float64(enough[i])/draws)
			require.Greater(t, of.CDF(enough[i]), unlucky, where)
			require.Greater(t, of.Survival(enough[i]), unlucky, where)
			figures++
		}
	}
	t.Logf("%d figures", figures)
}
