package order

import (
	"math"
	"slices"

	"github.com/shopspring/decimal"
)

// joining is a heading's wants as joint orders: packs of each offer, period by period.
type joining struct {
	t       *task
	periods []period
	parts   []seasonPart
	charges seasonCharges
}

// period is neighbouring order-by days that the search takes as one.
type period struct{ first, last int }

// seasonPart is one offer in the search, its packs that are paid for or those that are free.
type seasonPart struct {
	offer  *offer
	free   bool
	beyond bool
	litres float64 // of a pack
	wants  []int   // in the task, that want packs of it
	lot    LotProblem
	early  [][]float64
}

// seasonCharges are an order's charges in its currency.
type seasonCharges struct {
	carriage, entry float64
	duty            float64 // of goods, as a share
	freeFrom        float64 // goods from which carriage is free; 0: never
	freeFromL       float64 // litres
	minimum         float64 // goods of an order; 0: none, or not surely kept
	slack           float64 // what rounding the duty may take off
}

// mostPeriods bounds the periods of a search: more days than that are taken in twos,
// threes, ... which only lowers the bound.
const mostPeriods = 60

// seasonWork bounds the steps of a heading's searches together: some two seconds.
const seasonWork = 500_000_000

// searches is how many a heading may take.
const searches = 2 * len(shares)

// shares are the parts of a charge that are tried as surely paid.
var shares = [...]float64{0, 0.25, 0.5, 0.75, 1}

// bound returns what no way to put the wants in orders costs less than, and tells the ways
// that the searches find.
//
// Method: the joint search (Joint) over the order-by days with what it knows: a charge an
// order, prices with breaks, minimums, keeping, what is bought in vain. The rest is put into it from below. An
// order's goods G are at least the supplier's minimum M, so also at least m M + (1-m) G
// for any m of 0 to 1; carriage C is free from goods F, so it is at least f (C - C G/F) for
// any f of 0 to 1 (as in tilted). Each choice is a search with another charge an order and
// lower prices; the highest bound counts. Where only large orders ship free, there can be
// but few of them: so many orders shipped free spend so many times F, and save so many
// times C. Duty is a share of prices; what rounding it can take off is taken off.
func (t *task) bound(found func([][]want)) decimal.Decimal {
	s := t.joining()
	best := s.floor()
	try := func(c seasonCharges, m, f float64, work int) float64 {
		q, ok := s.problem(c, m, f, work)
		if !ok {
			return 0
		}
		plan, err := Joint(&q)
		if err != nil {
			return 0 // too much for the search, or there is no plan: the floor stays
		}
		found(s.batches(plan.Orders))
		return plan.Bound - s.unslacked(c, m, f)
	}
	paid := s.charges // as if nothing shipped free
	paid.freeFrom, paid.freeFromL = 0, 0
	if s.charges == paid && paid.minimum == 0 {
		return s.down(max(best, try(paid, 0, 1, seasonWork)))
	}
	m, most := 0.0, 0.0 // the best part of the minimum
	for _, x := range shares {
		if v := try(paid, x, 1, seasonWork/searches); v > most {
			m, most = x, v
		}
		if paid.minimum == 0 {
			break
		}
	}
	if s.charges == paid {
		return s.down(max(best, most))
	}
	best = max(best, s.someFree(most))
	for _, f := range shares {
		best = max(best, try(s.charges, m, f, seasonWork/searches))
	}
	return s.down(best)
}

// someFree turns a bound for orders that all pay carriage into one where some ship free.
func (s *joining) someFree(paid float64) float64 {
	c := s.charges
	worth := math.Inf(1) // of an order that ships free, at least
	if c.freeFrom > 0 {
		worth = c.freeFrom
	}
	if c.freeFromL > 0 {
		litre := math.Inf(1)
		for _, a := range s.parts {
			if a.litres > 0 {
				litre = min(litre, a.lowest()/a.litres)
			}
		}
		worth = min(worth, c.freeFromL*litre)
	}
	least := paid
	for k := 1; k <= len(s.t.wants); k++ {
		least = min(least, max(paid-float64(k)*c.carriage, float64(k)*worth*(1+c.duty)))
	}
	return least
}

// down rounds a bound down to cents, so that no rounding of the search lifts it.
func (s *joining) down(bound float64) decimal.Decimal {
	bound -= 1e-9 * max(1, math.Abs(bound))
	return decimal.NewFromFloat(max(0, bound)).RoundDown(2)
}

