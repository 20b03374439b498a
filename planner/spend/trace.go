package spend

import (
	"cmp"
	"math/big"
	"slices"
	"time"

	"roundkit/planner"
	"roundkit/planner/units"
)

// Trace is one movement that cost something, or was found, with its money: what every
// figure of a review can be followed back to.
type Trace struct {
	ID                              string // of its record, and its number within it
	At                              time.Time
	Person, Kind                    string
	Undo                            bool
	Round, Service, Assembly, Rider string
	Part, Lot                       string
	Outside                         string         // used, scrap or count difference
	Quantity                        units.Quantity // below 0: it came back, or was found
	Amount, List                    *big.Rat       // home currency; nil: not valued, no allocation
}

// Value puts the money to traces, each at its lot's own cost.
func Value(s *planner.Snapshot, costs []Cost, traces []Trace) {
	prices, parts := NewPrices(s, costs), map[string]string{}
	for _, l := range s.Lots {
		parts[l.Code] = l.Part
	}
	for i := range traces {
		t := &traces[i]
		t.Part = parts[t.Lot]
		q := new(big.Rat).SetInt64(int64(t.Quantity))
		p := prices.Of(t.Lot)
		if p.Cost != nil {
			t.Amount = new(big.Rat).Mul(p.Cost, q)
		}
		if p.List != nil && t.Outside == Used {
			t.List = new(big.Rat).Mul(p.List, q)
		}
	}
}

// PartCost is what a part cost in use, scrap and differences.
type PartCost struct {
	Part                       string
	Quantity                   units.Quantity // used
	Used, Scrapped, Difference *big.Rat
	List                       *big.Rat
}

// ByPart sums traces by part, the dearest in use first.
func ByPart(traces []Trace) []PartCost {
	at := map[string]int{}
	var out []PartCost
	for _, t := range traces {
		i, ok := at[t.Part]
		if !ok {
			i = len(out)
			at[t.Part] = i
			out = append(out, PartCost{Part: t.Part, Used: new(big.Rat), Scrapped: new(big.Rat), Difference: new(big.Rat), List: new(big.Rat)})
		}
		p := &out[i]
		to := p.Difference
		switch t.Outside {
		case Used:
			to = p.Used
			p.Quantity += t.Quantity
		case Scrap:
			to = p.Scrapped
		}
		if t.Amount != nil {
			to.Add(to, t.Amount)
		}
		if t.List != nil {
			p.List.Add(p.List, t.List)
		}
	}
	slices.SortStableFunc(out, func(a, b PartCost) int {
		return cmp.Or(new(big.Rat).Add(b.Used, b.List).Cmp(new(big.Rat).Add(a.Used, a.List)), cmp.Compare(a.Part, b.Part))
	})
	return out
}

// Dead is stock that will likely never be used: past its date, or not used this season and
// not wanted in what is left of it.
type Dead struct {
	Part, Lot, Place string
	Quantity         units.Quantity
	Why              string
	Amount           *big.Rat // nil: not valued
}

// DeadStock lists it.
func DeadStock(s *planner.Snapshot, costs []Cost, traces []Trace, wanted map[string]bool) []Dead {
	prices, lots, used := NewPrices(s, costs), map[string]planner.Lot{}, map[string]bool{}
	for _, l := range s.Lots {
		lots[l.Code] = l
	}
	for _, t := range traces {
		used[t.Part] = used[t.Part] || t.Outside == Used
	}
	reusable := map[string]bool{}
	for _, p := range s.Parts {
		reusable[p.Code] = p.Kind == "spring" || p.Kind == "tool" || p.Reusable != nil && *p.Reusable
	}
	var out []Dead
	for _, h := range s.Stock {
		l, why := lots[h.Lot], ""
		switch {
		case l.ExpiresOn != nil && *l.ExpiresOn < s.AsOf:
			why = "past its date, " + l.ExpiresOn.String()
		case reusable[h.Part] || used[h.Part] || wanted[h.Part]:
			continue
		default:
			why = "not used this season and not planned"
		}
		d := Dead{Part: h.Part, Lot: h.Lot, Place: h.Place, Quantity: h.Quantity, Why: why}
		if p := prices.Of(h.Lot).Cost; p != nil {
			d.Amount = new(big.Rat).Mul(p, new(big.Rat).SetInt64(int64(h.Quantity)))
		}
		out = append(out, d)
	}
	return out
}
