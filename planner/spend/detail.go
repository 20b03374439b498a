package spend

import (
	"cmp"
	"fmt"
	"maps"
	"math/big"
	"slices"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Purchase is one cost row of a lot with its money: what the price of the lot is made of.
type Purchase struct {
	Cost
	Part, Supplier, Order string
	What                  string // bought, carried over, or from a kit
	ReceivedOn            *day.Day
	Quantity              units.Quantity
	Rate, Home            *big.Rat // home currency for one of the row's; nil: not valued, and why
	List                  *big.Rat // list value of what came free, on the first row of its lot
	Tax                   *big.Rat // that can be reclaimed: cash, not cost; nil: none
	Why                   string
}

// Purchases lists every cost row of the season's lots; a lot without one is a row too, with
// the reason. Tax is what is paid and reclaimed on what was bought: the home rate on what
// suppliers at home charge and on what comes in over a border with duty or an entry fee.
// Between countries of one customs union none is paid (common practice, from memory).
func Purchases(s *planner.Snapshot, costs []Cost) []Purchase {
	of, suppliers := map[string][]Cost{}, map[string]planner.Supplier{}
	for _, c := range costs {
		of[c.Lot] = append(of[c.Lot], c)
	}
	for _, x := range s.Suppliers {
		suppliers[x.Code] = x
	}
	prices := NewPrices(s, costs)
	var out []Purchase
	for _, l := range s.Lots {
		p := Purchase{Part: l.Part, Supplier: l.Supplier, Order: l.Order, What: "bought", ReceivedOn: l.ReceivedOn}
		switch {
		case l.FromLot != "":
			p.What = "from a kit"
		case l.ReceivedOn == nil || len(s.Season) > 0 && *l.ReceivedOn < s.Season[0].FirstOn:
			p.What = "carried over"
		}
		if l.Quantity != nil {
			p.Quantity = *l.Quantity
		}
		if list := prices.Of(l.Code).List; list != nil {
			p.List = value(list, int64(p.Quantity))
		}
		if len(of[l.Code]) == 0 {
			p.Cost, p.Why = Cost{Lot: l.Code}, prices.why[l.Code]
			out = append(out, p)
			continue
		}
		for _, c := range of[l.Code] {
			p.Cost, p.Rate, p.Home, p.Tax, p.Why = c, nil, nil, nil, ""
			if rate, why := rateOfRow(s, l, c); why != "" {
				p.Why = why
			} else {
				p.Rate, p.Home = rate, new(big.Rat).Mul(rate, c.Amount.Rat())
				p.Tax = reclaimable(s, suppliers[l.Supplier], p)
			}
			out = append(out, p)
			p.List = nil
		}
	}
	return out
}

// rateOfRow is the rate of a cost row, at that of the day its lot came in, or why there is none.
func rateOfRow(s *planner.Snapshot, l planner.Lot, c Cost) (*big.Rat, string) {
	currency := c.Currency
	if currency == "" {
		currency = homeOf(s)
	}
	var on day.Day
	switch {
	case l.ReceivedOn != nil:
		on = *l.ReceivedOn
	case currency != homeOf(s) && !c.Amount.IsZero():
		return nil, "lot " + l.Code + " has no day it came in, so no rate for its " + currency
	}
	rate, ok := rateOn(s, currency, on)
	if !ok && !c.Amount.IsZero() {
		return nil, fmt.Sprintf("lot %s: no rate for %s on %s", l.Code, currency, on)
	}
	if !ok {
		rate = new(big.Rat) // of nothing
	}
	return rate, ""
}

// reclaimable is the tax on a purchase; nil: none is paid, or nobody said the rate.
func reclaimable(s *planner.Snapshot, from planner.Supplier, p Purchase) *big.Rat {
	if len(s.Season) == 0 || s.Season[0].HomeTaxPercent == nil || p.What != "bought" || p.Home.Sign() == 0 {
		return nil
	}
	home := from.Country != "" && from.Country == s.Season[0].Country
	imported := from.EntryFee != nil || from.DutyPercent != nil
	if !home && !imported {
		return nil
	}
	return new(big.Rat).Mul(p.Home, percent(s.Season[0].HomeTaxPercent))
}

// ChargeLine is a charge with its money.
type ChargeLine struct {
	Charge
	Rate, Home *big.Rat // nil: not valued, and why
	Why        string
}

// ChargeLines lists the charges up to the day asked about, each at the rate of its day.
func ChargeLines(s *planner.Snapshot, charges []Charge) []ChargeLine {
	var out []ChargeLine
	for _, c := range charges {
		if c.On > s.AsOf {
			continue
		}
		if c.Currency == "" {
			c.Currency = homeOf(s)
		}
		l := ChargeLine{Charge: c}
		rate, ok := rateOn(s, c.Currency, c.On)
		switch {
		case len(s.Season) > 0 && (c.On < s.Season[0].FirstOn || c.On > s.Season[0].LastOn):
			l.Why = "outside the season"
		case !ok:
			l.Why = fmt.Sprintf("no rate for %s on %s", c.Currency, c.On)
		default:
			l.Rate, l.Home = rate, new(big.Rat).Mul(rate, c.Amount.Rat())
		}
		out = append(out, l)
	}
	return out
}

// RanOut is a part of which a job took more than the book had: what stopped it, or would have.
type RanOut struct {
	Part     string
	Times    int
	Quantity units.Quantity // that was found
	Records  []string
}

// RanOuts lists the parts that were found by jobs, those found most often first.
func RanOuts(traces []Trace) []RanOut {
	at, out := map[string]int{}, []RanOut(nil)
	for _, t := range traces {
		if t.Kind != "job" || t.Undo || t.Outside != CountDifference || t.Quantity >= 0 {
			continue
		}
		i, ok := at[t.Part]
		if !ok {
			i = len(out)
			at[t.Part], out = i, append(out, RanOut{Part: t.Part})
		}
		out[i].Times++
		out[i].Quantity -= t.Quantity
		out[i].Records = append(out[i].Records, t.ID)
	}
	slices.SortStableFunc(out, func(a, b RanOut) int { return cmp.Or(b.Times-a.Times, cmp.Compare(a.Part, b.Part)) })
	return out
}

// RiderUse is one rider's part in an allocation, in the part's unit.
type RiderUse struct {
	Rider              string   // blank: the plan names no fork or shock, or it is nobody's
	Used, ToCome, Over *big.Rat // over: of the overrun, in proportion to what the rider is expected to use in all
	OverCash           *big.Rat // nil: no list price, or nobody said what is paid beyond
}

// ByRider shares an allocation out over the riders: what each used, by the traces, and is
// expected to use.
func ByRider(a Allocation, used map[string]units.Quantity, toCome map[string]*big.Rat) []RiderUse {
	riders := map[string]bool{}
	for r := range used {
		riders[r] = true
	}
	for r := range toCome {
		riders[r] = true
	}
	var out []RiderUse
	sum := new(big.Rat)
	for _, r := range slices.Sorted(maps.Keys(riders)) {
		u := RiderUse{Rider: r, Used: big.NewRat(int64(used[r]), a.Part.Unit.Base()), ToCome: new(big.Rat)}
		if toCome[r] != nil {
			u.ToCome.Set(toCome[r])
		}
		u.Over = new(big.Rat).Add(u.Used, u.ToCome)
		sum.Add(sum, u.Over)
		out = append(out, u)
	}
	if len(out) > 0 && out[0].Rider == "" { // what names nobody comes last
		out = append(out[1:], out[0])
	}
	for i := range out {
		if sum.Sign() <= 0 {
			out[i].Over.SetInt64(0)
			continue
		}
		share := new(big.Rat).Quo(out[i].Over, sum)
		out[i].Over.Mul(share, a.Over)
		if a.OverCash != nil {
			out[i].OverCash = new(big.Rat).Mul(share, a.OverCash)
		}
	}
	return out
}
