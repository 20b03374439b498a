package spend

import (
	"cmp"
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/cost"
	"roundkit/planner/units"
)

// Standard is the price that what was used is held against.
type Standard string

// The standard prices: both are the first-choice offer without breaks. List has the rate
// of the day asked about, Budgeted that of the season's first day, as who set the budget
// knew it.
const (
	ListPrice Standard = "list"
	Budgeted  Standard = "budget"
)

// Standards lists them.
func Standards() []Standard { return []Standard{ListPrice, Budgeted} }

// Performed is what was done and what it used, by the books.
type Performed struct {
	Moves []Moved            // what left each lot for the outside
	Costs []Cost             // of the lots
	Jobs  []planner.DoneJobs // by round, service and assembly, the undone ones left out
}

// Variance is why what a part cost in use differs from its standard: the textbook's two
// causes. Above 0 is unfavourable. Quantities are in the part's unit.
type Variance struct {
	Part            planner.Part
	Used, Planned   *big.Rat // planned: what the service lines foresee for the jobs that were done, in the weather that was
	Cost            *big.Rat // of what was used, at the lots' own cost
	StandardPrice   *big.Rat // of one of the part's unit
	Price           *big.Rat // (actual - standard price) x actual quantity
	Free            *big.Rat // of Price: what came free under an allocation
	Quantity, Total *big.Rat // (actual - planned quantity) x standard price; the two together
}

// Variances sets what the jobs used of each part against what their service lines foresee,
// at a standard price. What has no price or no cost is not valued and in no figure.
//
// Source: standard costing (Warren, Accounting: direct materials price and quantity
// variance, the standard quantity being that for the work actually done).
func Variances(s *planner.Snapshot, p Performed, standard Standard) ([]Variance, []NotValued, error) {
	if !slices.Contains(Standards(), standard) {
		return nil, nil, fmt.Errorf("variance: found %q, expected %s or %s", standard, ListPrice, Budgeted)
	}
	w := newWork(s, byKind, Facts{Costs: p.Costs})
	if standard == Budgeted && len(s.Season) > 0 {
		w.priceOn = s.Season[0].FirstOn
	}
	planned := w.planned(p.Jobs)
	free := map[string]bool{}
	for _, l := range s.Lots {
		free[l.Code] = l.Allocation != nil && *l.Allocation
	}
	type sum struct {
		quantity, free units.Quantity
		cost, freeCost *big.Rat
		why            string
	}
	used := map[string]*sum{}
	of := func(part string) *sum {
		if used[part] == nil {
			used[part] = &sum{cost: new(big.Rat), freeCost: new(big.Rat)}
		}
		return used[part]
	}
	for part := range planned {
		of(part)
	}
	for _, m := range p.Moves {
		if m.Outside != Used || m.Quantity == 0 {
			continue
		}
		u, price := of(w.lots[m.Lot].Part), w.prices.Of(m.Lot).Cost
		if price == nil {
			u.why = cmp.Or(w.prices.why[m.Lot], "lot "+m.Lot+" is not one of the season's")
			continue
		}
		v := value(price, int64(m.Quantity))
		u.quantity += m.Quantity
		u.cost.Add(u.cost, v)
		if free[m.Lot] {
			u.free += m.Quantity
			u.freeCost.Add(u.freeCost, v)
		}
	}
	var out []Variance
	var not []NotValued
	for _, part := range slices.Sorted(maps.Keys(used)) {
		u, list := used[part], w.listPriceOf(part)
		if why := cmp.Or(u.why, strings.TrimPrefix(list.why, "to come: ")); why != "" {
			not = append(not, NotValued{"variance of " + part + ": " + why, 1})
			continue
		}
		base := big.NewRat(1, w.parts[part].Unit.Base())
		in := func(q units.Quantity) *big.Rat { return value(base, int64(q)) }
		v := Variance{Part: w.parts[part], Used: in(u.quantity), Planned: new(big.Rat), Cost: u.cost, StandardPrice: list.price}
		if planned[part] != nil {
			v.Planned.Mul(planned[part], base)
		}
		v.Price, v.Quantity = cost.Variances(v.Used, v.Cost, v.Planned, v.StandardPrice)
		v.Free, _ = cost.Variances(in(u.free), u.freeCost, new(big.Rat), v.StandardPrice)
		v.Total = new(big.Rat).Add(v.Price, v.Quantity)
		out = append(out, v)
	}
	return out, not, nil
}

// TotalVariance adds variances up: all parts.
func TotalVariance(all []Variance) Variance {
	t := Variance{Cost: new(big.Rat), Price: new(big.Rat), Free: new(big.Rat), Quantity: new(big.Rat), Total: new(big.Rat)}
	for _, v := range all {
		t.Cost.Add(t.Cost, v.Cost)
		t.Price.Add(t.Price, v.Price)
		t.Free.Add(t.Free, v.Free)
		t.Quantity.Add(t.Quantity, v.Quantity)
		t.Total.Add(t.Total, v.Total)
	}
	return t
}

