package load

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"roundkit/planner/calendar"
	"roundkit/planner/load/solve"
)

// ErrReadiness is what errors.Is finds when no load reaches the readiness asked for.
var ErrReadiness = errors.New("readiness out of reach")

// UsualReadiness is the readiness of the usual load where the season names none.
const UsualReadiness = 0.9

// What a load was chosen for.
const (
	ForParts     = "parts"     // each part at the confidence
	ForReadiness = "readiness" // the least that reaches a readiness
	ForMost      = "most"      // the greatest readiness within the limits
)

// Asked is what a load was chosen for, and how far it is proven.
type Asked struct {
	For       string
	Readiness float64  // ForReadiness: the chance asked for
	Reached   float64  // ForReadiness: the joint chance of what the target counts
	SE        float64  // of Reached; 0: the exact mixture over the weather
	Without   []string // ForReadiness: the parts that the target does not count, as stock cannot bring them there
	Fallback  string   // why the load is another than the one asked for
	Product   float64  // over all parts but those given up, as chosen
	Bound     float64  // no load within the limits has a greater product
	Least     *Least   // ForReadiness
	Stopped   bool     // the time ended the search: the best so far
}

// Least is what a load makes least, and what no load of the same product goes below.
type Least struct {
	What          string // kilos, litres or money
	Amount, Bound float64
	Product       float64
}

type asked struct{ Asked }

func durationOf(seconds float64) time.Duration {
	return time.Duration(seconds * float64(time.Second))
}

// pack chooses the load.
func (p *packing) pack() error {
	if r := p.opts.Readiness; r != 0 && !(r > 0 && r < 1) {
		return fmt.Errorf("readiness: found %v, expected a chance above 0 and below 1, such as 0.9", r)
	}
	if l := p.opts.Least; !slices.Contains([]string{"", WhyKilos, WhyLitres, WhyMoney}, l) {
		return fmt.Errorf("least: found %q, expected kilos, litres or money", l)
	}
	p.toConfidence()
	p.asked.For = ForParts
	if p.trip.GoesBy == calendar.Home {
		return nil
	}
	wanted := p.picks()
	if err := p.mustsFit(wanted); err != nil {
		return err
	}
	p.giveUp()
	var err error
	switch {
	case p.opts.Best:
		p.asked.For = ForMost
		err = p.most(wanted)
	case p.opts.Readiness > 0:
		err = p.ready(p.opts.Readiness, wanted, true)
	case p.opts.Confidence > 0:
		if p.fillCases(p.ctx) && p.over() == nil {
			return nil
		}
		// The confidence does not fit: the best that does, and no part beyond its confidence.
		for i := range p.parts {
			p.parts[i].capped, p.parts[i].top = true, wanted[i]
		}
		p.asked.For, p.asked.Fallback = ForMost, "the load of the confidence does not fit"
		err = p.most(wanted)
	default:
		err = p.ready(p.seasonReadiness(), wanted, false)
	}
	if err == nil {
		err = p.ctx.Err()
	}
	p.asked.Stopped = p.soft.Err() != nil
	return err
}

// seasonReadiness is the trip readiness that the season asks for.
func (p *packing) seasonReadiness() float64 {
	if s := p.o.Snapshot.Season; len(s) > 0 && s[0].TripReadinessPercent != nil {
		return s[0].TripReadinessPercent.InexactFloat64() / 100
	}
	return UsualReadiness
}

