package load

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

var soak = flag.Bool("soak", false, "as many random seasons as are asked for, not only some")

// smallSeason is a random season of one trip: up to 8 parts of several kinds, some of it in
// opened bottles, some on its way, one or two rounds whose weather is not known, and by air
// up to 3 cases. Limits are random, and often too low for what is used for certain.
func smallSeason(rng *rand.Rand, byAir bool) (*planner.Snapshot, Options) {
	dec := func(f float64) planner.Decimal { d := decimal.NewFromFloat(math.Round(f*1000) / 1000); return &d }
	qty := func(n int) *units.Quantity { q := units.Quantity(n); return &q }
	mg := func(n int) *units.Milligrams { q := units.Milligrams(n); return &q }
	pack, leave, back, opened := day.Of(2027, 5, 4), day.Of(2027, 5, 5), day.Of(2027, 5, 18), day.Of(2027, 4, 1)
	bikes := 2
	s := &planner.Snapshot{AsOf: day.Of(2027, 5, 1)}
	s.Season = []planner.Season{{Code: "S", TimeZone: "UTC", Currency: "EUR", FirstOn: day.Of(2027, 1, 1), LastOn: day.Of(2027, 12, 1)}}
	s.Places = []planner.Place{{Code: "workshop", Kind: "workshop"}, {Code: "van", Kind: "truck"}}
	s.Models = []planner.Model{{Code: "FK", Kind: "fork"}}
	s.Services = []planner.Service{{Code: "SRV", ModelKind: "fork"}}
	trip := planner.Trip{Code: "T", GoesBy: "truck", Truck: "van", PackBy: &pack, LeavesOn: &leave, BackOn: &back}
	if byAir {
		trip.GoesBy, trip.Truck = "air", ""
		for c := range 1 + rng.IntN(3) {
			code := fmt.Sprintf("C%d", c)
			s.Places = append(s.Places, planner.Place{Code: code, Kind: "case"})
			k := planner.Case{Code: code, LimitKG: dec(3 + 5*rng.Float64()), TareKG: dec(0.5 + rng.Float64()), VolumeL: dec(2 + 6*rng.Float64()), GoesBy: "air"}
			k.KeepApart = []string{"", "", "liquids", "seals"}[rng.IntN(4)]
			s.Cases = append(s.Cases, k)
		}
	}
	s.Trips = []planner.Trip{trip}
	for r := range 1 + rng.IntN(2) {
		code := fmt.Sprintf("R%d", r)
		s.Rounds = append(s.Rounds, planner.Round{Code: code, Trip: "T", FirstOn: leave + day.Day(1+4*r), LastOn: leave + day.Day(3+4*r), WetChancePercent: dec(float64(rng.IntN(101))), Bikes: &bikes})
		s.PlannedJobs = append(s.PlannedJobs, planner.PlannedJobs{Round: code, Service: "SRV", Jobs: 1 + rng.IntN(2)})
	}
	most := 8
	if byAir {
		most = 6
	}
	for n := range 2 + rng.IntN(most-1) {
		code := fmt.Sprintf("P%d", n)
		kind := []string{"seal", "oil", "cleaner", "hardware"}[rng.IntN(4)]
		p := planner.Part{Code: code, Kind: kind, Unit: units.PC, MassMG: mg(50_000 + rng.IntN(1_500_000)), PackedUL: qty(100_000 + rng.IntN(1_500_000))}
		l := planner.ServiceLine{Service: "SRV", Part: code, Quantity: qty(1 + rng.IntN(2))}
		switch rng.IntN(3) {
		case 0:
			dry := float64(5 + rng.IntN(60))
			l.DryPercent, l.WetPercent = dec(dry), dec(dry+float64(rng.IntN(35)))
		case 1:
			l.DryPercent = dec(float64(5 + rng.IntN(90)))
		}
		have := rng.IntN(5)
		if kind == "oil" {
			p.Unit, p.MassMG, p.TareMG, p.Contents = units.ML, nil, mg(60_000), qty(500_000)
			s.Liquids = append(s.Liquids, planner.Liquid{Part: code, DensityGML: dec(0.85)})
			low := 50_000 + rng.IntN(100_000)
			l.Quantity, l.DryPercent, l.WetPercent = nil, nil, nil
			l.Min, l.Max = qty(low), qty(low+50_000+rng.IntN(200_000))
			if rng.IntN(2) == 0 {
				s.Tags = append(s.Tags, planner.Tag{Code: "B" + code, Part: code, Contents: qty(500_000), OpenedOn: &opened})
				s.Stock = append(s.Stock, planner.Holding{Part: code, Tag: "B" + code, Place: "workshop", Quantity: units.Quantity(20_000 * (2 + rng.IntN(22)))})
			}
			have = 500_000 * rng.IntN(3)
		}
		if have > 0 {
			s.Stock = append(s.Stock, planner.Holding{Part: code, Place: "workshop", Quantity: units.Quantity(have)})
		}
		if kind != "oil" && rng.IntN(4) == 0 {
			order, due, packs := "O"+code, day.Of(2027, 5, 2), 2
			s.Orders = append(s.Orders, planner.Order{Code: order, DueOn: &due, ShipTo: "workshop", State: "placed", Currency: "EUR"})
			s.OrderLines = append(s.OrderLines, planner.OrderLine{Order: order, Part: code, Packs: &packs, Quantity: 2, PricePerPack: dec(5 + 20*rng.Float64())})
		}
		s.Parts, s.ServiceLines = append(s.Parts, p), append(s.ServiceLines, l)
	}
	opts := Options{Best: true, Draws: -1}
	opts.LimitKG = dec(1 + 12*rng.Float64())
	if rng.IntN(3) == 0 {
		opts.LimitL = dec(2 + 8*rng.Float64())
	}
	if rng.IntN(3) == 0 {
		opts.LimitSpend = dec(40 * rng.Float64())
	}
	return s, opts
}

