package load

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner/load/solve"
)

// surely is the chance of running short below which more of a part is worth nothing.
const surely = 1e-9

// maxBlockLoads is the most loads of a block that are weighed one by one.
const maxBlockLoads = 60_000

// kilosOfContainer and litresOf measure a container.
func kilosOfContainer(c container) decimal.Decimal { return c.grams.Div(thousand) }
func litresOf(c container) decimal.Decimal         { return decimal.New(int64(c.ul), -6) }

// fixed reports whether a part is packed as it is wanted and not weighed.
func (p *packing) fixed(i int, skip []bool) bool {
	return skip[i] || !p.parts[i].stops || p.parts[i].onSite
}

// weighing is the problem of a load: an item for each block with something to choose.
type weighing struct {
	solve.Packing
	rows     []limit
	loads    [][]option
	block    []block
	constant float64 // log chance of the blocks with nothing to choose
}

// weighed is what a load was weighed with.
type weighed struct {
	rows []limit
	skip []bool
}

// weigh makes the problem of a load. What is not weighed is packed: as it is wanted, or
// (wanted nil) only what must be. The loads that give no chance are left out; a block that
// has no other is what the error names.
func (p *packing) weigh(rows []limit, skip []bool, wanted []int) (*weighing, error) {
	w := &weighing{rows: rows}
	w.Apart = keptApart
	for i := range p.parts {
		if p.parts[i].pick = 0; wanted != nil && p.fixed(i, skip) {
			p.parts[i].pick = wanted[i]
		}
	}
	chosen := make([]bool, len(p.parts))
	v := p.mixed()
	for _, b := range p.blocks {
		list := p.options(b, v, skip, rows)
		switch {
		case len(list) == 0:
			return nil, &hopeless{b}
		case len(list[0].more) == 0:
			w.constant += list[0].log
			continue
		}
		for _, m := range list[0].more {
			chosen[m.part] = true
		}
		w.loads, w.block = append(w.loads, list), append(w.block, b)
	}
	p.cases = nil
	for _, r := range rows {
		left := r.most.Sub(r.stays)
		for i := range p.parts {
			if s := &p.parts[i]; !chosen[i] {
				left = left.Sub(s.of(s.set(), r.of))
			}
		}
		w.Limit = append(w.Limit, left.InexactFloat64())
	}
	for _, list := range w.loads {
		var it solve.Item
		var of [][]solve.Piece
		for _, o := range list {
			it.Add(o.log, o.row)
			of = append(of, o.pieces)
		}
		w.Items, w.Pieces = append(w.Items, it), append(w.Pieces, of)
	}
	if p.apart() {
		w.Bins = p.bins(rows, func(*Case) float64 { return 0 })
		for i := range p.parts {
			if s := &p.parts[i]; !chosen[i] {
				w.Fixed = append(w.Fixed, s.pieces(s.set())...)
			}
		}
	}
	return w, nil
}

// hopeless is a block that no load gives a chance.
type hopeless struct{ of block }

func (h *hopeless) Error() string {
	return "stock: found a part that no load makes enough for certain use"
}

// giveUp marks the parts that are used for certain and cannot be had: no load gives their
// block a chance.
func (p *packing) giveUp() {
	full := make([]int, len(p.parts))
	for i := range p.parts {
		s := &p.parts[i]
		full[i], s.pick = s.pick, s.enough(math.MaxInt64, false)
	}
	have, v, skip := p.haves(), p.mixed(), p.givenUp()
	for _, b := range p.blocks {
		if b.chance(v, have, skip) > 0 {
			continue
		}
		for _, i := range b.members() {
			if p.parts[i].stops && v.need[i].Cover(have[i]) == 0 {
				p.parts[i].given, skip[i] = true, true
			}
		}
		if b.chance(v, have, skip) > 0 {
			continue
		}
		for _, i := range b.members() {
			p.parts[i].given, skip[i] = p.parts[i].stops, p.parts[i].stops
		}
	}
	for i := range p.parts {
		p.parts[i].pick = full[i]
	}
}

// givenUp are the parts that are given up.
func (p *packing) givenUp() []bool {
	out := make([]bool, len(p.parts))
	for i := range p.parts {
		out[i] = p.parts[i].given
	}
	return out
}

// take packs a choice.
func (p *packing) take(w *weighing, choice []int) {
	for k, o := range choice {
		for _, m := range w.loads[k][o].more {
			p.parts[m.part].pick = m.pick
		}
	}
}

