package answer

import "roundkit/planner/forecast"

// Readiness is the chance that every job left can be done with what is on hand.
type Readiness struct {
	Chance
	WithoutShort Chance          `json:"without_short"`
	Services     []ServiceChance `json:"services"`
	Short        []PartChance    `json:"short"`   // below the confidence, least likely first
	OnSite       []PartChance    `json:"on_site"` // must be there, is not used up
}

// Chance is a joint chance and the bounds beside it.
type Chance struct {
	Joint   float64 `json:"joint"`
	Within  float64 `json:"within_weather"`
	Product float64 `json:"product"`
	Bound   bool    `json:"product_is_bound"`
	SE      float64 `json:"se"`
	Method  string  `json:"method"`
}

// ServiceChance is the chance that all jobs left of one service can be done.
type ServiceChance struct {
	Service string `json:"service"`
	Chance
}

// PartChance is the chance that one part is enough.
type PartChance struct {
	Part   string  `json:"part"`
	Enough float64 `json:"enough"`
}

// OfReadiness renders a readiness.
func OfReadiness(r forecast.Readiness) Readiness {
	out := Readiness{Chance: ofChance(r.All), WithoutShort: ofChance(r.WithoutShort), Services: []ServiceChance{},
		Short: ofPartChances(r.Short), OnSite: ofPartChances(r.OnSite)}
	for _, s := range r.Services {
		out.Services = append(out.Services, ServiceChance{Service: s.Service, Chance: ofChance(s.Chance)})
	}
	return out
}

func ofChance(c forecast.Chance) Chance {
	return Chance{Joint: c.Joint, Within: c.Within, Product: c.Product, Bound: c.Bound, SE: c.StdErr, Method: c.Method()}
}

func ofPartChances(of []forecast.PartChance) []PartChance {
	out := make([]PartChance, len(of))
	for i, p := range of {
		out[i] = PartChance{Part: p.Part, Enough: p.Enough}
	}
	return out
}
