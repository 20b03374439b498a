package answer

import (
	"github.com/shopspring/decimal"

	"roundkit/planner/day"
	"roundkit/planner/order"
	"roundkit/planner/units"
)

// Reorder is `reorder --json`.
type Reorder struct {
	AsOf       day.Day        `json:"as_of"`
	Trips      []string       `json:"trips"`
	Confidence float64        `json:"confidence"`
	Vans       []ReorderVan   `json:"vans"`
	Moves      []ReorderMove  `json:"moves"`
	Orders     []ReorderOrder `json:"orders"`
	Short      []ReorderShort `json:"short"`
	Compared   []ReorderCost  `json:"compared"`
	Notes      []string       `json:"notes,omitempty"`
}

// ReorderVan is a top-up that has something to bring.
type ReorderVan struct {
	Trip    string   `json:"trip"`
	On      day.Day  `json:"on"`
	Round   string   `json:"round"`
	From    string   `json:"from"`
	Notes   string   `json:"notes"`
	KG      float64  `json:"kg"`
	LimitKG *float64 `json:"limit_kg"` // null: none
	Moves   int      `json:"moves"`
	Orders  []string `json:"orders"` // parts on orders that must be in it too
	Last    bool     `json:"last"`   // the last before the trip ends
}

// ReorderMove is what a trip must be brought from another place of ours.
type ReorderMove struct {
	Part     string        `json:"part"`
	Quantity float64       `json:"quantity"`
	Unit     string        `json:"unit"`
	From     string        `json:"from"`
	To       string        `json:"to"`
	By       day.Day       `json:"by"`
	Trip     string        `json:"trip"`
	Picks    []ReorderPick `json:"picks"`
}

// ReorderPick is where what is moved lies.
type ReorderPick struct {
	Place    string  `json:"place"`
	Lot      string  `json:"lot"`
	Tag      string  `json:"tag"`
	Order    string  `json:"order,omitempty"` // not here yet: this order brings it
	Quantity float64 `json:"quantity"`
}

// ReorderOrder is what to buy from one supplier at one time. Money is in Currency.
type ReorderOrder struct {
	Supplier string        `json:"supplier"`
	Trip     string        `json:"trip"`
	ShipTo   string        `json:"ship_to"`
	How      string        `json:"how"`
	Round    string        `json:"round"`
	OrderBy  day.Day       `json:"order_by"`
	LeavesOn day.Day       `json:"leaves_on"`
	ArriveBy day.Day       `json:"arrive_by"` // at the 95 % point of the lead time
	NeedBy   day.Day       `json:"need_by"`
	Late     bool          `json:"late"`
	Currency string        `json:"currency"`
	Lines    []ReorderLine `json:"lines"`
	Goods    string        `json:"goods"`
	Shipping string        `json:"shipping"`
	Duty     string        `json:"duty"`
	EntryFee string        `json:"entry_fee"`
	Total    string        `json:"total"`
	Notes    []string      `json:"notes,omitempty"`
}

// ReorderLine is packs of one part at one price.
type ReorderLine struct {
	Part        string  `json:"part"`
	Unit        string  `json:"unit"`
	SupplierRef string  `json:"supplier_ref"`
	Pack        float64 `json:"pack"`
	Packs       int     `json:"packs"`
	Quantity    float64 `json:"quantity"`
	UnitPrice   string  `json:"unit_price"`
	Currency    string  `json:"currency"`
	Amount      string  `json:"amount"`
	Price       string  `json:"price"` // free, beyond the allocation, list or a break
	NeedBy      day.Day `json:"need_by"`
	Late        bool    `json:"late"`
	Chance      float64 `json:"chance"` // that it runs short without the line
	Reason      string  `json:"reason"`
}

// ReorderCost is what a supplier's orders cost in three ways, keeping what comes early and
// what is likely bought in vain counted; and the proven bound below which no orders for the
// same needs are.
type ReorderCost struct {
	Supplier  string  `json:"supplier"`
	Currency  string  `json:"currency"`
	AsNeeded  string  `json:"as_needed"`
	AllAtOnce *string `json:"all_at_once"` // null: it cannot be
	Plan      string  `json:"plan"`
	Bound     string  `json:"bound"`
	Above     string  `json:"above_bound"` // plan - bound: at most so far above the best possible
}

// ReorderShort is a need that cannot be met in time.
type ReorderShort struct {
	Part     string          `json:"part"`
	Unit     string          `json:"unit"`
	Trip     string          `json:"trip"`
	Rounds   []string        `json:"rounds"` // at which it runs short
	DueOn    day.Day         `json:"due_on"`
	Quantity float64         `json:"quantity"`
	Chance   float64         `json:"chance"`
	Remedies []ReorderRemedy `json:"remedies"`
}