// most makes the product as great as the limits allow. Where they do not hold all that is
// used for certain, as few blocks as can be are given up, and the rest is made the best.
func (p *packing) most(wanted []int) error {
	for range p.blocks {
		w, err := p.weigh(p.limits, p.givenUp(), nil)
		if h, ok := err.(*hopeless); ok {
			p.surrender(h.of)
			continue
		}
		if err != nil {
			return err
		}
		got, err := w.Solve(p.soft, solve.Effort{Log: &w.constant})
		if err != nil {
			return err
		}
		if got.Choice == nil && p.soft.Err() != nil {
			if got.Choice = p.lightestThatFits(w); got.Choice != nil {
				got.Value, _ = w.Total(got.Choice)
			}
		}
		if got.Choice == nil {
			if err := p.fewest(w); err != nil {
				return err
			}
			continue
		}
		p.take(w, got.Choice)
		p.last = weighed{p.limits, p.givenUp()}
		p.asked.Product, p.asked.Bound = math.Exp(min(0, got.Value+w.constant)), math.Exp(min(0, got.Bound+w.constant))
		p.addRest(wanted)
		p.worth(got.Worth)
		return nil
	}
	return fmt.Errorf("load: found no load within the limits, expected one")
}

// surrender gives up the parts of a block.
func (p *packing) surrender(b block) {
	for _, i := range b.members() {
		p.parts[i].given = p.parts[i].given || p.parts[i].stops
	}
}

// fewest gives up as few blocks as the limits ask for: each may be left at what must go, at
// the price of one.
func (p *packing) fewest(w *weighing) error {
	q := w.Packing
	q.Bins = slices.Clone(w.Bins)
	q.Items, q.Pieces = make([]solve.Item, len(w.Items)), make([][][]solve.Piece, len(w.Items))
	for k := range w.Items {
		for o := range w.loads[k] {
			q.Items[k].Add(0, w.loads[k][o].row)
			q.Pieces[k] = append(q.Pieces[k], w.loads[k][o].pieces)
		}
		row, pieces := make([]float64, len(w.rows)), []solve.Piece(nil)
		for _, m := range w.loads[k][0].more {
			s := &p.parts[m.part]
			for j, u := range p.uses(m.part, []int{0}, w.rows)[0] {
				row[j] += u
			}
			pieces = append(pieces, s.pieces(s.sets[0])...)
		}
		q.Items[k].Add(-1, row)
		q.Pieces[k] = append(q.Pieces[k], pieces)
	}
	got, err := q.Solve(p.soft, solve.Effort{Gap: wholeGap, Work: fewWork, States: fewStates})
	if err != nil {
		return err
	}
	if got.Choice == nil {
		if p.soft.Err() != nil {
			return p.shed(w)
		}
		return p.mustError(w)
	}
	n := given(w, got.Choice)
	if n == 0 {
		return fmt.Errorf("load: the time ended before a load was found, expected more time")
	}
	// Of the loads that give up so few, a good one: what is given up counts as sure, at a price
	// that only the fewest are worth.
	if len(w.Items) <= fewItems {
		dear := 0.0
		for k := range w.Items {
			dear = max(dear, -slices.Min(w.Items[k].Val))
		}
		for k := range w.Items {
			copy(q.Items[k].Val, w.Items[k].Val)
			q.Items[k].Val[len(w.loads[k])] = -dear - 1
		}
		best, err := q.Solve(p.soft, solve.Effort{Work: fewWork, States: fewStates})
		if err != nil {
			return err
		}
		if best.Choice != nil && given(w, best.Choice) <= n {
			got = best
		}
	}
	for k, o := range got.Choice {
		if o == len(w.loads[k]) {
			p.surrender(w.block[k])
		}
	}
	return nil
}

// given counts the blocks that a choice of fewest gives up.
func given(w *weighing, choice []int) (n int) {
	for k, o := range choice {
		if o == len(w.loads[k]) {
			n++
		}
	}
	return n
}

// fewWork and fewStates are the effort of finding what is given up; it is counted in whole
// blocks.
const (
	wholeGap  = 1 - 1e-6
	fewWork   = 2_000_000
	fewStates = 3_000
	fewItems  = 80 // of more any fewest will do
)

