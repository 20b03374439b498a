package answer

import (
	"roundkit/planner/day"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

// Stock is one row of `stock --json`: a lot, or one tag of it, at a place. Expires is the
// lot's own date; MassG has the empty containers in it.
type Stock struct {
	Part         string   `json:"part"`
	Unit         string   `json:"unit"`
	Place        string   `json:"place"`
	Quantity     float64  `json:"quantity"`
	Lot          string   `json:"lot"`
	Tag          string   `json:"tag"`
	Expires      *day.Day `json:"expires"`
	Opened       *day.Day `json:"opened"`
	MassG        *float64 `json:"mass_g"` // null where the catalogue does not say
	GoodUntil    *day.Day `json:"good_until"`
	PastDate     bool     `json:"past_date"`
	DueBack      *day.Day `json:"due_back,omitempty"`
	Lent         bool     `json:"lent,omitempty"`
	Overdue      bool     `json:"overdue,omitempty"`
	Trip         string   `json:"trip,omitempty"` // it is packed for it or away with it
	RateNPerMM   *float64 `json:"rate_n_mm,omitempty"`
	SerialNumber string   `json:"serial_number,omitempty"`
}

// OfStock renders what is where.
func OfStock(rows []stock.Row) []Stock {
	out := make([]Stock, len(rows))
	for i, r := range rows {
		out[i] = Stock{Part: r.Part.Code, Unit: string(r.Part.Unit), Place: r.Place, Quantity: units.ToFloat(r.Quantity, r.Part.Unit),
			Lot: r.Lot, Tag: r.Tag, Expires: r.ExpiresOn, Opened: r.OpenedOn, GoodUntil: r.LastGoodOn, PastDate: r.Past,
			DueBack: r.DueBackOn, Lent: r.Lent, Overdue: r.Overdue, Trip: r.For, SerialNumber: r.SerialNumber}
		if r.MassKnown {
			grams := r.Grams.InexactFloat64()
			out[i].MassG = &grams
		}
		if r.MeasuredRate != nil {
			rate := r.MeasuredRate.InexactFloat64()
			out[i].RateNPerMM = &rate
		}
	}
	return out
}