// planned is what the service lines foresee for jobs that were done, in base units. Damper
// oil is the assembly's own; springs and what must only be on site are not used up.
func (w *work) planned(jobs []planner.DoneJobs) map[string]*big.Rat {
	oil, wet := map[string]string{}, map[string]*big.Rat{}
	for _, a := range w.s.Assemblies {
		oil[a.Code] = a.DamperOil
	}
	for _, r := range w.s.Rounds {
		wet[r.Code] = wetShare(r)
	}
	lines := map[string][]planner.ServiceLine{}
	for _, l := range w.s.ServiceLines {
		lines[l.Service] = append(lines[l.Service], l)
	}
	out := map[string]*big.Rat{}
	for _, j := range jobs {
		share := wet[j.Round]
		if share == nil { // done at no round: dry, as a line without weather has it
			share = new(big.Rat)
		}
		for _, l := range lines[j.Service] {
			part := l.Part
			if l.OwnPart == "damper oil" {
				part = oil[j.Assembly]
			}
			if part == "" || l.OnSite != nil && *l.OnSite || l.OwnPart != "" && l.OwnPart != "damper oil" {
				continue
			}
			if out[part] == nil {
				out[part] = new(big.Rat)
			}
			out[part].Add(out[part], new(big.Rat).Mul(foreseen(l, share), big.NewRat(int64(j.Jobs), 1)))
		}
	}
	return out
}

// wetShare is 0 or 1 where the weather of a round was seen, else its chance.
func wetShare(r planner.Round) *big.Rat {
	switch {
	case r.Weather == "wet":
		return big.NewRat(1, 1)
	case r.Weather == "dry" || r.WetChancePercent == nil:
		return new(big.Rat)
	}
	return percent(r.WetChancePercent)
}

// foreseen is what one job uses of a line on average, in base units, the round being wet
// with the chance given. An unknown chance counts with its mean.
func foreseen(l planner.ServiceLine, wet *big.Rat) *big.Rat {
	if l.Min != nil && l.Max != nil {
		sum, n := value(big.NewRat(1, 1), int64(*l.Min+*l.Max)), int64(2)
		if l.Typical != nil {
			sum, n = sum.Add(sum, value(big.NewRat(1, 1), int64(*l.Typical))), 3
		}
		sum.Quo(sum, big.NewRat(n, 1))
		if l.AllowancePercent != nil {
			sum.Add(sum, new(big.Rat).Mul(sum, percent(l.AllowancePercent)))
		}
		return sum
	}
	if l.Quantity == nil {
		return new(big.Rat)
	}
	q := value(big.NewRat(1, 1), int64(*l.Quantity))
	dry := chance(l.DryPercent, l.BetaDryA, l.BetaDryB)
	if dry == nil {
		return q
	}
	if rain := chance(l.WetPercent, l.BetaWetA, l.BetaWetB); rain != nil {
		dry.Add(dry, rain.Mul(rain.Sub(rain, dry), wet)) // (1 - wet) dry + wet rain
	}
	return q.Mul(q, dry)
}

func percent(d planner.Decimal) *big.Rat { return new(big.Rat).Mul(d.Rat(), big.NewRat(1, 100)) }

// chance is a number, or the mean of a beta; nil: neither.
func chance(p, a, b planner.Decimal) *big.Rat {
	switch {
	case p != nil:
		return percent(p)
	case a != nil && b != nil:
		return new(big.Rat).Quo(a.Rat(), a.Add(*b).Rat())
	}
	return nil
}

// PrintedVariance is a variance as it is printed.
type PrintedVariance struct{ Price, Quantity, Total decimal.Decimal }

// PrintVariances rounds variances so that each row's two causes are its total as printed,
// and each column adds up to that of all parts.
func PrintVariances(all []Variance, places int) (printed []PrintedVariance, total PrintedVariance) {
	rows := make([][]*big.Rat, len(all))
	for i, v := range all {
		rows[i] = []*big.Rat{v.Price, v.Quantity, new(big.Rat).Neg(v.Total)}
	}
	for i, r := range PrintTable(rows, places) {
		x := PrintedVariance{r[0], r[1], r[2].Neg()}
		if i == len(all) {
			return printed, x
		}
		printed = append(printed, x)
	}
	return nil, total
}

// ActualPrice is what one of the part's unit cost; nil: nothing was used.
func (v Variance) ActualPrice() *big.Rat {
	if v.Used.Sign() == 0 {
		return nil
	}
	return new(big.Rat).Quo(v.Cost, v.Used)
}