// lightestThatFits is the lightest load of each block, nil where the cases do not hold it: a
// load for when the time is up before any was found.
func (p *packing) lightestThatFits(w *weighing) []int {
	picks := p.picks()
	defer func() { p.putBack(picks); p.cases = nil }()
	choice := make([]int, len(w.loads))
	for k, list := range w.loads {
		choice[k] = lightest(list)
	}
	p.take(w, choice)
	if p.over() != nil || !p.fillCases(p.ctx) {
		return nil
	}
	return choice
}

// shed gives up, when the time is up, the blocks whose least load is heaviest, a tenth of what
// is left at a time.
func (p *packing) shed(w *weighing) error {
	order := make([]int, len(w.loads))
	least := make([]float64, len(w.loads))
	for k, list := range w.loads {
		order[k], least[k] = k, sum(list[lightest(list)].row)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(least[b], least[a]) })
	if len(order) == 0 {
		return p.mustError(w)
	}
	for _, k := range order[:(len(order)+9)/10] {
		p.surrender(w.block[k])
	}
	return nil
}

// mustsFit refuses at once what must go and is over a limit by itself.
func (p *packing) mustsFit(wanted []int) error {
	err := p.mustError(&weighing{rows: p.limits})
	p.cases = nil
	p.putBack(wanted)
	if errors.Is(err, errNoCases) {
		return nil
	}
	return err
}

// errNoCases: by its kilos what must go would fit.
var errNoCases = errors.New("no cases within the limits hold what must be carried")

// mustError says what must go and breaks a limit.
func (p *packing) mustError(w *weighing) error {
	for i := range p.parts {
		p.parts[i].pick = 0
	}
	p.cases = nil
	for i := range p.boxes { // the lightest there can be: no case, or those that go anyway
		if k := p.boxes[i]; k.Held.IsPositive() || p.alwaysFlies(&k) {
			p.cases = append(p.cases, k)
		}
	}
	for _, r := range w.rows {
		if used := p.used(r); used.GreaterThan(r.most) {
			return p.musts(r, used)
		}
	}
	return fmt.Errorf("%w: %w", ErrMust, errNoCases)
}

// addRest packs what is not weighed to what is wanted, as far as it fits: first what was
// given up, then what stops nothing; all at once, else part by part.
func (p *packing) addRest(wanted []int) {
	skip := p.givenUp()
	var order []int
	for _, given := range []bool{true, false} {
		for i := range p.parts {
			s := &p.parts[i]
			if p.fixed(i, skip) && s.given == given && len(s.sets) > 0 {
				order = append(order, i)
			}
		}
	}
	p.addSome(order, wanted)
	p.fillCases(p.ctx)
}

// addSome packs parts to what is wanted where all of them fit, else halves of them, and of
// one the fullest set that does.
func (p *packing) addSome(parts, wanted []int) {
	was := make([]int, len(parts))
	changes := false
	for k, i := range parts {
		was[k] = p.parts[i].pick
		changes = changes || was[k] != wanted[i]
		p.parts[i].pick = wanted[i]
	}
	if !changes || p.fillCases(p.soon) {
		return
	}
	for k, i := range parts {
		p.parts[i].pick = was[k]
	}
	if p.soon.Err() != nil {
		return
	}
	if len(parts) > 1 {
		p.addSome(parts[:len(parts)/2], wanted)
		p.addSome(parts[len(parts)/2:], wanted)
		return
	}
	s := &p.parts[parts[0]]
	var sets []int
	for x := range s.sets {
		if s.sets[x].quantity > s.sets[was[0]].quantity && s.sets[x].quantity <= s.sets[wanted[parts[0]]].quantity {
			sets = append(sets, x)
		}
	}
	slices.SortStableFunc(sets, func(a, b int) int { return int(s.sets[b].quantity - s.sets[a].quantity) })
	for _, s.pick = range sets {
		if p.fillCases(p.soon) {
			return
		}
	}
	s.pick = was[0]
}

// worth notes what one more of each limit is worth.
func (p *packing) worth(of []float64) {
	for k := range p.limits {
		if k < len(of) {
			p.limits[k].worth = of[k]
		}
	}
}

// beside is the effort of what is only said beside the load: its bounds are true, if wider.
func beside(w *weighing) solve.Effort {
	return solve.Effort{Work: fewWork / 10, States: fewStates / 10, Log: &w.constant}
}

