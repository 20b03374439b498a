package answer

import (
	"roundkit/planner/day"
	"roundkit/planner/load"
)

// Curve is `pack --curve --json`: readiness (the product without the short parts) against
// the kilos of what is packed and what stays with the trip.
type Curve struct {
	AsOf      day.Day      `json:"as_of"`
	Trip      string       `json:"trip"`
	LoadKG    float64      `json:"load_kg"`
	Readiness float64      `json:"readiness"`
	Points    []CurvePoint `json:"points"`
	Notes     []string     `json:"notes,omitempty"`
}

// CurvePoint is the best load found within so many kilos; no load has more than bound.
type CurvePoint struct {
	LimitKG   float64 `json:"limit_kg"`
	KG        float64 `json:"kg"`
	Readiness float64 `json:"readiness"`
	Bound     float64 `json:"bound"`
}

// OfCurve renders a curve.
func OfCurve(r *load.Result, t *load.Trade) Curve {
	out := Curve{AsOf: r.AsOf, Trip: r.Trip.Code, LoadKG: t.Kilos.InexactFloat64(), Readiness: t.Ready, Points: []CurvePoint{}, Notes: t.Notes}
	for _, p := range t.Points {
		out.Points = append(out.Points, CurvePoint{LimitKG: p.Most, KG: p.Used, Readiness: p.Readiness, Bound: p.Bound})
	}
	return out
}
