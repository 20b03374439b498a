package forecast

import (
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

// Scope says whose stock counts: at a place and below it, or everywhere of ours but
// what is away with another trip.
type Scope struct {
	o    *Outlook
	at   string
	away []string
}

// ScopeOf returns the scope of a horizon. An unknown place is an error that suggests
// a near one.
func (o *Outlook) ScopeOf(h Horizon, at string) (Scope, error) {
	sc, err := o.ScopeAt(at)
	if err != nil || at != "" {
		return sc, err
	}
	var own []string
	for _, t := range h.Trips {
		own = append(own, t.Code)
	}
	sc.away = place.Away(o.Calendar, o.Snapshot.Packed, o.Snapshot.AsOf, h.FirstPackOn, own)
	return sc, nil
}

// ScopeAt returns the scope of a place and below it, or (blank) of everywhere of ours,
// away or not.
func (o *Outlook) ScopeAt(at string) (Scope, error) {
	if at == "" {
		return Scope{o: o}, nil
	}
	return Scope{o: o, at: at}, o.Places.Find(at)
}

// Holds reports whether stock at the place counts. Lent things never do; what is in
// a fork or shock is asked for apart.
func (sc Scope) Holds(code string) bool {
	tree := sc.o.Places
	if !tree.Ours(code) || tree.Assembly(code) && sc.at != code {
		return false
	}
	if sc.at != "" {
		return tree.Within(code, sc.at)
	}
	for _, root := range sc.away {
		if tree.Within(code, root) {
			return false
		}
	}
	return true
}

// GoodOn reports whether a holding may still be used on a day: the lot's last good
// day and, for an opened bottle, the same day of the month so many months after it
// was opened are the last.
func (o *Outlook) GoodOn(h planner.Holding, on day.Day) bool {
	if lot, ok := o.lots[h.Lot]; ok && lot.ExpiresOn != nil && *lot.ExpiresOn < on {
		return false
	}
	tag, ok := o.tags[h.Tag]
	if !ok || tag.OpenedOn == nil || *tag.OpenedOn > o.Snapshot.AsOf {
		return true // not tagged, sealed, or opened after the day we look from
	}
	months := o.parts[h.Part].MonthsAfterOpening
	return months == nil || tag.OpenedOn.AddMonths(*months) >= on
}

// OnHand returns how much of each part counts as had for a horizon, in base units:
// what is in scope and good to its last day, and springs in the forks and shocks
// that are on one of its trips.
func (o *Outlook) OnHand(h Horizon, sc Scope) map[string]units.Quantity {
	have := map[string]units.Quantity{}
	for _, s := range o.Snapshot.Stock {
		if o.counts(s, h, sc) {
			have[s.Part] += s.Quantity
		}
	}
	return have
}

// counts reports whether a holding counts as had for a horizon.
func (o *Outlook) counts(s planner.Holding, h Horizon, sc Scope) bool {
	if _, isSpring := o.springs[s.Part]; isSpring && o.Places.Assembly(s.Place) {
		return o.onTrip(o.assembly[s.Place], h)
	}
	return sc.Holds(s.Place) && o.GoodOn(s, h.LastOn)
}

// OnOrder returns how much of each part is on its way and in time, in base units: of
// orders placed, confirmed or part here, what has not arrived, due by the last pack
// date at a place in scope. An order without a due date is in time for nothing.
func (o *Outlook) OnOrder(h Horizon, sc Scope) map[string]units.Quantity {
	coming := map[string]units.Quantity{}
	var orders []planner.Order
	for _, order := range o.Snapshot.Orders {
		switch {
		case order.State == "drafted" || order.State == "called off":
		case order.ArrivedOn != nil && *order.ArrivedOn <= o.Snapshot.AsOf:
		case order.DueOn == nil || *order.DueOn > h.LastPackOn:
		case order.ShipTo == "" && sc.at == "", sc.Holds(order.ShipTo):
			orders = append(orders, order)
		}
	}
	for _, order := range orders {
		for part, q := range o.ToCome(order.Code) {
			coming[part] += q
		}
	}
	return coming
}

// ToCome returns what an order still brings, by part, in base units: ordered less received.
func (o *Outlook) ToCome(order string) map[string]units.Quantity {
	coming := map[string]units.Quantity{}
	for _, l := range o.Snapshot.OrderLines {
		if l.Order == order {
			coming[l.Part] += l.Quantity
		}
	}
	for _, lot := range o.Snapshot.Lots {
		here := lot.ReceivedOn == nil || *lot.ReceivedOn <= o.Snapshot.AsOf
		if _, ordered := coming[lot.Part]; ordered && lot.Order == order && here && lot.FromLot == "" && lot.Quantity != nil {
			coming[lot.Part] -= *lot.Quantity
		}
	}
	for part, q := range coming {
		if q <= 0 {
			delete(coming, part)
		}
	}
	return coming
}
