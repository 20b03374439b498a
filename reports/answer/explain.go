package answer

import (
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// Explain is `explain PART --json`: the part's own fields at the top level.
type Explain struct {
	AsOf       day.Day  `json:"as_of"`
	Rounds     []string `json:"rounds"`
	At         string   `json:"at,omitempty"`
	Confidence float64  `json:"confidence"`
	Part
	Terms   []Term        `json:"terms"`
	Springs []SpringRound `json:"springs,omitempty"`
	PMF     PMF           `json:"pmf"`
	Notes   []string      `json:"notes,omitempty"`
}

// Term is what one line of a service brings at one round.
type Term struct {
	Round        string  `json:"round"`
	Service      string  `json:"service"`
	Line         string  `json:"line"`
	Jobs         float64 `json:"jobs"`
	Mean         float64 `json:"mean"`
	SD           float64 `json:"sd"`
	Dry          float64 `json:"mean_dry"`
	Wet          float64 `json:"mean_wet"`
	WetChance    float64 `json:"wet_chance"`
	AtConfidence float64 `json:"at_confidence"`
	Unplanned    bool    `json:"unplanned"`
	Stops        bool    `json:"stops"`
}

// SpringRound is how many of a spring one round wants at once.
type SpringRound struct {
	Round        string        `json:"round"`
	Mean         float64       `json:"mean"`
	AtConfidence int           `json:"at_confidence"`
	Breaks       float64       `json:"breaks"`
	Riders       []SpringRider `json:"riders"`
}

// SpringRider is one rider's choice of the spring.
type SpringRider struct {
	Rider  string  `json:"rider"`
	Chance float64 `json:"chance"`
	Bikes  int     `json:"bikes"`
	Keeps  float64 `json:"keeps_fitted"`
	Fitted int     `json:"fitted"`
}

// PMF is a distribution: the amount from + i x step has the chance p[i].
type PMF struct {
	Step float64   `json:"step"`
	From float64   `json:"from"`
	P    []float64 `json:"p"`
}

// OfExplain renders an explanation.
func OfExplain(x forecast.Explanation) Explain {
	r := x.Result
	e := Explain{
		AsOf: r.AsOf, Rounds: r.Horizon.Codes(), At: r.At, Confidence: r.Confidence, Notes: r.Notes,
		Part: ofPart(x.Part), Terms: []Term{},
		PMF: PMF{
			Step: units.ToFloat(x.Step, x.Unit),
			From: units.ToFloat(units.Quantity(x.Dist.PMF.From)*x.Step, x.Unit),
			P:    x.Dist.PMF.P,
		},
	}
	if len(e.PMF.P) == 0 { // the zero distribution: always 0
		e.PMF.P = []float64{1}
	}
	for _, t := range x.Terms {
		e.Terms = append(e.Terms, Term{
			Round: t.Round, Service: t.Service, Line: t.Line, Jobs: t.Jobs, Mean: t.Mean, SD: t.SD, Dry: t.Dry, Wet: t.Rain,
			WetChance: t.Wet, AtConfidence: units.ToFloat(t.AtConfidence, x.Unit), Unplanned: t.Unplanned, Stops: t.Stops,
		})
	}
	for _, s := range x.Springs {
		one := SpringRound{Round: s.Round, Mean: s.Wanted.Mean(), AtConfidence: s.Wanted.Quantile(r.Confidence), Breaks: s.Breaks, Riders: []SpringRider{}}
		for _, rider := range s.Riders {
			one.Riders = append(one.Riders, SpringRider{Rider: rider.Rider, Chance: rider.Chance, Bikes: rider.Bikes, Keeps: rider.Keeps, Fitted: rider.Fitted})
		}
		e.Springs = append(e.Springs, one)
	}
	return e
}
