// Package answer answers: how does a result look to a machine?
//
// Method: plain structs whose json tags are the program's contract: a field may be
// added, none renamed. Quantities become numbers in the unit given beside them,
// dates ISO 8601, chances 0 to 1. Source: the project's own contract. Limits: it
// reckons nothing.
package answer

import (
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// Forecast is `forecast --json`.
type Forecast struct {
	AsOf       day.Day    `json:"as_of"`
	Rounds     []string   `json:"rounds"`
	At         string     `json:"at,omitempty"`
	Confidence float64    `json:"confidence"`
	Parts      []Part     `json:"parts"`
	Before     []string   `json:"before,omitempty"`    // the trips that use the same stock before
	Readiness  *Readiness `json:"readiness,omitempty"` // of all rounds together; filled by who asks for it
	Notes      []string   `json:"notes,omitempty"`
}

// Part is one part's line of a forecast.
type Part struct {
	Part         string    `json:"part"`
	Name         string    `json:"name"`
	Unit         string    `json:"unit"`
	Mean         float64   `json:"mean"`
	SD           float64   `json:"sd"`
	AtConfidence float64   `json:"at_confidence"`
	OnHand       float64   `json:"on_hand"`
	OnOrder      float64   `json:"on_order"`
	Short        float64   `json:"short"`
	Cover        float64   `json:"cover"`
	RunShort     float64   `json:"run_short"` // 1 - cover, accurate however small
	Container    string    `json:"container"`
	Containers   *int      `json:"containers"`
	StandIns     []StandIn `json:"stand_ins,omitempty"`
	Kits         *Kits     `json:"kits,omitempty"`
	Grid         string    `json:"grid,omitempty"` // why the grid is coarser than wanted

	// Once the trips before have used theirs; left out where none comes before.
	LeftThen     *float64 `json:"left_then,omitempty"`      // expected
	LeftThenLow  *float64 `json:"left_then_low,omitempty"`  // with 5 % no more is left
	LeftThenHigh *float64 `json:"left_then_high,omitempty"` // with 95 %
	CoverThen    *float64 `json:"cover_then,omitempty"`
	ShortThen    *float64 `json:"short_then,omitempty"`
}

// StandIn is what may stand in: an alternative, or a spring of nearly the rate.
type StandIn struct {
	Part       string  `json:"part"`
	Unit       string  `json:"unit"`
	OnHand     float64 `json:"on_hand"`
	Tag        string  `json:"tag,omitempty"`
	OffPercent float64 `json:"off_percent,omitempty"`
}

// Kits is how many of a seal kit are wanted with those to be opened.
type Kits struct {
	Mean         float64   `json:"mean"`
	AtConfidence int       `json:"at_confidence"`
	Cover        float64   `json:"cover"`
	Parts        []KitPart `json:"parts"`
}

// KitPart is a part inside a kit.
type KitPart struct {
	Part     string  `json:"part"`
	PerKit   int     `json:"per_kit"`
	Loose    float64 `json:"loose"`
	RunShort float64 `json:"run_short"`
}

// OfForecast renders a forecast.
func OfForecast(r forecast.Result) Forecast {
	f := Forecast{AsOf: r.AsOf, Rounds: r.Horizon.Codes(), At: r.At, Confidence: r.Confidence, Before: r.Before, Notes: r.Notes, Parts: make([]Part, len(r.Parts))}
	for i, p := range r.Parts {
		f.Parts[i] = ofPart(p)
	}
	return f
}

func ofPart(p forecast.Part) Part {
	in := func(q units.Quantity) float64 { return units.ToFloat(q, p.Unit) }
	out := Part{
		Part: p.Code, Name: p.Name, Unit: string(p.Unit), Mean: p.Mean, SD: p.SD, AtConfidence: in(p.AtConfidence),
		OnHand: in(p.OnHand), OnOrder: in(p.OnOrder), Short: in(p.Short), Cover: p.Cover, RunShort: p.RunShort,
		Container: p.CarriedIn, Containers: p.Containers, Grid: p.Coarse,
	}
	if t := p.Then; t != nil && t.Stock != nil {
		mean, low, high := t.Mean/float64(p.Unit.Base()), in(t.Low), in(t.High)
		cover, short := t.CoverThen(), in(t.ShortThen(p.Confidence))
		out.LeftThen, out.LeftThenLow, out.LeftThenHigh, out.CoverThen, out.ShortThen = &mean, &low, &high, &cover, &short
	}
	for _, s := range p.StandIns {
		out.StandIns = append(out.StandIns, StandIn{Part: s.Part, Unit: string(s.Unit), OnHand: units.ToFloat(s.OnHand, s.Unit), Tag: s.Tag, OffPercent: s.OffPercent})
	}
	if k := p.Kits; k != nil {
		out.Kits = &Kits{Mean: k.Mean, AtConfidence: k.AtConfidence, Cover: k.Cover}
		for _, c := range k.Parts {
			out.Kits.Parts = append(out.Kits.Parts, KitPart{Part: c.Part, PerKit: c.PerKit, Loose: float64(c.Loose), RunShort: c.Short})
		}
	}
	return out
}
