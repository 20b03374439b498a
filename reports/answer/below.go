package answer

import (
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// Below is one row of `stock --below --json`: a part of which less is had than the rounds
// need at the confidence.
type Below struct {
	Part         string   `json:"part"`
	Unit         string   `json:"unit"`
	Rounds       []string `json:"rounds"`
	AtConfidence float64  `json:"at_confidence"`
	OnHand       float64  `json:"on_hand"`
	OnOrder      float64  `json:"on_order"`
	Short        float64  `json:"short"`
	Cover        float64  `json:"cover"`
}

// OfBelow renders the parts of a forecast that are short.
func OfBelow(r forecast.Result) []Below {
	out := []Below{}
	for _, p := range r.Parts {
		f := func(q units.Quantity) float64 { return units.ToFloat(q, p.Unit) }
		out = append(out, Below{Part: p.Code, Unit: string(p.Unit), Rounds: r.Horizon.Codes(), AtConfidence: f(p.AtConfidence), OnHand: f(p.OnHand),
			OnOrder: f(p.OnOrder), Short: f(p.Short), Cover: p.Cover})
	}
	return out
}