// everyLoad looks at every number of every kind of container with every set of cases, and
// returns the greatest product over all parts and, of the loads that reach a target, the
// least kilos: +Inf for none.
func everyLoad(p *packing, target float64) (most, least float64) {
	least = math.Inf(1)
	have, v, none := p.haves(), p.mixed(), make([]bool, len(p.parts))
	for i := range p.parts {
		have[i] = p.parts[i].there
	}
	var list []container
	kilos, litres, money := 0.0, 0.0, 0.0
	limit := func(d planner.Decimal) float64 {
		if d == nil {
			return math.Inf(1)
		}
		return d.InexactFloat64() + 1e-9
	}
	var try func(i, k int)
	try = func(i, k int) {
		if kilos > limit(p.opts.LimitKG) || litres > limit(p.opts.LimitL) || money > limit(p.opts.LimitSpend) {
			return
		}
		if i == len(p.parts) {
			f := p.product(v, have, none)
			if f <= most && (f < target-1e-12 || kilos >= least) {
				return
			}
			tare := lightestCases(p, list)
			if kilos+tare > limit(p.opts.LimitKG) {
				return
			}
			most = max(most, f)
			if f >= target-1e-12 {
				least = min(least, kilos+tare)
			}
			return
		}
		s := &p.parts[i]
		if k == len(s.kinds) {
			try(i+1, 0)
			return
		}
		one := s.kinds[k]
		for n := 0; ; n++ {
			try(i, k+1)
			if n == len(one.of) {
				kilos, litres, money = kilos-float64(n)*one.kg, litres-float64(n)*one.l, money-float64(n)*one.money
				have[i] -= units.Quantity(n) * one.quantity
				list = list[:len(list)-n]
				return
			}
			one.container.kind = i
			list = append(list, one.container)
			have[i] += one.quantity
			kilos, litres, money = kilos+one.kg, litres+one.l, money+one.money
		}
	}
	try(0, 0)
	return most, least
}

