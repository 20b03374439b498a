package act

import (
	"errors"
	"fmt"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// Receipt is what came in without an order of ours.
type Receipt struct {
	Lot       string // the code of the new one
	Part      string
	Quantity  units.Quantity
	To        string // blank: its home where the record is
	Supplier  string
	Cost      *decimal.Decimal // of all of it; nil: not known yet, not valued
	Currency  string
	ExpiresOn *day.Day // nil: by the part's storage life, if it has one
}

// Receive returns the rows of a receipt: a lot of its own. A cost without a currency is in
// the season's.
func (s *State) Receive(r Receipt, currency string) (rows Rows, err error) {
	p, err := s.Part(r.Part)
	faults := []error{err}
	if r.To == "" {
		here := s.here()
		r.To = here.Home(s.Snapshot, s.Tree, r.Part)
		rows.Where = "no place was named: " + r.To + " in " + here.String()
	}
	faults = append(faults, s.placeFor("receive", "to", r.To, false))
	if r.Quantity <= 0 {
		faults = append(faults, fmt.Errorf("found a quantity of %s, expected more than 0", units.Say(r.Quantity, p.Unit)))
	}
	if r.Cost != nil && r.Currency == "" {
		r.Currency = currency
	}
	if err := errors.Join(faults...); err != nil {
		return rows, err
	}
	if r.ExpiresOn == nil {
		r.ExpiresOn = s.expires(p)
	}
	rows.Lots = []planner.Lot{{Code: r.Lot, Part: r.Part, Supplier: r.Supplier, ReceivedOn: &s.On, ExpiresOn: r.ExpiresOn, Quantity: &r.Quantity,
		Cost: r.Cost, Currency: r.Currency}}
	rows.Movements = []planner.Movement{{Part: r.Part, Lot: r.Lot, From: ledger.Supplier, To: r.To, Quantity: r.Quantity}}
	return rows, s.doubt(Received(s.Snapshot, s.Tree, r.Part, r.To, r.Quantity))
}

// expires is when a lot of a part that comes in now is past its storage life; nil: never.
func (s *State) expires(p planner.Part) *day.Day {
	if p.StorageLifeMonths == nil {
		return nil
	}
	last := s.On.AddMonths(*p.StorageLifeMonths)
	return &last
}
