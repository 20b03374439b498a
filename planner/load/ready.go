package load

import (
	"fmt"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/demand"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// Readiness is the chance that every job left on the trip can be done. What must only
// be on site is not in it: where it cannot come it stands in Short.
type Readiness struct {
	Product             float64 // over the blocks, all parts that stop a job
	ProductWithoutShort float64 // the parts that no load could bring to the confidence left out
	WithinWeather       float64 // the product within each weather pattern, mixed; all parts
	WithinWithoutShort  float64
	Simulated           float64 // drawn job by job; all parts
	SimulatedShort      float64 // drawn; the parts in Short left out
	SE, SEShort         float64 // their standard errors; 0 where exact
	Draws               int
	Bound               bool // Product <= Simulated is sure: see LowerBound
}

// maxPatterns is the most weather patterns that are taken one by one.
const maxPatterns = 64

// view is the need of every part, in some weather or mixed over all.
type view struct {
	weight float64
	need   []forecast.Need
}

// mixed is the view over all weathers.
func (p *packing) mixed() view {
	v := view{weight: 1}
	for _, s := range p.parts {
		v.need = append(v.need, s.line.Need)
	}
	return v
}

// weathers returns a view for each pattern of wet and dry rounds, nil where they are too
// many.
func (p *packing) weathers() ([]view, error) {
	var open []planner.Round
	var chance []float64
	for _, r := range p.trip.Rounds {
		wet, _, err := calendar.WetChance(r, p.o.Snapshot.AsOf)
		if err != nil {
			return nil, err
		}
		if wet > 0 && wet < 1 && !calendar.Over(r, p.o.Snapshot.AsOf) {
			open, chance = append(open, r), append(chance, wet)
		}
	}
	if len(open) == 0 {
		return []view{p.mixed()}, nil
	}
	if 1<<len(open) > maxPatterns {
		return nil, nil
	}
	var out []view
	for pattern := range 1 << len(open) {
		v := view{weight: 1}
		seen := map[string]string{}
		for k, r := range open {
			if pattern>>k&1 == 1 {
				v.weight *= chance[k]
				seen[r.Code] = "wet"
			} else {
				v.weight *= 1 - chance[k]
				seen[r.Code] = "dry"
			}
		}
		o, err := p.seen(seen)
		if err != nil {
			return nil, err
		}
		res, err := o.Forecast(forecast.Options{Trip: p.trip.Code, Confidence: p.res.Confidence, Alone: true})
		if err != nil {
			return nil, err
		}
		var before *forecast.Chain
		if p.chain != nil {
			before = p.chain.Seen(o)
		}
		for _, part := range res.Parts {
			need := part.Need
			if before != nil {
				then, err := before.Of(part.Part, need)
				if err != nil {
					return nil, err
				}
				need = then.Need
			}
			v.need = append(v.need, need)
		}
		out = append(out, v)
	}
	return out, nil
}

// seen is the outlook with the weather of some rounds known.
func (p *packing) seen(weather map[string]string) (*forecast.Outlook, error) {
	s := *p.o.Snapshot
	s.Rounds = slices.Clone(s.Rounds)
	for i := range s.Rounds {
		if w, ok := weather[s.Rounds[i].Code]; ok {
			percent := decimal.Zero
			if w == "wet" {
				percent = decimal.NewFromInt(100)
			}
			s.Rounds[i].Weather, s.Rounds[i].WeatherSeenOn, s.Rounds[i].WetChancePercent = "", nil, &percent
		}
	}
	return forecast.New(&s)
}

// product returns the readiness of a view with so much of each part. skip leaves parts
// out.
func (p *packing) product(v view, have []units.Quantity, skip []bool) float64 {
	out := 1.0
	for _, b := range p.blocks {
		out *= b.chance(v, have, skip)
	}
	return out
}

// haves returns what the trip has of each part as packed.
func (p *packing) haves() []units.Quantity {
	have := make([]units.Quantity, len(p.parts))
	for i := range p.parts {
		have[i] = p.parts[i].now()
	}
	return have
}

// readiness fills in all figures.
func (p *packing) readiness(short []bool) (Readiness, error) {
	have, all, none := p.haves(), p.mixed(), make([]bool, len(p.parts))
	r := Readiness{Product: p.product(all, have, none), ProductWithoutShort: p.product(all, have, short), Bound: p.lowerBound()}
	if !p.viewed {
		var err error
		if p.views, err = p.weathers(); err != nil {
			return r, err
		}
		p.viewed = true
	}
	views := p.views
	if views == nil {
		p.notes = append(p.notes, fmt.Sprintf("more than %d weather patterns: the readiness within each is not given, the product stands for it", maxPatterns))
		r.WithinWeather, r.WithinWithoutShort = r.Product, r.ProductWithoutShort
	}
	for _, v := range views {
		r.WithinWeather += v.weight * p.product(v, have, none)
		r.WithinWithoutShort += v.weight * p.product(v, have, short)
	}
	r.Simulated, r.SE = r.WithinWeather, 0
	r.SimulatedShort, r.SEShort = r.WithinWithoutShort, 0
	if p.opts.Draws < 0 {
		return r, nil
	}
	draws := p.opts.Draws
	if draws == 0 {
		draws = p.draws()
	}
	hits, hitsShort, err := p.draw(have, short, draws, none)
	if err != nil {
		return r, err
	}
	r.Draws = draws
	r.Simulated, r.SE = estimate(hits, draws, r.Product)
	r.SimulatedShort, r.SEShort = estimate(hitsShort, draws, r.ProductWithoutShort)
	return r, nil
}

// estimate returns a drawn chance and its standard error. Where a part never is or
// always is enough (product 0 or 1) the chance is exact. The error is taken a little to
// the middle (Agresti and Coull 1998), so that no hit at all does not look certain.
func estimate(hits, draws int, product float64) (p, se float64) {
	if product == 0 || product == 1 {
		return product, 0
	}
	p = float64(hits) / float64(draws)
	mid := (float64(hits) + 2) / (float64(draws) + 4)
	return p, math.Sqrt(mid * (1 - mid) / float64(draws))
}

// lowerBound reports whether the product is sure not to exceed the joint chance: every
// need grows with the wet (Esary, Proschan and Walkup 1967).
func (p *packing) lowerBound() bool {
	for _, t := range p.work.tasks {
		if t.unplanned != nil && t.unplanned.WetFactor != nil && t.unplanned.WetFactor.LessThan(decimal.NewFromInt(1)) {
			return false
		}
		for _, l := range t.lines {
			switch {
			case l.BetaWetA != nil, l.WetPercent != nil && l.BetaDryA != nil:
				return false
			case l.WetPercent != nil && l.DryPercent != nil && l.WetPercent.LessThan(*l.DryPercent):
				return false
			}
		}
	}
	return true
}

// block is parts whose needs are weighed together.
type block interface {
	// chance returns the chance that the block stops no job, with what the trip has.
	chance(v view, have []units.Quantity, skip []bool) float64
	// drawn reports the same for needs that were drawn, in base units.
	drawn(need []float64, have []units.Quantity, skip []bool) bool
	members() []int
}

// single is a part on its own.
type single struct {
	part  int
	stops bool
}

func (b single) members() []int { return []int{b.part} }

func (b single) chance(v view, have []units.Quantity, skip []bool) float64 {
	if !b.stops || skip[b.part] {
		return 1
	}
	return v.need[b.part].Cover(have[b.part])
}

func (b single) drawn(need []float64, have []units.Quantity, skip []bool) bool {
	return !b.stops || skip[b.part] || enoughOf(need[b.part], float64(have[b.part]))
}

// enoughOf compares a drawn need with what there is; a thousandth of a base unit is the
// rounding of sums.
func enoughOf(need, have float64) bool { return need <= have+1e-3 }

// kitBlock is a seal kit and the loose parts that are also inside it.
type kitBlock struct {
	kit    int
	inside []int
	perKit []int
	stops  []bool // the kit's, then those of the parts inside
}

func (b kitBlock) members() []int { return append([]int{b.kit}, b.inside...) }

// chance sums over the kits that are used whole; what is left is opened for the loose
// parts.
func (b kitBlock) chance(v view, have []units.Quantity, skip []bool) float64 {
	if !b.stops[0] || skip[b.kit] { // no kit can be promised: the loose parts stand alone
		return b.loose(v, have, skip, 0)
	}
	full, total := v.need[b.kit].Dist.PMF, 0.0
	for f := full.From; f <= int(have[b.kit]); f++ {
		if p := full.At(f); p > 0 {
			total += p * b.loose(v, have, skip, int(have[b.kit])-f)
		}
		if f > full.Max() {
			break
		}
	}
	return min(total, 1)
}

// loose is the chance that the loose parts and so many opened kits are enough.
func (b kitBlock) loose(v view, have []units.Quantity, skip []bool, kits int) float64 {
	out := 1.0
	for k, i := range b.inside {
		if b.stops[k+1] && !skip[i] {
			out *= v.need[i].CoverWith(have[i], units.Quantity(kits*b.perKit[k]))
		}
	}
	return out
}

func (b kitBlock) drawn(need []float64, have []units.Quantity, skip []bool) bool {
	kits := 0
	if b.stops[0] && !skip[b.kit] {
		if !enoughOf(need[b.kit], float64(have[b.kit])) {
			return false
		}
		kits = int(float64(have[b.kit]) - need[b.kit])
	}
	for k, i := range b.inside {
		if b.stops[k+1] && !skip[i] && !enoughOf(need[i], float64(int(have[i])+kits*b.perKit[k])) {
			return false
		}
	}
	return true
}

// standInBlock is a part and its alternatives, all in pieces. An alternative first
// serves its own need; what is left of it serves the part.
type standInBlock struct {
	part     int
	alts     []int
	stops    bool
	altStops []bool
}

func (b standInBlock) members() []int { return append([]int{b.part}, b.alts...) }

func (b standInBlock) chance(v view, have []units.Quantity, skip []bool) float64 {
	left := []float64{1} // chance that so many alternatives are left
	for k, i := range b.alts {
		one := leftOver(v.need[i].Dist.PMF, int(have[i]), b.altStops[k] && !skip[i])
		next := make([]float64, len(left)+len(one)-1)
		for x, p := range left {
			for y, q := range one {
				next[x+y] += p * q
			}
		}
		left = next
	}
	total := 0.0
	for n, p := range left {
		if b.stops && !skip[b.part] {
			p *= v.need[b.part].CoverWith(have[b.part], units.Quantity(n))
		}
		total += p
	}
	return min(total, 1)
}

// leftOver returns the chance that n pieces are left of a stock, for each n. Where the
// need must be met, what is beyond it drops out; else nothing is left then.
func leftOver(need demand.PMF, stock int, must bool) []float64 {
	out := make([]float64, stock+1)
	for n := range out {
		out[stock-n] = need.At(n)
	}
	if !must {
		out[0] += need.Survival(stock + 1)
	}
	return out
}

func (b standInBlock) drawn(need []float64, have []units.Quantity, skip []bool) bool {
	left := 0.0
	for k, i := range b.alts {
		if b.altStops[k] && !skip[i] && !enoughOf(need[i], float64(have[i])) {
			return false
		}
		left += max(0, float64(have[i])-need[i])
	}
	return !b.stops || skip[b.part] || enoughOf(need[b.part], float64(have[b.part])+left)
}
