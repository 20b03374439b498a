package planner

import (
	"fmt"
	"strings"

	"roundkit/planner/units"
)

// LineNumbers are the numbers of a service line that the log can correct.
type LineNumbers struct {
	Quantity   *units.Quantity `json:"quantity"`
	Min        *units.Quantity `json:"min"`
	Typical    *units.Quantity `json:"typical"`
	Max        *units.Quantity `json:"max"`
	DryPercent Decimal         `json:"dry_percent"`
	WetPercent Decimal         `json:"wet_percent"`
	BetaDryA   Decimal         `json:"beta_dry_a"`
	BetaDryB   Decimal         `json:"beta_dry_b"`
	BetaWetA   Decimal         `json:"beta_wet_a"`
	BetaWetB   Decimal         `json:"beta_wet_b"`
}

// Numbers are those of the line.
func (l ServiceLine) Numbers() LineNumbers {
	return LineNumbers{l.Quantity, l.Min, l.Typical, l.Max, l.DryPercent, l.WetPercent, l.BetaDryA, l.BetaDryB, l.BetaWetA, l.BetaWetB}
}

// In says the numbers in the unit of the line's part.
func (n LineNumbers) In(u units.Unit) string {
	var said []string
	if n.Quantity != nil {
		said = append(said, units.Say(*n.Quantity, u))
	}
	if n.Min != nil && n.Max != nil {
		text := units.Say(*n.Min, u) + " to " + units.Say(*n.Max, u)
		if n.Typical != nil {
			text += ", typically " + units.Say(*n.Typical, u)
		}
		said = append(said, text)
	}
	chance := func(weather string, percent, a, b Decimal) {
		switch {
		case percent != nil:
			said = append(said, fmt.Sprintf("%s %s %%", weather, percent))
		case a != nil && b != nil:
			said = append(said, fmt.Sprintf("%s Beta(%s, %s)", weather, a, b))
		}
	}
	chance("dry", n.DryPercent, n.BetaDryA, n.BetaDryB)
	chance("wet", n.WetPercent, n.BetaWetA, n.BetaWetB)
	return strings.Join(said, ", ")
}

// RateNumbers are how often an unplanned service happens per bike-day.
type RateNumbers struct {
	Rate   Decimal `json:"rate"`
	GammaA Decimal `json:"gamma_a"`
	GammaB Decimal `json:"gamma_b"`
}

// Numbers are those of the row.
func (r UnplannedRate) Numbers() RateNumbers { return RateNumbers{r.Rate, r.GammaA, r.GammaB} }

// String says the rate.
func (n RateNumbers) String() string {
	if n.Rate != nil {
		return n.Rate.String() + " a bike-day"
	}
	if n.GammaA == nil || n.GammaB == nil {
		return ""
	}
	return fmt.Sprintf("Gamma(%s, %s) a bike-day", n.GammaA, n.GammaB)
}
