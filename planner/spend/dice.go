package spend

import (
	"math/rand/v2"

	"roundkit/planner/demand"
	"roundkit/planner/draw"
)

// dice draws what a season brings. Rates and chances are those of the season at hand: an
// unknown one is drawn once for all its jobs.
type dice struct {
	rng     *rand.Rand
	rates   map[string]float64 // of an unplanned service
	chances map[chanceKey]float64
}

// chanceKey is an unknown chance of a line, in the dry (and in any weather) or in the wet.
type chanceKey struct {
	service string
	row     int
	wet     bool
}

// ranged draws from a range line without its allowance.
func (d *dice) ranged(l demand.Line) float64 {
	if l.Typical == nil {
		return l.Min + max(l.Max-l.Min, 0)*d.rng.Float64()
	}
	return draw.Triangle(d.rng, l.Min, *l.Typical, l.Max)
}
