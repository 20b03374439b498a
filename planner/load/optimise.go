package load

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner/calendar"
	"roundkit/planner/load/solve"
)

// ErrReadiness is what errors.Is finds when no load reaches the readiness asked for.
var ErrReadiness = errors.New("readiness out of reach")

// surely is the chance of running short below which more of a part is worth nothing.
const surely = 1e-9

// maxBlockLoads is the most loads of a block that are weighed one by one; a block with
// more is packed as single parts.
const maxBlockLoads = 60_000

// pack chooses the load.
func (p *packing) pack() error {
	if r := p.opts.Readiness; r != 0 && !(r > 0 && r < 1) {
		return fmt.Errorf("readiness: found %v, expected a chance above 0 and below 1, such as 0.9", r)
	}
	if l := p.opts.Least; !slices.Contains([]string{"", WhyKilos, WhyLitres, WhyMoney}, l) {
		return fmt.Errorf("least: found %q, expected kilos, litres or money", l)
	}
	p.toConfidence()
	if p.trip.GoesBy == calendar.Home {
		return nil
	}
	_, out := p.short()
	limited := p.opts.LimitKG != nil || p.opts.LimitL != nil || p.opts.LimitSpend != nil
	most := limited && p.opts.Confidence == 0 && p.opts.Readiness == 0
	if most || p.opts.Readiness > 0 {
		return p.best(out)
	}
	if p.over() == nil && (p.trip.GoesBy != calendar.Air || p.fillCases() == nil) {
		return nil
	}
	// The confidence does not fit: the best that does, and no part beyond its confidence.
	for i := range p.parts {
		p.parts[i].capped, p.parts[i].top = true, p.parts[i].take
	}
	return p.best(out)
}

// best packs what must be, then the parts that stop a job as well as the limits allow,
// then the rest to the confidence as far as it fits. By air it is repeated with tighter
// limits until the cases close.
func (p *packing) best(out []bool) error {
	wanted := make([]int, len(p.parts)) // of what is not weighed: out of reach, on site, stops nothing
	for i, s := range p.parts {
		wanted[i] = s.take
	}
	rows := slices.Clone(p.limits)
	if p.opts.Readiness > 0 { // what is least: a row that never binds
		rows = append(rows, limit{what: leastRow, most: decimal.New(1, 12), of: p.leastOf()})
	}
	first := true
	for range 60 + len(p.parts) {
		bound, err := p.optimise(rows, out, wanted)
		var big *tooBig
		if errors.As(err, &big) {
			// Not even what is used for certain fits: the heaviest of it stays, is said to
			// be short, and the rest is packed as well as it goes.
			s := &p.parts[big.part]
			s.left, out[big.part] = true, true
			s.why = big.what
			continue
		}
		if err != nil {
			return err
		}
		if first {
			p.bound, first = bound, false // tighter limits bound less
		}
		if p.trip.GoesBy != calendar.Air {
			return nil
		}
		m := p.fillCases()
		if m == nil {
			return nil
		}
		if rows, err = p.tighter(rows, *m); err != nil {
			return err
		}
	}
	return errors.New("cases: found no way to close them, expected more room or a lighter load")
}

// tighter takes what did not fit off the limits.
func (p *packing) tighter(rows []limit, m misfit) ([]limit, error) {
	rows = slices.Clone(rows)
	lower := func(what, per string, of func(container) decimal.Decimal, by decimal.Decimal) {
		total := decimal.Zero
		for _, s := range p.parts {
			for _, c := range s.can[:s.take] {
				total = total.Add(of(c))
			}
		}
		rows = append(rows, limit{what: what, per: per, most: total.Sub(by), of: of})
	}
	gram := decimal.New(1, -3)
	if m.roomUL > 0 {
		lower(WhyLitres, "l", litresOf, decimal.New(int64(m.roomUL), -6))
	} else {
		lower(WhyKilos, "kg", kilosOfContainer, decimal.Max(gram, m.loose.Add(m.over).Div(thousand)))
	}
	if last := rows[len(rows)-1]; last.most.IsNegative() {
		return nil, fmt.Errorf("cases: found %s g over the limit with nothing packed, expected room for the load", m.over)
	}
	// of several rows of one kind only the tightest matters
	kept := rows[:0]
	for i, r := range rows {
		tighter := func(o limit) bool { return o.what == r.what && o.most.Sub(o.stays).LessThan(r.most.Sub(r.stays)) }
		if !slices.ContainsFunc(rows[i+1:], tighter) {
			kept = append(kept, r)
		}
	}
	return kept, nil
}

