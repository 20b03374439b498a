package load

import (
	"cmp"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner/calendar"
	"roundkit/planner/forecast"
)

// The order of putting into a case by air, from the bottom to the top: fluids and what is
// heavy lie at the bottom, the heaviest first; of the rest what is needed first goes in
// last, so that it lies on top (common practice of race teams, from memory). How soon a
// part is needed is one number: the rounds that are expected to pass before it is first
// used, that is the sum over the trip's rounds of the chance that it was not needed by the
// end of each. So what the first round surely uses comes before what only the second does,
// and in one round what is likely comes before what is carried for a crash.

// The layers of a case.
const (
	Bottom = "bottom"
	Upper  = "upper"
)

// HeavyGrams is the mass from which one container or piece lies at the bottom (common
// practice).
const HeavyGrams = 1000

// hasLayers reports whether the lines are in the order of putting in: drawers have none.
func (p *packing) hasLayers() bool { return p.trip.GoesBy == calendar.Air }

// waits returns for each part the rounds that are expected to pass before it is first used,
// 0 to all of the trip's; 0 of what must be on site.
func (p *packing) waits() ([]float64, error) {
	out := make([]float64, len(p.parts))
	var upTo []string
	for k, r := range p.trip.Rounds {
		upTo = append(upTo, r.Code)
		res := p.res
		if k+1 < len(p.trip.Rounds) {
			var err error
			if res, err = p.o.Forecast(forecast.Options{Rounds: upTo, Confidence: p.opts.Confidence, Alone: true}); err != nil {
				return nil, err
			}
		}
		for i := range out {
			if !p.parts[i].onSite {
				out[i] += res.Parts[i].Need.Cover(0)
			}
		}
	}
	for i, s := range p.parts { // what stands in is as urgent as what it stands in for
		if at, ok := p.at[s.standIn]; ok && s.standIn != "" {
			out[i] = min(out[i], out[at])
		}
	}
	return out, nil
}

// putIn sorts the lines by case and, in each, in the order of putting in.
func putIn(lines []Line) {
	for k := range lines {
		l := &lines[k]
		l.Layer = Upper
		if groupOf(l.Part) == liquids || l.each().GreaterThanOrEqual(decimal.NewFromInt(HeavyGrams)) {
			l.Layer = Bottom
		}
	}
	slices.SortStableFunc(lines, func(a, b Line) int {
		if c := cmp.Or(cmp.Compare(a.Case, b.Case), cmp.Compare(a.Layer, b.Layer)); c != 0 {
			return c
		}
		heavier, later := b.each().Cmp(a.each()), cmp.Compare(hundredths(b.Waits), hundredths(a.Waits))
		if a.Layer == Bottom {
			return cmp.Or(heavier, later)
		}
		return cmp.Or(later, heavier)
	})
}

// each is the mass of one container or piece.
func (l Line) each() decimal.Decimal {
	return l.Grams.Div(decimal.NewFromInt(int64(max(l.Containers, 1))))
}

// hundredths of a round: nearer than that no part is needed sooner than another.
func hundredths(waits float64) float64 { return math.Round(waits * 100) }