// lightestCases tries every container in every case and returns what the lightest cases
// that hold all weigh; the part of a container is in its kind.
func lightestCases(p *packing, list []container) float64 {
	if len(p.boxes) == 0 {
		return 0
	}
	type used struct {
		kg, l         float64
		seals, solves bool
		any           bool
	}
	in := make([]used, len(p.boxes))
	best := math.Inf(1)
	var put func(at int, tare float64)
	put = func(at int, tare float64) {
		if tare >= best {
			return
		}
		if at == len(list) {
			best = tare
			return
		}
		c := list[at]
		part := p.parts[c.kind].Part
		seal, solvent := part.Kind == "seal", part.Kind == "cleaner"
		for b := range p.boxes {
			box, was := &p.boxes[b], in[b]
			liquid := part.Kind == "oil" || solvent
			if box.KeepApart == "liquids" && liquid || box.KeepApart == "seals" && seal || seal && was.solves || solvent && was.seals {
				continue
			}
			now := used{was.kg + c.grams.InexactFloat64()/1000, was.l + float64(c.ul)/1e6, was.seals || seal, was.solves || solvent, true}
			// half a kilo is kept free
			if now.kg > box.LimitKG.InexactFloat64()-box.TareKG.InexactFloat64()-0.5+1e-9 || now.l > box.VolumeL.InexactFloat64()+1e-9 {
				continue
			}
			extra := 0.0
			if !was.any {
				extra = box.TareKG.InexactFloat64()
			}
			in[b] = now
			put(at+1, tare+extra)
			in[b] = was
		}
	}
	put(0, 0)
	return best
}

// Random seasons against every load there is, no part left out: with limits of kilos, litres
// and money, by truck and by air with cases. The greatest readiness, the bound and the least
// load for a product are those of the enumeration.
func TestLoadsEqualEveryLoad(t *testing.T) {
	t.Parallel()
	for _, byAir := range []bool{false, true} {
		seeds := map[bool]uint64{false: 60, true: 40}[byAir]
		if *soak {
			seeds = map[bool]uint64{false: 500, true: 300}[byAir]
		}
		some := 0
		for seed := range seeds {
			name := fmt.Sprintf("air %v, seed %d", byAir, seed)
			snapshot, opts := smallSeason(rand.New(rand.NewPCG(seed, 41)), byAir)
			o, err := forecast.New(snapshot)
			require.NoError(t, err, name)
			p, err := newPacking(t.Context(), o, opts)
			require.NoError(t, err, name)
			want, _ := everyLoad(p, 2)
			r, err := Plan(t.Context(), o, opts)
			require.NoError(t, err, name)
			require.True(t, r.Gross.LessThanOrEqual(opts.LimitKG.Shift(3)), name)
			if want == 0 { // some work cannot be saved
				require.Zero(t, r.Readiness.Product, name)
				continue
			}
			some++
			require.InDelta(t, want, r.Readiness.Product, 1e-9, name)
			require.InDelta(t, want, r.Asked.Product, 1e-9, name)
			require.InDelta(t, want, r.Asked.Bound, 1e-9, name)
			require.GreaterOrEqual(t, r.Bound, r.Readiness.ProductWithoutShort-1e-12, name)
			// the least load that reaches a part of it
			opts.Best, opts.Least = false, WhyKilos
			opts.Readiness = want * 0.9
			r, err = Plan(t.Context(), o, opts)
			require.NoError(t, err, name)
			require.GreaterOrEqual(t, r.Asked.Reached, opts.Readiness-1e-12, name)
			_, least := everyLoad(p, r.Asked.Least.Product)
			require.InDelta(t, least, r.Asked.Least.Amount, 1e-6, name)
			require.InDelta(t, least, r.Asked.Least.Bound, 1e-6, name)
		}
		require.Greater(t, some, int(seeds)/4)
	}
}