// ready packs the least that reaches a readiness. A target that is named is refused where no
// load reaches it, with the nearest one; the season's is lowered to what can be reached, or
// counts without what the stock cannot bring there; where the limits do not hold that load
// it is the best within them.
func (p *packing) ready(want float64, wanted []int, named bool) error {
	p.asked.For, p.asked.Readiness = ForReadiness, want
	skip := p.givenUp()
	given := slices.Contains(skip, true)
	if given && named {
		return fmt.Errorf("%w: found 0: %s cannot be had as often as it is used for certain; without that work ask for --best", ErrReadiness, p.named(skip))
	}
	full := p.fullest(skip)
	if full < want-reachSlack && !named {
		_, out := p.short()
		for i := range skip {
			skip[i] = skip[i] || out[i] && p.parts[i].stops
		}
		if full = p.fullest(skip); full < want {
			want = math.Floor(full*1000) / 1000
			p.asked.Readiness, p.asked.Fallback = want, fmt.Sprintf("more than %.1f %% is out of reach with what can be had", full*100)
		}
	}
	for i, s := range skip {
		if s {
			p.asked.Without = append(p.asked.Without, p.parts[i].Code)
		}
	}
	if want > 0 {
		ok, err := p.lightest(want, skip, wanted)
		if !ok && err == nil { // what stops nothing stays at home first
			ok, err = p.lightest(want, skip, p.stoppersOf(wanted))
			if ok {
				p.addRest(wanted)
			}
		}
		if ok || err != nil {
			p.alone, p.counted = ok, skip
			return err
		}
	}
	for i := range p.parts {
		p.parts[i].standIn = ""
	}
	if named {
		if err := p.most(wanted); err != nil {
			return err
		}
		j, _, err := p.joint(p.givenUp())
		if err != nil {
			return err
		}
		if slices.Contains(p.givenUp(), true) {
			j = 0
		}
		return fmt.Errorf("%w: found at most %.4f with what can be had and carried, expected %v", ErrReadiness, j, want)
	}
	p.asked.For = ForMost
	if want > 0 {
		p.asked.Fallback = fmt.Sprintf("the load for a readiness of %.4g %% does not fit", want*100)
	}
	p.asked.Without = nil
	return p.most(wanted)
}

// stoppersOf is what is wanted of the parts that stop a job, and what must go of the others.
func (p *packing) stoppersOf(wanted []int) []int {
	out := slices.Clone(wanted)
	for i := range out {
		if !p.parts[i].stops {
			out[i] = 0
		}
	}
	return out
}

// named lists the parts that are marked.
func (p *packing) named(of []bool) string {
	var codes []string
	for i, x := range of {
		if x {
			codes = append(codes, p.parts[i].Code)
		}
	}
	return joined(codes)
}

// fullest is the joint chance with all that can be had, limits aside.
func (p *packing) fullest(skip []bool) float64 {
	picks := p.picks()
	for i := range p.parts {
		p.parts[i].pick = p.parts[i].enough(math.MaxInt64, false)
	}
	j, _, err := p.joint(skip)
	p.putBack(picks)
	if err != nil {
		return p.product(p.mixed(), p.haves(), skip)
	}
	return j
}

// joint is the chance that the load is enough, of all parts but some: the exact mixture over
// the weather, else drawn, with its standard error.
func (p *packing) joint(skip []bool) (chance, se float64, err error) {
	if !p.viewed {
		if p.views, err = p.weathers(); err != nil {
			return 0, 0, err
		}
		p.viewed = true
	}
	have := p.haves()
	if p.views == nil {
		draws := p.draws()
		hits, _, err := p.draw(have, skip, draws, skip)
		if err != nil {
			return 0, 0, err
		}
		chance, se = estimate(hits, draws, p.product(p.mixed(), have, skip))
		return chance, se, nil
	}
	for _, v := range p.views {
		chance += v.weight * p.product(v, have, skip)
	}
	return chance, 0, nil
}

// steps of the search for the product whose load has the joint readiness.
const (
	downSteps = 5
	halfSteps = 4
)

