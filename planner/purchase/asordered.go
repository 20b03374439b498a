package purchase

import (
	"fmt"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/order"
	"roundkit/planner/units"
)

// AsOrdered is an order of the book as it can be sent: its lines with the supplier's own numbers, the
// free packs of a part apart from those that are paid. Its total is what the supplier is owed, goods and
// carriage. A line without packs or a price is an error: it cannot be sent.
func AsOrdered(s *planner.Snapshot, o planner.Order) (order.Order, error) {
	out := order.Order{Supplier: planner.Supplier{Code: o.Supplier, Name: o.Supplier}, ShipTo: o.ShipTo, How: order.Sent, Currency: o.Currency}
	for _, x := range s.Suppliers {
		if x.Code == o.Supplier {
			out.Supplier = x
		}
	}
	if o.DueOn != nil {
		out.NeedBy = *o.DueOn
	}
	parts := map[string]planner.Part{}
	for _, p := range s.Parts {
		parts[p.Code] = p
	}
	for _, l := range Lines(o, s.OrderLines, s.Lots, s.AsOf) {
		if l.Packs == nil || *l.Packs < 1 || l.PricePerPack == nil {
			return out, fmt.Errorf("order %s: %s has no packs or no price, expected both on what is sent", o.Code, l.Part)
		}
		one := order.Line{Part: parts[l.Part], Pack: l.Quantity / units.Quantity(*l.Packs), Packs: *l.Packs, Quantity: l.Quantity,
			UnitPrice: *l.PricePerPack, Amount: *Value(l.OrderLine), Price: order.List}
		for _, f := range s.Offers {
			if f.Supplier == o.Supplier && f.Part == l.Part {
				one.SupplierRef = f.SupplierNumber
			}
		}
		if l.PricePerPack.IsZero() {
			one.Price = order.Free
		}
		out.Lines = append(out.Lines, one)
		out.Goods = out.Goods.Add(one.Amount)
	}
	if len(out.Lines) == 0 {
		return out, fmt.Errorf("order %s has no lines, expected some", o.Code)
	}
	out.Shipping = decimal.Zero
	if o.Carriage != nil {
		out.Shipping = *o.Carriage
	}
	out.Total = out.Goods.Add(out.Shipping)
	return out, nil
}
