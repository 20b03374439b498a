package act

import (
	"errors"
	"fmt"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/oil"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

// Poured is what one labelled bottle gives to a blend.
type Poured struct {
	Tag      string
	Quantity units.Quantity
}

// Blend returns the rows of oils poured together into one labelled bottle of another lot: what
// each gave goes out of it, the sum comes in as the part that the new label names, at the cost
// of what was poured and good until the first of the bottles is past its date. It is where at
// says, else where the first bottle is. cst40 is what the blend has at 40 C, in cSt, by its
// volumes; 0 where a viscosity is not known.
func (s *State) Blend(tag planner.Tag, from []Poured, at, lots string) (rows Rows, cst40 float64, err error) {
	p, err := s.Part(tag.Part)
	faults := []error{err}
	if err == nil && (p.Kind != "oil" || p.Unit != units.ML) {
		faults = append(faults, fmt.Errorf("found %s, expected an oil in ml that the blend stands for", tag.Part))
	}
	if tag.Code == "" {
		faults = append(faults, errors.New("found no tag, expected the code on the new bottle's label"))
	}
	if _, ok := s.tags[tag.Code]; ok {
		faults = append(faults, fmt.Errorf("found tag %s, expected a new one: it names something already", tag.Code))
	}
	if at != "" {
		faults = append(faults, s.Tree.Find(at))
	}
	const least = 2
	if len(from) < least {
		faults = append(faults, fmt.Errorf("found %d bottles, expected two or more to pour together", len(from)))
	}
	made := planner.Lot{Code: lots + "/1", Part: tag.Part, ReceivedOn: &s.AsOf, Quantity: new(units.Quantity)}
	if s.On != 0 {
		made.ReceivedOn = &s.On
	}
	cost, shares, seen := costOf{known: true}, []oil.Share(nil), map[string]bool{}
	for _, f := range from {
		m := planner.Movement{Tag: f.Tag}
		if err := s.byTag(&m); err != nil {
			faults = append(faults, err)
			continue
		}
		given, _ := s.Part(m.Part) // it is in stock, so it is known
		switch {
		case seen[f.Tag]:
			faults = append(faults, fmt.Errorf("found %s twice, expected one amount of it", f.Tag))
		case given.Kind != "oil" || given.Unit != units.ML:
			faults = append(faults, fmt.Errorf("found %s, %s, expected bottles of oil", f.Tag, given.Name))
		case f.Quantity <= 0:
			faults = append(faults, fmt.Errorf("%s: found %s, expected more than 0", f.Tag, units.Say(f.Quantity, units.ML)))
		case f.Quantity > m.Quantity:
			faults = append(faults, fmt.Errorf("%s: found %s, expected at most the %s that the book has in it: weigh the bottle first", f.Tag, units.Say(f.Quantity, units.ML), units.Say(m.Quantity, units.ML)))
		}
		seen[f.Tag] = true
		if at == "" {
			at = m.From
		}
		cost.add(s.lots[m.Lot], f.Quantity)
		if last := stock.LastGoodOn(given, s.lots[m.Lot], s.tags[f.Tag]); last != nil && (made.ExpiresOn == nil || *last < *made.ExpiresOn) {
			made.ExpiresOn = last
		}
		if made.FromLot == "" {
			made.FromLot = m.Lot
		}
		*made.Quantity += f.Quantity
		shares = append(shares, oil.Share{CSt: s.cst40(m.Part), Volume: float64(f.Quantity)})
		rows.Movements = append(rows.Movements, planner.Movement{Part: m.Part, Lot: m.Lot, Tag: f.Tag, From: m.From, To: ledger.OpenedKit, Quantity: f.Quantity})
	}
	if err := errors.Join(faults...); err != nil {
		return Rows{}, 0, err
	}
	made.Cost, made.Currency = cost.total()
	tag.Lot, tag.OpenedOn = made.Code, made.ReceivedOn
	rows.Lots, rows.Tags = []planner.Lot{made}, []planner.Tag{tag}
	rows.Movements = append(rows.Movements, planner.Movement{Part: tag.Part, Lot: made.Code, Tag: tag.Code, From: ledger.OpenedKit, To: at, Quantity: *made.Quantity})
	if cst40, err = oil.Blend(shares); err != nil { // a viscosity that is not known
		cst40 = 0
	}
	return rows, cst40, s.doubt(Filled(s.Snapshot, tag, *made.Quantity))
}

// cst40 is an oil's viscosity at 40 C, 0 where it is not known.
func (s *State) cst40(part string) float64 {
	for _, l := range s.Liquids {
		if l.Part == part && l.CSt40 != nil {
			return l.CSt40.InexactFloat64()
		}
	}
	return 0
}

// costOf adds up what parts of lots cost, as long as each is valued and all in one currency.
type costOf struct {
	known    bool
	sum      decimal.Decimal
	currency string
}

func (c *costOf) add(lot planner.Lot, q units.Quantity) {
	if lot.Cost == nil || lot.Quantity == nil || *lot.Quantity <= 0 || c.currency != "" && c.currency != lot.Currency {
		c.known = false
		return
	}
	c.currency = lot.Currency
	c.sum = c.sum.Add(lot.Cost.Mul(decimal.NewFromInt(int64(q))).DivRound(decimal.NewFromInt(int64(*lot.Quantity)), moneyDigits))
}

// total is nil where one of them is not valued.
func (c *costOf) total() (*decimal.Decimal, string) {
	if !c.known {
		return nil, ""
	}
	return &c.sum, c.currency
}
