package spend

import (
	"math/big"

	"roundkit/planner"
	"roundkit/planner/units"
)

// Allocation is how far what a supplier gives free goes.
type Allocation struct {
	Part           planner.Part
	Supplier       string
	Free, Used     *big.Rat // in the part's unit
	Expected, Over *big.Rat
	OverCash       *big.Rat // nil: no list price, or nobody said what is paid beyond
}

// allocations says how far the free quantities go: used so far from any lot, and expected
// to the season's end.
func (w *work) allocations(left map[string]*big.Rat) []Allocation {
	used := w.used()
	var out []Allocation
	for _, a := range w.s.Allocations {
		p, ok := w.parts[a.Part]
		if !ok {
			continue
		}
		in := func(q units.Quantity) *big.Rat { return big.NewRat(int64(q), p.Unit.Base()) }
		x := Allocation{Part: p, Supplier: a.Supplier, Free: in(a.FreeQuantity), Used: in(used[a.Part])}
		x.Expected = new(big.Rat).Add(x.Used, left[a.Part])
		x.Over = new(big.Rat).Sub(x.Expected, x.Free)
		if x.Over.Sign() < 0 {
			x.Over.SetInt64(0)
		}
		if price := w.listPriceOf(a.Part).price; price != nil && a.BeyondPercent != nil {
			x.OverCash = new(big.Rat).Mul(x.Over, price)
			x.OverCash.Mul(x.OverCash, new(big.Rat).Mul(a.BeyondPercent.Rat(), big.NewRat(1, 100)))
		}
		out = append(out, x)
	}
	return out
}

func (w *work) used() map[string]units.Quantity {
	used := map[string]units.Quantity{}
	for _, u := range w.s.Use {
		used[u.Part] = u.Quantity
	}
	return used
}

// beyond notes what each allocation still gives free, and returns the share of the list
// price that is paid for a part beyond it.
func (w *work) beyond(p *plan) map[string]float64 {
	used, share := w.used(), map[string]float64{}
	for _, a := range w.s.Allocations {
		part, ok := w.parts[a.Part]
		if !ok {
			continue
		}
		left := units.ToFloat(max(0, a.FreeQuantity-used[a.Part]), part.Unit)
		if p.free[a.Part] == nil {
			p.free[a.Part] = &freeLeft{}
		}
		p.free[a.Part].from += left
		share[a.Part] = 1
		if a.BeyondPercent != nil {
			share[a.Part], _ = new(big.Rat).Mul(a.BeyondPercent.Rat(), big.NewRat(1, 100)).Float64()
		}
	}
	return share
}