// ReorderRemedy is a way out; the first is to be tried first.
type ReorderRemedy struct {
	Kind string `json:"kind"`
	Text string `json:"text"`
}

// OfReorder renders a plan of what to move and order.
func OfReorder(r order.Result) Reorder {
	out := Reorder{AsOf: r.AsOf, Trips: append([]string{}, r.Trips...), Confidence: r.Confidence, Notes: r.Notes,
		Vans: []ReorderVan{}, Moves: []ReorderMove{}, Orders: []ReorderOrder{}, Short: []ReorderShort{}, Compared: []ReorderCost{}}
	for _, v := range r.Vans {
		one := ReorderVan{Trip: v.Trip, On: v.On, Round: v.Round, From: v.From, Notes: v.Notes, KG: v.KG.InexactFloat64(), Moves: v.Moves,
			Orders: append([]string{}, v.Orders...), Last: v.Last}
		if v.LimitKG != nil {
			kg := v.LimitKG.InexactFloat64()
			one.LimitKG = &kg
		}
		out.Vans = append(out.Vans, one)
	}
	for _, m := range r.Moves {
		in := func(q units.Quantity) float64 { return units.ToFloat(q, m.Part.Unit) }
		one := ReorderMove{Part: m.Part.Code, Quantity: in(m.Quantity), Unit: string(m.Part.Unit), From: m.From, To: m.To, By: m.By, Trip: m.Trip, Picks: []ReorderPick{}}
		for _, p := range m.Picks {
			one.Picks = append(one.Picks, ReorderPick{Place: p.Place, Lot: p.Lot, Tag: p.Tag, Order: p.Order, Quantity: in(p.Quantity)})
		}
		out.Moves = append(out.Moves, one)
	}
	for _, o := range r.Orders {
		out.Orders = append(out.Orders, ofOrder(o))
	}
	for _, s := range r.Short {
		one := ReorderShort{Part: s.Part.Code, Unit: string(s.Part.Unit), Trip: s.Trip, Rounds: append([]string{}, s.Rounds...), DueOn: s.DueOn,
			Quantity: units.ToFloat(s.Quantity, s.Part.Unit), Chance: s.Chance, Remedies: []ReorderRemedy{}}
		for _, m := range s.Remedies {
			one.Remedies = append(one.Remedies, ReorderRemedy(m))
		}
		out.Short = append(out.Short, one)
	}
	for _, c := range r.Compared {
		one := ReorderCost{Supplier: c.Supplier, Currency: c.Currency, AsNeeded: c.AsNeeded.StringFixed(2), Plan: c.Plan.StringFixed(2),
			Bound: c.Bound.StringFixed(2), Above: c.Above().StringFixed(2)}
		if c.AllAtOnce != nil {
			all := c.AllAtOnce.StringFixed(2)
			one.AllAtOnce = &all
		}
		out.Compared = append(out.Compared, one)
	}
	return out
}

func ofOrder(o order.Order) ReorderOrder {
	one := ReorderOrder{
		Supplier: o.Supplier.Code, Trip: o.Trip, ShipTo: o.ShipTo, How: o.How, Round: o.Round,
		OrderBy: o.OrderBy, LeavesOn: o.LeavesOn, ArriveBy: o.ArriveBy, NeedBy: o.NeedBy, Late: o.Late,
		Currency: o.Currency, Lines: []ReorderLine{}, Goods: inMoney(o.Goods), Shipping: inMoney(o.Shipping), Duty: inMoney(o.Duty),
		EntryFee: inMoney(o.EntryFee), Total: inMoney(o.Total), Notes: o.Notes,
	}
	for _, l := range o.Lines {
		one.Lines = append(one.Lines, ReorderLine{
			Part: l.Part.Code, Unit: string(l.Part.Unit), SupplierRef: l.SupplierRef, Pack: units.ToFloat(l.Pack, l.Part.Unit),
			Packs: l.Packs, Quantity: units.ToFloat(l.Quantity, l.Part.Unit), UnitPrice: inMoney(l.UnitPrice), Currency: o.Currency,
			Amount: inMoney(l.Amount), Price: l.Price, NeedBy: l.NeedBy, Late: l.Late, Chance: l.Chance, Reason: l.Why(),
		})
	}
	return one
}

// inMoney writes an amount with its cents, and all its digits where it has more.
func inMoney(d decimal.Decimal) string {
	if d.Exponent() < -2 && !d.Equal(d.Round(2)) {
		return d.String()
	}
	return d.StringFixed(2)
}
