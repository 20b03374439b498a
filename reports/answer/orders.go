package answer

import (
	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/purchase"
	"roundkit/planner/units"
)

// Order is one of `order list --json`, and what a step with an order answers. Money is in
// Currency.
type Order struct {
	Order     string      `json:"order"`
	Supplier  string      `json:"supplier"`
	State     string      `json:"state"`
	PlacedOn  *day.Day    `json:"placed"`
	DueOn     *day.Day    `json:"due"`
	ArrivedOn *day.Day    `json:"arrived"`
	Late      bool        `json:"late"` // on its way, and its due day has passed
	ShipTo    string      `json:"ship_to"`
	Currency  string      `json:"currency"`
	Lines     []OrderLine `json:"lines"`
	Goods     *string     `json:"goods"` // null: a line has no price
	Carriage  string      `json:"carriage"`
	Duty      string      `json:"duty"`
	EntryFee  string      `json:"entry_fee"`
	Total     *string     `json:"total"`
	Notes     string      `json:"notes"`
}

// OrderLine is what was ordered of a part, and what came of it.
type OrderLine struct {
	Part         string  `json:"part"`
	Unit         string  `json:"unit"`
	Packs        *int    `json:"packs"`
	Quantity     float64 `json:"quantity"`
	Here         float64 `json:"here"`
	Open         float64 `json:"open"`
	PricePerPack *string `json:"price_per_pack"`
	Amount       *string `json:"amount"`
	Notes        string  `json:"notes"`
}

// OrderChanged is what a step with an order did.
type OrderChanged struct {
	Order
	Was    string   `json:"was"` // its state before
	DryRun bool     `json:"dry_run"`
	Said   []string `json:"said"`
}

// OfOrder renders an order with what came of it by a day.
func OfOrder(o planner.Order, lines []purchase.Line, parts map[string]planner.Part, asOf day.Day) Order {
	out := Order{Order: o.Code, Supplier: o.Supplier, State: purchase.StateOf(o), PlacedOn: o.PlacedOn, DueOn: o.DueOn, ArrivedOn: o.ArrivedOn,
		ShipTo: o.ShipTo, Currency: o.Currency, Lines: []OrderLine{}, Carriage: moneyOrZero(o.Carriage), Duty: moneyOrZero(o.Duty),
		EntryFee: moneyOrZero(o.EntryFee), Notes: o.Notes}
	out.Late = purchase.OnItsWay(o) && o.DueOn != nil && *o.DueOn < asOf
	goods, known := decimal.Zero, true
	for _, l := range lines {
		unit := parts[l.Part].Unit
		one := OrderLine{Part: l.Part, Unit: string(unit), Packs: l.Packs, Quantity: units.ToFloat(l.Quantity, unit), Here: units.ToFloat(l.Here, unit),
			Open: units.ToFloat(l.Open, unit), PricePerPack: moneyOr(l.PricePerPack), Notes: l.Notes}
		if v := purchase.Value(l.OrderLine); v != nil {
			goods = goods.Add(*v)
			one.Amount = moneyOr(v)
		} else {
			known = false
		}
		out.Lines = append(out.Lines, one)
	}
	if known {
		total := goods.Add(purchase.Charges(o))
		out.Goods, out.Total = moneyOr(&goods), moneyOr(&total)
	}
	return out
}

func moneyOr(d *decimal.Decimal) *string {
	if d == nil {
		return nil
	}
	s := inMoney(*d)
	return &s
}

func moneyOrZero(d *decimal.Decimal) string {
	if d == nil {
		return "0.00"
	}
	return inMoney(*d)
}
