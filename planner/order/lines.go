package order

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner/units"
)

// item is one part of an order: the wants for it, summed.
type item struct {
	line   Line // what its lines share
	offer  *offer
	free   int // packs
	paid   int
	beyond bool
	cost   decimal.Decimal // of the paid packs
}

// items sums the wants of an order by part, in the order of the first want of each. Where
// the supplier sells no fewer packs, or more cost less, it takes more.
func items(wants []want) []item {
	var out []item
	at := map[*offer]int{}
	for _, x := range wants {
		i, seen := at[x.offer]
		if !seen {
			i = len(out)
			at[x.offer] = i
			out = append(out, item{offer: x.offer, beyond: x.beyond, line: Line{
				Part: x.part, SupplierRef: x.offer.SupplierNumber, Pack: x.offer.pack,
				OrderBy: x.orderBy, NeedBy: x.dueOn, Chance: x.chance,
			}})
		}
		it := &out[i]
		it.free, it.paid = it.free+x.free, it.paid+x.paid
		it.line.Late = it.line.Late || x.late
		it.line.OrderBy, it.line.NeedBy = min(it.line.OrderBy, x.orderBy), min(it.line.NeedBy, x.dueOn)
		it.line.Reasons = append(it.line.Reasons, x.reason)
	}
	for i := range out {
		it := &out[i]
		if least := it.offer.minimum; it.free+it.paid < least {
			it.line.Extra = fmt.Sprintf("%d packs are the least they sell", least)
			it.paid = least - it.free
		}
		if more := it.offer.cheaper(it.paid, it.beyond); more > it.paid {
			it.line.Extra = fmt.Sprintf("%d packs cost less than %d", more, it.paid)
			it.paid = more
		}
		it.cost = cost(it.offer.tiers(it.paid, it.beyond))
	}
	return out
}

func goodsOf(all []item) decimal.Decimal {
	sum := decimal.Zero
	for _, it := range all {
		sum = sum.Add(it.cost)
	}
	return sum
}

// lines splits an item by price: free packs, paid packs, packs beyond a break.
func (it item) lines() []Line {
	tiers := it.offer.tiers(it.paid, it.beyond)
	if it.free > 0 {
		tiers = append([]tier{{packs: it.free, how: Free}}, tiers...)
	}
	out := make([]Line, len(tiers))
	for i, t := range tiers {
		out[i] = it.line
		out[i].Packs, out[i].UnitPrice, out[i].Price = t.packs, t.price, t.how
		out[i].Quantity = it.line.Pack * units.Quantity(t.packs)
		out[i].Amount = t.price.Mul(decimal.NewFromInt(int64(t.packs)))
	}
	return out
}

// mostExtraPacks bounds what is added to reach a minimum: beyond it the minimum or the
// price is a slip of the pen.
const mostExtraPacks = 1000

// reachMinimum adds packs to the item that reaches the supplier's minimum order for the
// least money, if the order does not reach it.
func reachMinimum(o *Order, all []item) {
	least := amount(o.Supplier.MinimumOrder)
	goods := goodsOf(all)
	if goods.GreaterThanOrEqual(least) {
		return
	}
	best, bestPaid := -1, 0
	var bestGoods decimal.Decimal
	for i, it := range all {
		if it.paid == 0 {
			continue
		}
		rest := goods.Sub(it.cost)
		for paid := it.paid + 1; paid <= it.paid+mostExtraPacks; paid++ {
			sum := rest.Add(cost(it.offer.tiers(paid, it.beyond)))
			if sum.LessThan(least) {
				continue
			}
			if best < 0 || sum.LessThan(bestGoods) {
				best, bestPaid, bestGoods = i, paid, sum
			}
			break
		}
	}
	if best < 0 {
		o.Notes = append(o.Notes, fmt.Sprintf("below the supplier's minimum order of %s %s: ask, or add to it", least.StringFixed(2), o.Currency))
		return
	}
	it := &all[best]
	it.line.Extra = fmt.Sprintf("%d more to reach the minimum order of %s %s", bestPaid-it.paid, least.StringFixed(2), o.Currency)
	it.paid = bestPaid
	it.cost = cost(it.offer.tiers(it.paid, it.beyond))
}

// Why returns the reasons of a line as one text: each trip that makes it necessary.
func (l Line) Why() string {
	var texts []string
	for _, r := range l.Reasons {
		texts = append(texts, fmt.Sprintf("%s by %s: needs %s, has %s", strings.Join(r.Rounds, "+"), r.DueOn, units.Say(r.Need, l.Part.Unit), units.Say(r.Have, l.Part.Unit)))
	}
	if l.Extra != "" {
		texts = append(texts, l.Extra)
	}
	return strings.Join(texts, "; ")
}
