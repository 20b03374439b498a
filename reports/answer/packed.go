package answer

import (
	"roundkit/planner/load"
	"roundkit/planner/units"
)

// Packed is `pack TRIP --packed --json`: what the record moved, what is short, what could
// not be booked yet.
type Packed struct {
	Recorded
	Trip      string       `json:"trip"`
	Short     []PackShort  `json:"short"`
	NotBooked []PackWaiter `json:"not_booked"`
}

// PackWaiter is a line of the list that is not here yet, or has no case.
type PackWaiter struct {
	Part     string  `json:"part"`
	Unit     string  `json:"unit"`
	Quantity float64 `json:"quantity"`
	Order    string  `json:"order"`
	Why      string  `json:"why"`
}

// OfPacked renders it.
func OfPacked(plan *load.Result, done Recorded, waiting []load.Waiting) Packed {
	out := Packed{Recorded: done, Trip: plan.Trip.Code, Short: OfPack(plan).Short, NotBooked: []PackWaiter{}}
	for _, w := range waiting {
		out.NotBooked = append(out.NotBooked, PackWaiter{Part: w.Part.Code, Unit: string(w.Part.Unit), Quantity: units.ToFloat(w.Quantity, w.Part.Unit), Order: w.Order, Why: w.Why})
	}
	return out
}
