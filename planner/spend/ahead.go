package spend

import (
	"fmt"
	"math/big"

	"roundkit/planner"
	"roundkit/planner/demand"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// listPrice is what one of a part's unit costs at the first-choice offer.
type listPrice struct {
	price    *big.Rat // home currency; nil: not valued, and why
	supplier string
	why      string
}

// listPriceOf is without breaks, at the rate of the day.
func (w *work) listPriceOf(part string) listPrice {
	if p, ok := w.offers[part]; ok {
		return p
	}
	p := w.findPrice(part)
	w.offers[part] = p
	return p
}

func (w *work) findPrice(part string) listPrice {
	var best *planner.Offer
	rank := func(o *planner.Offer) int {
		if o.Preference == nil {
			return 1
		}
		return *o.Preference
	}
	for i := range w.s.Offers {
		o := &w.s.Offers[i]
		if o.Part == part && o.PricePerPack != nil && (best == nil || rank(o) < rank(best)) {
			best = o
		}
	}
	if best == nil {
		return listPrice{why: "to come: no offer for " + part}
	}
	currency := best.Currency
	if currency == "" {
		currency = w.home()
	}
	rate, ok := rateOn(w.s, currency, w.priceOn)
	if !ok {
		return listPrice{supplier: best.Supplier, why: fmt.Sprintf("to come: no rate for %s on %s, for %s", currency, w.priceOn, part)}
	}
	unit := w.parts[part].Unit.Base()
	pack := units.Quantity(unit)
	if best.Pack != nil {
		pack = *best.Pack
	}
	price := rate.Mul(rate, best.PricePerPack.Rat())
	return listPrice{price: price.Mul(price, big.NewRat(unit, int64(pack))), supplier: best.Supplier}
}

// plan is what is left to do, made ready to be drawn.
type plan struct {
	wet    []float64
	jobs   []planned
	free   map[string]*freeLeft
	left   map[string]*big.Rat            // the mean of each part, in its unit
	riders map[string]map[string]*big.Rat // the same by part and rider
	total  Band
}

// planned is jobs of one service left at one round.
type planned struct {
	forecast.Ahead
	uses []priced
}

// priced is what one of them uses of one part, its price and where the money stands.
type priced struct {
	forecast.Using
	price     float64 // of one of the part's unit; 0 where it is not valued
	beyond    float64 // share of the price beyond the allocation
	free      *freeLeft
	key, line string
}

// freeLeft is what an allocation still gives free, in the part's unit.
type freeLeft struct{ from, now float64 }

// ahead adds what is left to do in the season at list price.
func (w *work) ahead() (*plan, error) {
	p := &plan{free: map[string]*freeLeft{}, left: map[string]*big.Rat{}, riders: map[string]map[string]*big.Rat{}}
	for _, part := range w.s.Parts {
		p.left[part.Code] = new(big.Rat)
	}
	if len(w.o.Calendar.Rounds) == 0 {
		return p, nil
	}
	h, err := w.o.Horizon(forecast.Options{Season: true})
	if err != nil {
		return nil, err
	}
	beyond := w.beyond(p)
	var ahead []forecast.Ahead
	ahead, p.wet = w.o.Ahead(h)
	for _, a := range ahead {
		jobs := planned{Ahead: a}
		for _, u := range a.Uses {
			part := w.parts[u.Part]
			x := priced{Using: u, line: lineOf(part.Kind), free: p.free[u.Part], beyond: beyond[u.Part]}
			price := w.listPriceOf(u.Part)
			x.key = w.keyAhead(a, h.Rounds[a.Round], part, price.supplier)
			mean := new(big.Rat).SetFloat64(meanOf(a, u.Line, p.wet[a.Round]))
			if mean == nil {
				return nil, fmt.Errorf("part %s, service %s: found an expected use that is no number", u.Part, a.Service)
			}
			p.left[u.Part].Add(p.left[u.Part], mean)
			p.forRider(u.Part, w.riderOf(a.Assembly), mean)
			switch {
			case mean.Sign() == 0:
				continue
			case price.price == nil:
				w.notValued[price.why]++
			default:
				x.price, _ = price.price.Float64()
				cost := new(big.Rat).Mul(mean, price.price)
				w.add(x.key, x.line, cost, func(r *Row) *big.Rat { return r.ExpectedList })
				if x.free != nil {
					w.add(x.key, x.line, cost, func(r *Row) *big.Rat { return r.ExpectedAllocationList })
				}
			}
			jobs.uses = append(jobs.uses, x)
		}
		p.jobs = append(p.jobs, jobs)
	}
	return p, nil
}

// keyAhead is the key of what is to come. Who will ride what is known only where the plan
// names the fork or shock.
func (w *work) keyAhead(a forecast.Ahead, r planner.Round, part planner.Part, supplier string) string {
	switch w.by {
	case byRound:
		return r.Code
	case byService:
		return a.Service
	case byKind:
		return part.Kind
	case ByLine:
		return lineOf(part.Kind)
	case bySupplier:
		return supplier
	case byMonth:
		return monthKey(max(r.FirstOn, w.s.AsOf+1))
	case byAssembly:
		return a.Assembly
	}
	return w.riderOf(a.Assembly)
}

// riderOf is whose a fork or shock is; blank: nobody's.
func (w *work) riderOf(assembly string) string {
	for _, x := range w.s.Assemblies {
		if x.Code == assembly {
			return x.Rider
		}
	}
	return ""
}

func (p *plan) forRider(part, rider string, mean *big.Rat) {
	if p.riders[part] == nil {
		p.riders[part] = map[string]*big.Rat{}
	}
	if p.riders[part][rider] == nil {
		p.riders[part][rider] = new(big.Rat)
	}
	p.riders[part][rider].Add(p.riders[part][rider], mean)
}

// meanOf is the expected use of all the jobs, in the part's unit, the round being wet with
// the chance given.
func meanOf(a forecast.Ahead, l demand.Line, wet float64) float64 {
	each := func(isWet bool) float64 {
		switch l.Kind {
		case demand.Ranged:
			middle := (l.Min + l.Max) / 2
			if l.Typical != nil {
				middle = (l.Min + *l.Typical + l.Max) / 3
			}
			return middle * (1 + l.Allowance)
		case demand.Chanced:
			c := l.Dry
			if isWet && l.Wet != nil {
				c = *l.Wet
			}
			return l.Quantity * c.Mean()
		}
		return l.Quantity
	}
	dry, rain := float64(a.Jobs), float64(a.Jobs)
	if a.Unplanned {
		dry = a.Rate.Mean() * a.Exposure
		rain = dry * a.WetFactor
	}
	return (1-wet)*dry*each(false) + wet*rain*each(true)
}