// leastRow is the row that a load with a readiness asked for makes least.
const leastRow = "least"

// leastOf measures what a load with a readiness asked for makes least: kilos, or litres, or
// money; of equal money the lightest.
func (p *packing) leastOf() func(container) decimal.Decimal {
	switch p.opts.Least {
	case WhyLitres:
		return litresOf
	case WhyMoney: // a gram counts as a ten-thousandth of a cent
		return func(c container) decimal.Decimal { return c.spend.Add(c.grams.Shift(-6)) }
	}
	return kilosOfContainer
}

// fixed reports whether a part is packed as it is wanted and not weighed.
func (p *packing) fixed(i int, out []bool) bool {
	return out[i] || !p.parts[i].stops || p.parts[i].onSite
}

// weighing is the problem of a load: an item for each block with something to choose.
type weighing struct {
	prob     solve.Problem
	loads    [][]option
	constant float64 // log chance of the blocks with nothing to choose
}

// weigh sets what is not weighed and makes the problem of the rest.
func (p *packing) weigh(rows []limit, out []bool, wanted []int) (weighing, error) {
	for i := range p.parts {
		s := &p.parts[i]
		s.take, s.cut = s.must, s.why
		if p.fixed(i, out) && (out[i] || s.onSite) && !s.left {
			s.take = wanted[i]
		}
	}
	free := make([]float64, len(rows))
	for j, r := range rows {
		left := r.most.Sub(p.used(limit{stays: r.stays, of: r.of}))
		if left.IsNegative() {
			if big := p.heaviest(r); big != nil {
				return weighing{}, big
			}
			return weighing{}, p.musts(r, r.most.Sub(left))
		}
		free[j] = left.InexactFloat64()
	}
	return p.gather(free, rows, out)
}

// gather makes the problem of the blocks.
func (p *packing) gather(free []float64, rows []limit, out []bool) (w weighing, err error) {
	w.prob.Limit = free
	hopeless := false
	v := p.mixed()
	for _, b := range p.blocks {
		list := p.options(b, v, out, rows)
		list = slices.DeleteFunc(list, func(o option) bool { return math.IsInf(o.log, -1) })
		if len(list) == 0 {
			hopeless = true
			continue
		}
		if len(list) == 1 && len(list[0].more) == 0 {
			w.constant += list[0].log
			continue
		}
		var it solve.Item
		for _, o := range list {
			it.Add(o.log, o.row)
		}
		w.prob.Items, w.prob.Start, w.loads = append(w.prob.Items, it), append(w.prob.Start, lightest(list)), append(w.loads, list)
	}
	if hopeless {
		return w, errors.New("stock: found a part that no load makes enough for certain use, expected it among the short ones")
	}
	return w, nil
}

// optimise solves the load within the rows and returns the bound on the product.
func (p *packing) optimise(rows []limit, out []bool, wanted []int) (float64, error) {
	w, err := p.weigh(rows, out, wanted)
	if err != nil {
		return 0, err
	}
	if big := p.beyondReach(w.prob, w.loads, rows, p.mixed()); big != nil {
		return 0, big
	}
	s, err := p.solveLoad(w.prob, w.constant, rows)
	if err != nil {
		return 0, err
	}
	for k, o := range s.Choice {
		for _, m := range w.loads[k][o].more {
			p.parts[m.part].take = m.take
		}
	}
	p.last = weighed{rows, out, wanted}
	p.addRest(rows, out, wanted)
	p.reasons(rows, s.Worth)
	return math.Exp(min(0, s.Bound+w.constant)), nil
}

// weighed is what a load was weighed with.
type weighed struct {
	rows   []limit
	out    []bool
	wanted []int
}

