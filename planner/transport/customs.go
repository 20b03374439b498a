package transport

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/units"
)

// ListedGood is a line of the list of goods that come home: the columns of an ATA carnet
// general list. The seventh, for customs, stays empty.
type ListedGood struct {
	Number      int
	Description string // what it is, marks, serial number or NSN
	Pieces      int64
	Grams       *decimal.Decimal // nil where it is not known
	Value       *decimal.Decimal // two digits, in the list's currency; nil where it is not known
	Origin      string           // two letters
	Part        string
	Where       []string // cases or drawers
}

// GeneralList is what leaves and comes home again.
type GeneralList struct {
	Lines    []ListedGood
	Currency string
	Pieces   int64
	Grams    decimal.Decimal
	Value    decimal.Decimal
	Faults   []string // blanks: the list may not have any
}

// UsedGood is a line of the invoice of what is used up.
type UsedGood struct {
	Heading     string // HS code
	Description string
	Origin      string
	Quantity    decimal.Decimal // in Unit
	Unit        string          // pc, l or kg
	UnitValue   *decimal.Decimal
	Amount      *decimal.Decimal // Quantity x UnitValue, two digits
	Grams       *decimal.Decimal
	Reason      string
	Part        string
}

// UsedUpList is what goes along to be used up; it is never on the general list, which
// closes and comes back whole.
type UsedUpList struct {
	Lines    []UsedGood
	Currency string
	Grams    decimal.Decimal
	Value    decimal.Decimal
	Faults   []string
}

// unitPlaces is how fine a unit value is given, so that small parts do not round to 0.
const unitPlaces = 4

// ComesHome reports whether a part is returnable: as the catalogue says, else as it is
// reusable.
func ComesHome(p planner.Part) bool {
	if p.ComesHome != nil {
		return *p.ComesHome
	}
	return p.Reusable != nil && *p.Reusable
}

// Home is the currency of a list and what one of another currency is in it.
type Home struct {
	Currency string
	Rates    map[string]decimal.Decimal
}

// in returns an item's value in the home currency, or says why not.
func (h Home) in(i Item) (decimal.Decimal, string) {
	if i.Value == nil {
		return decimal.Zero, "value blank: give the lot a cost or a list value"
	}
	if i.Currency == h.Currency || i.Currency == "" {
		return *i.Value, ""
	}
	rate, ok := h.Rates[i.Currency]
	if !ok {
		return decimal.Zero, fmt.Sprintf("value in %s, and no exchange rate to %s is known", i.Currency, h.Currency)
	}
	return i.Value.Mul(rate), ""
}

// faults gathers words once each, under the part they are about.
type faults []string

func (f *faults) add(part, what string) {
	if text := part + ": " + what; !slices.Contains(*f, text) {
		*f = append(*f, text)
	}
}

// GeneralListOf lists what comes home. Only identical items share a line: one part of one
// origin, and each numbered thing is its own. Every blank is a fault. Source: the general
// list of the ATA carnet (Istanbul Convention).
func GeneralListOf(items []Item, home Home) GeneralList {
	list := GeneralList{Currency: home.Currency}
	var wrong faults
	type key struct{ part, serial string }
	at := map[key]int{}
	var marks [][]string
	for _, i := range items {
		if !ComesHome(i.Part) {
			continue
		}
		k, ok := at[key{i.Part.Code, i.Serial}]
		if !ok {
			k = len(list.Lines)
			at[key{i.Part.Code, i.Serial}] = k
			zeroG, zeroV := decimal.Zero, decimal.Zero
			list.Lines = append(list.Lines, ListedGood{Part: i.Part.Code, Origin: i.Part.Origin, Grams: &zeroG, Value: &zeroV})
			marks = append(marks, nil)
			if i.Part.Name == "" {
				wrong.add(i.Part.Code, "description blank")
			}
			checkOrigin(&wrong, i.Part)
			if i.Part.SerialNumbers != nil && *i.Part.SerialNumbers && i.Serial == "" {
				wrong.add(i.Part.Code, "a numbered part without its serial number")
			}
		}
		l := &list.Lines[k]
		l.Description = describe(i)
		if i.Part.Unit == units.PC {
			l.Pieces += int64(i.Quantity)
		} else {
			l.Pieces += i.Containers
		}
		if i.Tag != "" && !slices.Contains(marks[k], i.Tag) {
			marks[k] = append(marks[k], i.Tag)
		}
		l.Where = addOnce(l.Where, i.Place)
		l.Grams = sum(l.Grams, i.Grams)
		if l.Grams == nil {
			wrong.add(i.Part.Code, "weight not known: weigh one")
		}
		value, why := home.in(i)
		if why != "" {
			wrong.add(i.Part.Code, why)
			l.Value = nil
		} else {
			l.Value = sum(l.Value, &value)
		}
	}
	for k := range list.Lines {
		l := &list.Lines[k]
		l.Number = k + 1
		if len(marks[k]) > 0 {
			l.Description += "; marked " + strings.Join(marks[k], ", ")
		}
		list.Pieces += l.Pieces
		if l.Grams != nil {
			list.Grams = list.Grams.Add(*l.Grams)
		}
		if l.Value == nil {
			continue
		}
		v := l.Value.Round(2)
		l.Value = &v
		if !v.IsPositive() {
			wrong.add(l.Part, "value 0: customs wants what it is worth, also of a thing that came free")
		}
		list.Value = list.Value.Add(v)
	}
	list.Faults = wrong
	return list
}