// joining lays out the wants of a task as joint orders.
func (t *task) joining() *joining {
	s := &joining{t: t}
	span := (len(t.days) + mostPeriods - 1) / mostPeriods
	of := make([]int, len(t.days)) // the period of each day
	for i := 0; i < len(t.days); i += span {
		last := min(i+span, len(t.days)) - 1
		for k := i; k <= last; k++ {
			of[k] = len(s.periods)
		}
		s.periods = append(s.periods, period{i, last})
	}
	type key struct {
		offer        *offer
		free, beyond bool
	}
	at := map[key]int{}
	add := func(k key, want, packs, period int) {
		if packs == 0 {
			return
		}
		i, seen := at[k]
		if !seen {
			i = len(s.parts)
			at[k] = i
			s.parts = append(s.parts, seasonPart{offer: k.offer, free: k.free, beyond: k.beyond, lot: LotProblem{Demand: make([]int, len(s.periods)), Pack: 1}})
			if t.wants[want].part.Unit == "ml" {
				s.parts[i].litres = float64(k.offer.pack) / 1e6
			}
		}
		s.parts[i].wants = append(s.parts[i].wants, want)
		s.parts[i].lot.Demand[period] += packs
	}
	free, some := map[*offer]bool{}, false
	for i := range t.days {
		for w := t.starts[i]; w < t.starts[i+1]; w++ {
			x := t.wants[w]
			add(key{x.offer, false, x.beyond}, w, x.paid, of[i])
			add(key{x.offer, true, x.beyond}, w, x.free, of[i])
			if x.free > 0 {
				free[x.offer], some = true, true
			}
		}
	}
	for i := range s.parts {
		s.price(&s.parts[i], free[s.parts[i].offer])
	}
	s.readCharges(some)
	return s
}

// price fills in what packs of a part cost, without duty.
func (s *joining) price(a *seasonPart, someFree bool) {
	n := len(s.periods)
	p := &a.lot
	p.OrderCost, p.Holding, p.Price = make([]float64, n), make([]float64, n), make([]float64, n)
	packs := 0
	for _, d := range p.Demand {
		packs += d
	}
	a.early = make([][]float64, n)
	for k := range n {
		a.early[k] = make([]float64, packs+1)
	}
	if a.free {
		return
	}
	ladder := s.t.ladders[rungs{a.offer, a.beyond}]
	vain := ladder.price().InexactFloat64()
	for k := range n {
		for x := range a.early[k] {
			a.early[k][x] = vain * ladder.vain(s.t.days[s.periods[k].last], x)
		}
	}
	price := a.offer.price.InexactFloat64()
	if a.beyond {
		price = a.offer.beyondPrice().InexactFloat64()
	} else {
		price = a.breaks(price)
	}
	keep := a.offer.price.InexactFloat64() * s.t.p.res.Holding / 365
	for k := range n {
		p.Price[k] = price
		if k+1 < n {
			p.Holding[k] = keep * float64(s.t.days[s.periods[k+1].first]-s.t.days[s.periods[k].last])
		}
	}
	if !someFree {
		p.Minimum = a.offer.minimum
	}
}

// breaks puts the price breaks of one kind into the problem and returns the price of a
// pack. Where both kinds are mixed every pack has the lowest price.
func (a *seasonPart) breaks(price float64) float64 {
	least := price
	var each [2][]LotBreak
	for _, b := range a.offer.breaks {
		kind := 0
		if beyondOnly(b) {
			kind = 1
		}
		one := LotBreak{b.FromPacks, b.PricePerPack.InexactFloat64()}
		least = min(least, one.Price)
		if k := len(each[kind]); k > 0 && each[kind][k-1].From == one.From {
			each[kind][k-1].Price = min(each[kind][k-1].Price, one.Price)
			continue
		}
		each[kind] = append(each[kind], one)
	}
	switch {
	case len(each[0]) > 0 && len(each[1]) > 0:
		return least
	case len(each[1]) > 0:
		a.lot.Breaks, a.lot.Incremental = each[1], true
	default:
		a.lot.Breaks = each[0]
	}
	return price
}

// lowest is the lowest price of a pack.
func (a *seasonPart) lowest() float64 {
	least := a.lot.Price[0]
	for _, b := range a.lot.Breaks {
		least = min(least, b.Price)
	}
	return least
}