// lightest packs the least load whose joint readiness reaches what is wanted: the least that
// reaches a product, on the efficient frontier of the product as far down as the joint chance
// holds. It reports whether there is one within the limits.
func (p *packing) lightest(want float64, skip []bool, wanted []int) (bool, error) {
	w, err := p.weigh(p.limits, skip, wanted)
	if err != nil {
		if _, ok := err.(*hopeless); ok {
			return false, nil
		}
		return false, err
	}
	of := p.leastOf()
	l := p.turned(w, of)
	hold := p.picks()
	type load struct {
		choice         []int
		value, bound   float64
		product, joint float64
		se             float64
	}
	at := func(target float64, above *float64) (*load, error) {
		l.Limit[len(l.Limit)-1] = -(math.Log(target) - w.constant) - solve.Slack + reachSlack
		got, err := l.Solve(p.soft, solve.Effort{Gap: 1e-7, Above: above})
		if err != nil || got.Choice == nil {
			return nil, err
		}
		p.putBack(hold)
		p.take(w, got.Choice)
		x := load{choice: got.Choice, value: got.Value, bound: got.Bound, product: p.product(p.mixed(), p.haves(), skip)}
		x.joint, x.se, err = p.joint(skip)
		return &x, err
	}
	best, err := at(want, nil)
	if err != nil {
		return false, err
	}
	high := want
	if best == nil { // the product does not reach it; the joint chance may
		got, err := w.Solve(p.soft, beside(w))
		if err != nil || got.Choice == nil {
			return false, err
		}
		high = math.Exp(got.Value + w.constant)
		p.putBack(hold)
		p.take(w, got.Choice)
		if j, _, err := p.joint(skip); err != nil || j < want-reachSlack {
			return false, err
		}
		if best, err = at(high*(1-1e-9), nil); err != nil || best == nil {
			return false, err
		}
	}
	if best.joint < want-reachSlack {
		return false, nil
	}
	low := 0.0
	for range downSteps {
		if best.joint <= want+1e-6 || p.soft.Err() != nil {
			break
		}
		target := min(high, best.product) * want / best.joint
		if target >= high*(1-1e-6) {
			break
		}
		x, err := at(target, nil)
		if err != nil {
			return false, err
		}
		if x == nil || x.joint < want-reachSlack {
			low = target
			break
		}
		best, high = x, target
	}
	for range halfSteps {
		if low == 0 || high-low < 1e-4 || p.soft.Err() != nil {
			break
		}
		target := math.Sqrt(low * high)
		x, err := at(target, nil)
		if err != nil {
			return false, err
		}
		if x == nil || x.joint < want-reachSlack {
			low = target
			continue
		}
		best, high = x, target
	}
	p.putBack(hold)
	p.take(w, best.choice)
	if !p.fillCases(p.ctx) {
		return false, nil
	}
	rest := 0.0 // what is not weighed, in the same measure
	for i := range p.parts {
		rest += p.parts[i].of(p.parts[i].set(), of).InexactFloat64()
	}
	for _, c := range p.cases {
		rest += p.leastOfCase(&c)
	}
	p.asked.Product, p.asked.Reached, p.asked.SE = best.product, best.joint, best.se
	p.asked.Least = &Least{What: p.least(), Amount: rest, Bound: rest - max(0, best.bound-best.value), Product: high}
	return true, nil
}

// turned is the problem the other way round: the chance is a row, and what is least counts.
func (p *packing) turned(w *weighing, of func(container) decimal.Decimal) *solve.Packing {
	l := w.Packing
	l.Limit = append(slices.Clone(w.Limit), 0)
	l.Items = make([]solve.Item, len(w.Items))
	m := len(w.rows)
	for k := range w.Items {
		for o, x := range w.loads[k] {
			amount := 0.0
			for _, t := range x.more {
				amount += p.uses(t.part, []int{t.pick}, []limit{{of: of}})[0][0]
			}
			l.Items[k].Add(-amount, append(slices.Clone(w.Items[k].Use[o*m:o*m+m]), -x.log))
		}
	}
	rows := append(slices.Clone(w.rows), limit{})
	if p.apart() {
		l.Bins = p.bins(rows, func(c *Case) float64 { return -p.leastOfCase(c) })
	}
	return &l
}

// least is what the load makes least: money first for a truck, kilos by air.
func (p *packing) least() string {
	switch {
	case p.opts.Least != "":
		return p.opts.Least
	case p.trip.GoesBy == calendar.Air:
		return WhyKilos
	}
	return WhyMoney
}

// leastOf measures it; of equal money the lightest.
func (p *packing) leastOf() func(container) decimal.Decimal {
	switch p.least() {
	case WhyLitres:
		return litresOf
	case WhyMoney: // a gram counts as a ten-thousandth of a cent
		return func(c container) decimal.Decimal { return c.spend.Add(c.grams.Shift(-6)) }
	}
	return kilosOfContainer
}

// leastOfCase is what a case that goes adds to it.
func (p *packing) leastOfCase(c *Case) float64 {
	g := c.empty().InexactFloat64()
	switch p.least() {
	case WhyLitres:
		return g / 1e9 // the lighter of equal ones
	case WhyMoney:
		return g / 1e6
	}
	return g / 1000
}