// describe is the trade description: what it is, the maker's number, the serial number or
// that there is none.
func describe(i Item) string {
	serial := "NSN"
	if i.Serial != "" {
		serial = "serial no. " + i.Serial
	}
	return fmt.Sprintf("%s, no. %s, %s", i.Part.Name, i.Part.Code, serial)
}

// UsedUpListOf lists what is used up. Quantities are in pieces, litres and kilograms, so
// that a unit value is of something one can hold. reason stands on each line.
func UsedUpListOf(items []Item, home Home, reason string) UsedUpList {
	list := UsedUpList{Currency: home.Currency}
	var wrong faults
	at := map[string]int{}
	for _, i := range items {
		if ComesHome(i.Part) {
			continue
		}
		k, ok := at[i.Part.Code]
		if !ok {
			k = len(list.Lines)
			at[i.Part.Code] = k
			zeroG, zeroV := decimal.Zero, decimal.Zero
			list.Lines = append(list.Lines, UsedGood{Part: i.Part.Code, Heading: i.Part.CustomsHeading, Origin: i.Part.Origin, Grams: &zeroG, Amount: &zeroV,
				Description: fmt.Sprintf("%s, no. %s", i.Part.Name, i.Part.Code), Reason: reason, Unit: unitOf(i.Part)})
			checkHeading(&wrong, i.Part)
			checkOrigin(&wrong, i.Part)
		}
		l := &list.Lines[k]
		l.Quantity = l.Quantity.Add(measured(i))
		if l.Grams = sum(l.Grams, i.Grams); l.Grams == nil {
			wrong.add(i.Part.Code, "weight not known: weigh one")
		}
		value, why := home.in(i)
		if why != "" {
			wrong.add(i.Part.Code, why)
			l.Amount = nil
		} else {
			l.Amount = sum(l.Amount, &value)
		}
	}
	for k := range list.Lines {
		l := &list.Lines[k]
		if l.Grams != nil {
			list.Grams = list.Grams.Add(*l.Grams)
		}
		if l.Amount == nil || !l.Quantity.IsPositive() {
			continue
		}
		// The invoice must add up as it stands: the amount is of the unit value shown.
		unit := l.Amount.DivRound(l.Quantity, unitPlaces)
		amount := unit.Mul(l.Quantity).Round(2)
		l.UnitValue, l.Amount = &unit, &amount
		if !unit.IsPositive() {
			wrong.add(l.Part, "value 0: customs wants what it is worth, also of a thing that came free")
		}
		list.Value = list.Value.Add(amount)
	}
	slices.SortStableFunc(list.Lines, func(a, b UsedGood) int { return cmp.Or(cmp.Compare(a.Heading, b.Heading), cmp.Compare(a.Part, b.Part)) })
	list.Faults = wrong
	return list
}

// unitOf is the unit a quantity is declared in.
func unitOf(p planner.Part) string {
	switch p.Unit {
	case units.ML:
		return "l"
	case units.G:
		return "kg"
	}
	return "pc"
}

func measured(i Item) decimal.Decimal {
	q := decimal.NewFromInt(int64(i.Quantity))
	if i.Part.Unit == units.PC {
		return q
	}
	return q.Div(million)
}

// checkOrigin wants a country of two letters.
func checkOrigin(wrong *faults, p planner.Part) {
	o := p.Origin
	switch {
	case o == "":
		wrong.add(p.Code, "country of origin blank")
	case len(o) != 2 || strings.Trim(o, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "":
		wrong.add(p.Code, fmt.Sprintf("country of origin: found %q, expected two letters such as IT", o))
	}
}

// checkHeading wants six digits, 4016.93 or more, and not the heading of the whole cycle
// for seals and springs (Section XVII note 2 of the Harmonized System).
func checkHeading(wrong *faults, p planner.Part) {
	digits := strings.NewReplacer(".", "", " ", "").Replace(p.CustomsHeading)
	switch {
	case digits == "":
		wrong.add(p.Code, "customs heading (HS code) blank")
	case len(digits) < 6 || strings.Trim(digits, "0123456789") != "":
		wrong.add(p.Code, fmt.Sprintf("customs heading: found %q, expected six digits or more such as 4016.93", p.CustomsHeading))
	case strings.HasPrefix(digits, "8714") && (p.Kind == "seal" || p.Kind == "spring"):
		wrong.add(p.Code, fmt.Sprintf("customs heading: found %s, the one of cycle parts; a %s has its own (rubber seals 4016.93, steel springs 7320.20)", p.CustomsHeading, p.Kind))
	}
}

// sum adds where both are known.
func sum(a, b *decimal.Decimal) *decimal.Decimal {
	if a == nil || b == nil {
		return nil
	}
	c := a.Add(*b)
	return &c
}

func addOnce(list []string, s string) []string {
	if s == "" || slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}