// oneMore finds what one more of each limit that binds would bring: the load is weighed
// anew with it and put back.
func (p *packing) oneMore() error {
	if p.last.rows == nil {
		return nil
	}
	_, out := p.short()
	picks, cases := p.picks(), p.cases
	for k := range p.limits {
		l := &p.limits[k]
		if l.worth <= 0 {
			continue
		}
		rows := slices.Clone(p.last.rows)
		rows[k].most = rows[k].most.Add(decimal.NewFromInt(1))
		w, err := p.weigh(rows, p.last.skip, nil)
		if err != nil {
			return err
		}
		got, err := w.Solve(p.soon, beside(w))
		if err != nil {
			return err
		}
		if got.Choice != nil {
			p.take(w, got.Choice)
			l.oneMore = p.product(p.mixed(), p.haves(), out)
		}
	}
	p.putBack(picks)
	p.cases = cases
	return nil
}

func (p *packing) picks() []int {
	out := make([]int, len(p.parts))
	for i := range p.parts {
		out[i] = p.parts[i].pick
	}
	return out
}

func (p *packing) putBack(picks []int) {
	for i, x := range picks {
		p.parts[i].pick = x
	}
}

// boundWithout is what no load within the limits exceeds: of the product without some parts.
func (p *packing) boundWithout(out []bool) float64 {
	if p.last.rows != nil {
		same := true
		for i := range p.parts {
			same = same && (out[i] == p.last.skip[i] || !p.parts[i].stops)
		}
		if same {
			return p.asked.Bound
		}
	}
	picks, cases := p.picks(), p.cases
	defer func() { p.putBack(picks); p.cases = cases }()
	for i := range p.parts {
		defer func(was bool) { p.parts[i].capped = was }(p.parts[i].capped)
		p.parts[i].capped = false
	}
	w, err := p.weigh(p.limits, out, nil)
	if err != nil {
		return 1
	}
	b, err := w.Solve(p.soon, beside(w))
	if err != nil || math.IsInf(b.Bound, 0) {
		return 1
	}
	return math.Exp(min(0, b.Bound+w.constant))
}

// why says what keeps a part below its confidence: the limit that a little more of it would
// break.
func (p *packing) why(i int) (string, string) {
	s := &p.parts[i]
	next := -1
	for x := range s.sets {
		if s.have(x) > s.now() && (next < 0 || s.sets[x].kg < s.sets[next].kg) {
			next = x
		}
	}
	if next < 0 {
		return WhyStock, p.remedy(s)
	}
	was := s.pick
	s.pick = next
	defer func() { s.pick = was }()
	for _, l := range p.limits {
		if l.what != WhyKilos && p.used(l).GreaterThan(l.most) {
			return l.what, ""
		}
	}
	for _, l := range p.limits {
		if p.used(l).GreaterThan(l.most) {
			return l.what, ""
		}
	}
	if !p.apart() {
		return p.binding(), ""
	}
	room, beside, another := false, false, false
	for k := range p.boxes {
		box := &p.boxes[k]
		at := slices.IndexFunc(p.cases, func(c Case) bool { return c.Code == box.Code })
		if at < 0 {
			another = true
			continue
		}
		c := &p.cases[at]
		one := stack{n: 1, grams: s.kinds[0].grams, ul: s.kinds[0].ul}
		if c.holds(one) > 0 {
			if c.takes(s.Part) {
				room = true
			} else if c.KeepApart != groupOf(s.Part) {
				beside = true
			}
		}
	}
	switch {
	case room:
		return p.binding(), "other things weigh more for the kilos it takes"
	case beside && !another:
		return WhyKilos, "seals may not lie beside cleaner, and a further case is not there"
	case beside:
		return WhyKilos, "seals may not lie beside cleaner, and a further case is over the kilos"
	case !another:
		return WhyKilos, "the cases that take it are full, and a further case is not there"
	}
	return WhyKilos, "the cases that take it are full, and a further case is over the kilos"
}

// binding is the limit that binds most.
func (p *packing) binding() string {
	what, most := WhyKilos, 0.0
	for _, l := range p.limits {
		if share := l.worth * l.most.InexactFloat64(); share > most {
			what, most = l.what, share
		}
	}
	return what
}

// soonOf ends with the context or after so many seconds; 0: with the context alone.
func soonOf(ctx context.Context, seconds float64) (context.Context, context.CancelFunc) {
	if seconds <= 0 {
		return context.WithCancel(ctx)
	}
	return context.WithTimeout(ctx, durationOf(seconds))
}
