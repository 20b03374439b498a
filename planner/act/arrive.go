package act

import (
	"errors"
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/purchase"
	"roundkit/planner/units"
)

// Arrival is what came of an order.
type Arrival struct {
	Order    planner.Order
	Came     []ledger.Amount // nil: all that is open on it
	Lots     int             // that came of it before
	Currency string          // the season's, for an order and a supplier without one
}

// Arrive returns the rows of what an order brings: a lot a line, at its share of carriage,
// duty and entry fee; and the parts whose lots no price is known of.
func (s *State) Arrive(a Arrival) (rows Rows, unvalued []string, err error) {
	o := a.Order
	faults := []error{purchase.May(o, purchase.Arrive)}
	if faults[0] == nil && o.PlacedOn != nil && s.On < *o.PlacedOn {
		faults = append(faults, fmt.Errorf("found %s, expected a day on or after %s, when %s was placed", s.On, o.PlacedOn, o.Code))
	}
	lines := purchase.Lines(o, s.OrderLines, s.Snapshot.Lots, s.AsOf)
	came, err := s.came(o, lines, a.Came)
	if faults[0] == nil {
		faults = append(faults, err)
	}
	if err := errors.Join(faults...); err != nil {
		return rows, nil, err
	}
	if o.Currency == "" {
		o.Currency = s.currencyOf(o.Supplier, a.Currency)
	}
	landed := purchase.Landed(o, purchase.Ordered(lines))
	for i, x := range lines {
		q := min(came[x.Part], x.Open)
		if q == 0 {
			continue
		}
		came[x.Part] -= q
		p, err := s.Part(x.Part)
		if err != nil {
			return rows, nil, err
		}
		lot := planner.Lot{Code: fmt.Sprintf("%s/%d", o.Code, a.Lots+len(rows.Lots)+1), Part: x.Part, Supplier: o.Supplier, Order: o.Code, ReceivedOn: &s.On,
			ExpiresOn: s.expires(p), Quantity: &q, Currency: o.Currency}
		if landed[i] != nil {
			cost := purchase.PartOf(*landed[i], x.Here, q, x.Quantity, o.Currency)
			lot.Cost = &cost
		} else {
			unvalued = append(unvalued, x.Part)
		}
		s.allocated(&lot, x.OrderLine)
		to, err := s.landsIn(o, p)
		faults = append(faults, err)
		rows.Lots = append(rows.Lots, lot)
		rows.Movements = append(rows.Movements, planner.Movement{Part: x.Part, Lot: lot.Code, From: ledger.Supplier, To: to, Quantity: q})
	}
	return rows, unvalued, errors.Join(faults...)
}

// came is how much came of each part: what was said, else all that is open.
func (s *State) came(o planner.Order, lines []purchase.Line, said []ledger.Amount) (map[string]units.Quantity, error) {
	open, came := map[string]units.Quantity{}, map[string]units.Quantity{}
	var parts []string
	for _, x := range lines {
		open[x.Part] += x.Open
		if !slices.Contains(parts, x.Part) {
			parts = append(parts, x.Part)
		}
	}
	if said == nil {
		if len(lines) == 0 {
			return nil, fmt.Errorf("order %s has no lines, expected some: book what came with receive", o.Code)
		}
		return open, nil
	}
	var faults []error
	for _, a := range said {
		p, err := s.Part(a.Part)
		switch {
		case err != nil:
			faults = append(faults, err)
			continue
		case !slices.Contains(parts, a.Part):
			faults = append(faults, fmt.Errorf("found %s, expected one of %v: those are on %s; book what else came with receive", a.Part, parts, o.Code))
		case a.Quantity <= 0:
			faults = append(faults, fmt.Errorf("%s: found %s, expected more than 0", a.Part, units.Say(a.Quantity, p.Unit)))
		case came[a.Part]+a.Quantity > open[a.Part]:
			faults = append(faults, fmt.Errorf("%s: found %s, expected at most the %s open on %s; book what came beyond it with receive", a.Part,
				units.Say(came[a.Part]+a.Quantity, p.Unit), units.Say(open[a.Part], p.Unit), o.Code))
		}
		came[a.Part] += a.Quantity
	}
	return came, errors.Join(faults...)
}

// landsIn is where a part of an order goes: its home where the parcel comes to, else there.
func (s *State) landsIn(o planner.Order, p planner.Part) (string, error) {
	to := o.ShipTo
	for _, home := range []string{p.HomeInTruck, p.HomeInWorkshop} { // the workshop's, where both are there
		if home != "" && (o.ShipTo == "" || s.Tree.Within(home, o.ShipTo)) {
			to = home
		}
	}
	if to == "" {
		return "", fmt.Errorf("%s has no home and %s no place it is shipped to, expected one of them", p.Code, o.Code)
	}
	return to, s.placeFor("arrive", "to", to, false)
}

func (s *State) currencyOf(supplier, usual string) string {
	for _, x := range s.Suppliers {
		if x.Code == supplier && x.Currency != "" {
			return x.Currency
		}
	}
	return usual
}

// allocated marks a lot that the supplier gave free and keeps its list value.
func (s *State) allocated(lot *planner.Lot, x planner.OrderLine) {
	if x.PricePerPack == nil || !x.PricePerPack.IsZero() {
		return
	}
	for _, a := range s.Allocations {
		if a.Supplier != lot.Supplier || a.Part != lot.Part {
			continue
		}
		yes := true
		lot.Allocation = &yes
		for _, f := range s.Offers {
			if f.Supplier == lot.Supplier && f.Part == lot.Part && f.PricePerPack != nil && (f.Currency == lot.Currency || f.Currency == "") {
				pack := units.Quantity(1)
				if f.Pack != nil {
					pack = *f.Pack
				}
				v := f.PricePerPack.Mul(decimal.NewFromInt(int64(*lot.Quantity))).DivRound(decimal.NewFromInt(int64(pack)), moneyDigits)
				lot.ListValue = &v
			}
		}
	}
}