// readCharges reads the supplier's charges and minimum. An order of free packs alone may
// be below the minimum, and so may one of parts so cheap that it is a slip of the pen.
func (s *joining) readCharges(someFree bool) {
	t, c := s.t, &s.charges
	if t.h.how != Sent {
		return
	}
	sup := t.wants[0].offer.supplier
	o := &Order{Supplier: sup, Currency: t.h.currency}
	c.carriage = t.p.inMoneyOf(o, amount(sup.Carriage), "carriage").InexactFloat64()
	c.entry = t.p.inMoneyOf(o, amount(sup.EntryFee), "entry fee").InexactFloat64()
	if c.duty = amount(sup.DutyPercent).InexactFloat64() / 100; c.duty > 0 {
		c.slack = 0.005
		if noCents[t.h.currency] {
			c.slack = 0.5
		}
	}
	if c.carriage > 0 && sup.FreeFrom != nil {
		c.freeFrom = sup.FreeFrom.InexactFloat64()
	}
	if c.carriage > 0 && sup.FreeFromL != nil {
		c.freeFromL = sup.FreeFromL.InexactFloat64()
	}
	if sup.FreeFrom != nil && c.freeFrom == 0 || sup.FreeFromL != nil && c.freeFromL == 0 {
		c.carriage, c.freeFrom, c.freeFromL = 0, 0, 0
	}
	if !someFree {
		c.minimum = amount(sup.MinimumOrder).InexactFloat64()
	}
	for i := range s.parts {
		if s.parts[i].lowest()*mostExtraPacks < c.minimum {
			c.minimum = 0
		}
	}
}

// unslacked is what rounding the duty of an order a want may take off beyond their charges.
func (s *joining) unslacked(c seasonCharges, m, f float64) float64 {
	return max(0, c.slack-c.entry-f*c.carriage-m*c.minimum) * float64(len(s.t.wants))
}

// floor is what all packs cost at their lowest prices, with duty.
func (s *joining) floor() float64 {
	sum := 0.0
	for i := range s.parts {
		packs := 0
		for _, d := range s.parts[i].lot.Demand {
			packs += d
		}
		sum += float64(packs) * s.parts[i].lowest()
	}
	return max(0, sum*(1+s.charges.duty)+s.charges.entry-s.charges.slack*float64(len(s.t.wants)))
}

// batches reads a plan of the search as orders: what is ordered of an offer in a period
// meets its wants in turn. Free packs wait for the last order before they must be out.
func (s *joining) batches(orders [][]int) [][]want {
	t := s.t
	packs := map[[2]int]want{} // of a period and a want
	open := make([]bool, len(s.periods))
	put := func(period, w, paid, free int) {
		x, seen := packs[[2]int{period, w}]
		if !seen {
			x = t.wants[w]
			x.paid, x.free = 0, 0
		}
		x.paid, x.free = x.paid+paid, x.free+free
		packs[[2]int{period, w}] = x
		open[period] = true
	}
	for i, a := range s.parts {
		if a.free {
			continue
		}
		next, left := 0, 0
		for k, q := range orders[i] {
			for q > 0 && next < len(a.wants) {
				if left == 0 {
					left = t.wants[a.wants[next]].paid
				}
				take := min(q, left)
				put(k, a.wants[next], take, 0)
				if q, left = q-take, left-take; left == 0 {
					next++
				}
			}
		}
	}
	for i, a := range s.parts {
		if !a.free {
			continue
		}
		for k, q := range orders[i] {
			open[k] = open[k] || q > 0
		}
		for _, w := range a.wants {
			k := s.of(w)
			for k > 0 && !open[k] {
				k--
			}
			put(k, w, 0, t.wants[w].free)
		}
	}
	var out [][]want
	for k := range s.periods {
		var batch []want
		for w := range t.wants {
			if x, ok := packs[[2]int{k, w}]; ok {
				batch = append(batch, x)
			}
		}
		if len(batch) > 0 {
			out = append(out, t.p.split(batch)...)
		}
	}
	return out
}

// of is the period of a want's own day.
func (s *joining) of(w int) int {
	for k, p := range s.periods {
		if w < s.t.starts[p.last+1] {
			return k
		}
	}
	return len(s.periods) - 1
}

// problem is the joint problem with a part m of the minimum and a part f of the carriage
// surely paid. ok: prices stay at 0 or more.
func (s *joining) problem(c seasonCharges, m, f float64, work int) (q JointProblem, ok bool) {
	q.MostWork = work
	q.Shipping = c.entry + f*c.carriage + m*(1+c.duty)*c.minimum
	q.Shipping = max(0, q.Shipping-c.slack) // where there is too little, try takes it off
	for _, a := range s.parts {
		one := a.lot
		share, off := (1+c.duty)*(1-m), 0.0
		if c.freeFrom > 0 {
			share -= f * c.carriage / c.freeFrom
		}
		if c.freeFromL > 0 {
			off = f * c.carriage / c.freeFromL * a.litres
		}
		one.Price, one.Breaks = slices.Clone(one.Price), slices.Clone(one.Breaks)
		for t := range one.Price {
			one.Price[t] = one.Price[t]*share - off
			if one.Price[t] < 0 {
				return q, false
			}
		}
		for b := range one.Breaks {
			one.Breaks[b].Price = one.Breaks[b].Price*share - off
			if one.Breaks[b].Price < 0 {
				return q, false
			}
		}
		q.Parts, q.Early = append(q.Parts, one), append(q.Early, a.early)
	}
	return q, true
}