// oneMore finds what one more of each limit that binds would bring: the load is weighed
// anew with it and put back.
func (p *packing) oneMore() error {
	take, cut := make([]int, len(p.parts)), make([]string, len(p.parts))
	for i, s := range p.parts {
		take[i], cut[i] = s.take, s.cut
	}
	for k := range p.limits {
		l := &p.limits[k]
		if l.worth <= 0 || p.opts.Readiness > 0 {
			continue
		}
		rows := slices.Clone(p.last.rows)
		for j := range rows {
			if rows[j].what == l.what {
				rows[j].most = rows[j].most.Add(decimal.NewFromInt(1))
			}
		}
		w, err := p.weigh(rows, p.last.out, p.last.wanted)
		if err != nil {
			return err
		}
		s, err := w.prob.Solve(p.ctx, solve.Effort{States: 6000, Work: 8e6})
		if err != nil {
			return err
		}
		l.oneMore = math.Exp(min(0, s.Value+w.constant))
	}
	for i := range p.parts {
		p.parts[i].take, p.parts[i].cut = take[i], cut[i]
	}
	return nil
}

// solveLoad maximises the product or, with a readiness asked for, minimises the kilos.
func (p *packing) solveLoad(prob solve.Problem, constant float64, rows []limit) (solve.Solution, error) {
	s, err := prob.Solve(p.ctx, solve.Effort{})
	if err != nil || p.opts.Readiness == 0 {
		return s, err
	}
	target := math.Log(p.opts.Readiness) - constant
	if s.Value < target-1e-12 {
		return s, fmt.Errorf("%w: found at most %.4f with what can be had and carried, expected %v", ErrReadiness, math.Exp(s.Value+constant), p.opts.Readiness)
	}
	m := len(rows)
	least := slices.IndexFunc(rows, func(r limit) bool { return r.what == leastRow })
	light := solve.Problem{Limit: append(slices.Clone(prob.Limit), -target-solve.Slack), Start: s.Choice}
	for _, it := range prob.Items {
		var turned solve.Item
		for o, v := range it.Val {
			turned.Add(-it.Use[o*m+least], append(slices.Clone(it.Use[o*m:o*m+m]), -v))
		}
		light.Items = append(light.Items, turned)
	}
	if _, use := light.Total(light.Start); !light.Within(use) {
		return s, nil // only the greatest readiness reaches it
	}
	found, err := light.Solve(p.ctx, solve.Effort{Gap: 1e-9})
	if err != nil {
		return s, err
	}
	if gap := found.Bound - found.Value; gap > 1e-6 {
		p.note("the least %s is proven to within %.3g", cmp.Or(p.opts.Least, WhyKilos), gap)
	}
	value, _ := prob.Total(found.Choice)
	return solve.Solution{Choice: found.Choice, Value: value, Bound: value}, nil
}

// addRest packs what is not weighed to its confidence, as far as it fits: first what a
// limit keeps below it, then what stops nothing.
func (p *packing) addRest(rows []limit, out []bool, wanted []int) {
	var order []int
	for _, left := range []bool{true, false} {
		for i, s := range p.parts {
			if p.fixed(i, out) && s.left == left && (left || !out[i] && !s.onSite) {
				order = append(order, i)
			}
		}
	}
	for _, i := range order {
		s := &p.parts[i]
		for s.take < wanted[i] {
			s.take++
			if slices.ContainsFunc(rows, func(r limit) bool { return p.used(r).GreaterThan(r.most) }) {
				s.take--
				break
			}
		}
	}
}

// reasons notes which limit keeps a part below its confidence: the one that binds most.
func (p *packing) reasons(rows []limit, worth []float64) {
	binding, most := WhyKilos, 0.0
	for j, r := range rows {
		if j >= len(worth) {
			break
		}
		if share := worth[j] * r.most.InexactFloat64(); share > most {
			binding, most = r.what, share
		}
		for k := range p.limits {
			if p.limits[k].what == r.what {
				p.limits[k].worth = max(p.limits[k].worth, worth[j])
			}
		}
	}
	for i := range p.parts {
		s := &p.parts[i]
		if !s.left && s.have(s.take) < s.line.AtConfidence && s.take < s.enough(s.line.AtConfidence) { // what was left has its own reason
			s.cut = binding
		}
	}
}

// kilosOfContainer and litresOf measure a container.
func kilosOfContainer(c container) decimal.Decimal { return c.grams.Div(thousand) }
func litresOf(c container) decimal.Decimal         { return decimal.New(int64(c.ul), -6) }
