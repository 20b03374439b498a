// Package versus answers: what is more, less, new or gone between two pack lists, in
// pieces, kilos and money?
//
// Method: both lists are summed by part over lots, tags and cases, and held against one
// another in the order in which the parts come. Money is what the goods are worth, summed
// by currency: an exchange rate of another day would show as a change that nobody packed.
// Source: common practice. Limits: a part without a known value is left out of the money
// and counted, never taken as worth nothing.
package versus

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Line is one line of a pack list.
type Line struct {
	Part, Name string
	Unit       units.Unit
	Quantity   units.Quantity // base units
	Grams      decimal.Decimal
	Case       string
	Value      *decimal.Decimal // nil where it is not known
	Currency   string
}

// List is a pack list: a trip's now, or one that was saved.
type List struct {
	Trip      string
	AsOf      day.Day
	Lines     []Line
	Readiness float64 // chance that every job of the trip can be done
}

// Change is how a part differs.
type Change string

// The changes, in the order in which they are shown.
const (
	New   Change = "new"
	Gone  Change = "gone"
	More  Change = "more"
	Less  Change = "less"
	Moved Change = "moved" // as many, in other cases
)

var order = []Change{New, Gone, More, Less, Moved}

// Part is one part that differs. By, Grams are now less was.
type Part struct {
	Code, Name       string
	Unit             units.Unit
	Change           Change
	Was, Now, By     units.Quantity
	Grams            decimal.Decimal
	WasCase, NowCase string
}

// Diff is what differs between two lists.
type Diff struct {
	Was, Now  List
	Parts     []Part // by kind of change, then as the lists come
	Same      int    // parts that do not differ
	Grams     decimal.Decimal
	Money     []Money // by currency
	NotValued int     // lines without a known value, in either
}

// Money is by how much the goods' worth differs in one currency.
type Money struct {
	Currency string
	By       decimal.Decimal
}

// Count returns how many parts changed in a way.
func (d Diff) Count(c Change) int {
	n := 0
	for _, p := range d.Parts {
		if p.Change == c {
			n++
		}
	}
	return n
}

// sums is one list by part.
type sums struct {
	quantity units.Quantity
	grams    decimal.Decimal
	cases    map[string]units.Quantity
}

// Between holds two lists against one another. Cases are compared only within one trip: a
// drawer is no case. It returns an error for a part whose unit differs between the lists.
func Between(was, now List) (Diff, error) {
	d := Diff{Was: was, Now: now}
	by := [2]map[string]*sums{{}, {}}
	first := map[string]Line{}
	var parts []string
	money := map[string]decimal.Decimal{}
	for side, list := range []List{was, now} {
		for _, l := range list.Lines {
			f, seen := first[l.Part]
			if !seen {
				first[l.Part] = l
				parts = append(parts, l.Part)
			} else if f.Unit != l.Unit {
				return Diff{}, fmt.Errorf("part %s: found unit %s in one list and %s in the other, expected the same", l.Part, f.Unit, l.Unit)
			}
			s := by[side][l.Part]
			if s == nil {
				s = &sums{cases: map[string]units.Quantity{}}
				by[side][l.Part] = s
			}
			s.quantity, s.grams = s.quantity+l.Quantity, s.grams.Add(l.Grams)
			s.cases[l.Case] += l.Quantity
			if l.Value == nil {
				d.NotValued++
				continue
			}
			v := *l.Value
			if side == 0 {
				v = v.Neg()
			}
			money[l.Currency] = money[l.Currency].Add(v)
		}
	}
	for _, code := range parts {
		a, b := by[0][code], by[1][code]
		p := Part{Code: code, Name: first[code].Name, Unit: first[code].Unit}
		if a != nil {
			p.Was, p.Grams, p.WasCase = a.quantity, p.Grams.Sub(a.grams), inCases(a.cases)
		}
		if b != nil {
			p.Now, p.Grams, p.NowCase = b.quantity, p.Grams.Add(b.grams), inCases(b.cases)
		}
		p.By = p.Now - p.Was
		d.Grams = d.Grams.Add(p.Grams)
		switch {
		case a == nil:
			p.Change = New
		case b == nil:
			p.Change = Gone
		case p.By > 0:
			p.Change = More
		case p.By < 0:
			p.Change = Less
		case was.Trip == now.Trip && p.WasCase != p.NowCase:
			p.Change = Moved
		default:
			d.Same++
			continue
		}
		d.Parts = append(d.Parts, p)
	}
	slices.SortStableFunc(d.Parts, func(x, y Part) int { return slices.Index(order, x.Change) - slices.Index(order, y.Change) })
	for c, v := range money {
		d.Money = append(d.Money, Money{c, v})
	}
	slices.SortFunc(d.Money, func(x, y Money) int { return strings.Compare(x.Currency, y.Currency) })
	return d, nil
}

func inCases(m map[string]units.Quantity) string {
	var codes []string
	for c := range m {
		codes = append(codes, c)
	}
	slices.Sort(codes)
	return strings.Join(codes, ", ")
}
