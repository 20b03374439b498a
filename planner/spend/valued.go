package spend

import (
	"fmt"
	"maps"
	"math/big"
	"slices"

	"roundkit/planner"
	"roundkit/planner/cost"
	"roundkit/planner/units"
)

// Formula is the cost formula: which cost a use is given. The books stand by lot; the other
// two are views of the same movements.
type Formula string

// The cost formulas of IAS 2: specific identification, first in first out, and weighted
// average, here the moving one.
const (
	Lot     Formula = "lot"     // each use costs its own lot
	FIFO    Formula = "fifo"    // the oldest receipt of the part first
	Average Formula = "average" // the moving weighted average of what is there of the part
)

// Formulas lists them, the usual one first.
func Formulas() []Formula { return []Formula{Lot, FIFO, Average} }

// Event is one movement over the edge of our places, in the order of time: above 0 it left
// for the outside, below 0 it came from there. Key is the view's, where the day is one of
// those asked for.
type Event struct {
	Key, Lot, Outside string
	Quantity          units.Quantity
	Asked             bool
}

// Issued is the cost that a formula gives to what left a lot for the outside; the key is
// that of what was really used, whatever the formula says of its cost.
type Issued struct {
	Moved
	Cost *big.Rat
}

// Valuer gives each use its cost by first in first out or at the moving average, as the
// events come by. A part's receipts enter at their lots' own cost. A lot without a cost
// takes no part: what leaves it is not valued, as by lot.
type Valuer struct {
	formula Formula
	prices  *Prices
	partOf  map[string]string
	ofKit   map[string]bool // lots that came out of an opened kit
	pools   map[string]*pool
	names   []name // what pieces are named by
	named   map[name]int64
}

// name is whose a quantity is.
type name struct {
	key, lot, outside string
	asked             bool
}

// pool is a part's, with what went by name and layer, and what came in.
type pool struct {
	*cost.Pool
	went     map[piece]int64
	balance  *Balance
	unvalued map[string]bool
}

type piece struct {
	of    int64
	layer int
}

// NewValuer is ready for the first event of a season.
func NewValuer(s *planner.Snapshot, costs []Cost, formula Formula) (*Valuer, error) {
	if formula != FIFO && formula != Average {
		return nil, fmt.Errorf("valued: found %q, expected %s or %s", formula, FIFO, Average)
	}
	v := &Valuer{formula: formula, prices: NewPrices(s, costs), partOf: map[string]string{}, ofKit: map[string]bool{}, pools: map[string]*pool{}, named: map[name]int64{}}
	for _, l := range s.Lots {
		v.partOf[l.Code], v.ofKit[l.Code] = l.Part, l.FromLot != ""
	}
	return v, nil
}

func (v *Valuer) pool(part string) *pool {
	p := v.pools[part]
	if p == nil {
		p = &pool{went: map[piece]int64{}, balance: newBalance(part), unvalued: map[string]bool{}}
		p.Pool = cost.NewFIFO()
		if v.formula == Average {
			p.Pool = cost.NewAverage()
		}
		v.pools[part] = p
	}
	return p
}

// Add takes the next event. Lots of other seasons are left out.
func (v *Valuer) Add(e Event) {
	part, ok := v.partOf[e.Lot]
	if !ok || e.Quantity == 0 {
		return
	}
	p := v.pool(part)
	p.balance.Left -= e.Quantity
	price := v.prices.Of(e.Lot).Cost
	if price == nil {
		p.balance.without(e.Lot, v.prices.why[e.Lot], p.unvalued)
		return
	}
	if e.Outside == relabelled {
		return // the same lot before and after
	}
	n := name{e.Key, e.Lot, e.Outside, e.Asked}
	of, ok := v.named[n]
	if !ok {
		of = int64(len(v.names))
		v.named[n], v.names = of, append(v.names, n)
	}
	q := int64(e.Quantity)
	receipt := e.Outside == purchase || e.Outside == opening || e.Outside == openedKit && v.ofKit[e.Lot]
	switch {
	case receipt && q < 0:
		p.put(p.In(-q, price))
		p.balance.receive(e.Outside, value(price, -q))
	case receipt && p.Unreceive(q, price):
		p.balance.receive(e.Outside, value(price, -q))
	case q > 0:
		p.put(p.Out(of, q))
	default:
		p.put(p.Back(of, -q, price))
	}
}

func (p *pool) put(pieces []cost.Piece) {
	for _, x := range pieces {
		p.went[piece{x.Of, x.Layer}] += x.Quantity
	}
}

// Done returns what was asked for with its cost, and each part's balance: what is there is
// handed in by lot, so that the quantities have two sources that must agree.
func (v *Valuer) Done(there map[string]units.Quantity) (issued []Issued, balances []Balance) {
	for lot, q := range there {
		if part, ok := v.partOf[lot]; ok {
			v.pool(part).balance.Left -= q
		}
	}
	sums := map[name]*Issued{}
	for _, part := range slices.Sorted(maps.Keys(v.pools)) {
		p := v.pools[part]
		p.put(p.Settle(func(of int64) *big.Rat { return v.prices.Of(v.names[of].lot).Cost }))
		for x, q := range p.went {
			n, amount := v.names[x.of], value(p.Price(x.layer), q)
			p.balance.issue(n.outside, amount)
			if !n.asked || n.outside != Used && n.outside != Scrap && n.outside != CountDifference {
				continue
			}
			if sums[n] == nil {
				sums[n] = &Issued{Moved: Moved{Key: n.key, Outside: n.outside, Lot: n.lot}, Cost: new(big.Rat)}
			}
			sums[n].Quantity += units.Quantity(q)
			sums[n].Cost.Add(sums[n].Cost, amount)
		}
		_, p.balance.Closing = p.Pool.Left()
		p.balance.settle()
		balances = append(balances, *p.balance)
	}
	for _, n := range v.names { // in the order of their first event
		if x := sums[n]; x != nil {
			issued = append(issued, *x)
		}
	}
	return issued, balances
}

func value(price *big.Rat, quantity int64) *big.Rat {
	v := new(big.Rat).SetInt64(quantity)
	return v.Mul(v, price)
}

// issue adds to a past's value what the formula gave to what went to an outside place.
func (b *Balance) issue(outside string, amount *big.Rat) {
	switch outside {
	case Used:
		b.Used.Add(b.Used, amount)
	case Scrap:
		b.Scrapped.Add(b.Scrapped, amount)
	case CountDifference:
		b.Difference.Add(b.Difference, amount)
	default:
		b.receive(outside, new(big.Rat).Neg(amount))
	}
}

// receive adds what came from an outside place; below 0 it went back.
func (b *Balance) receive(outside string, amount *big.Rat) {
	switch outside {
	case opening:
		b.Opening.Add(b.Opening, amount)
	case openedKit:
		b.OpenedKits.Add(b.OpenedKits, amount)
	default:
		b.Purchases.Add(b.Purchases, amount)
	}
}
