package oil

import (
	"fmt"

	"roundkit/planner/units"
)

// Draw is what one refill takes from the bottle, part by part, in microlitres:
//
//	drawn = fill - what stayed inside + flush + bleeding loss + spill
//
// Oil left in an unopened cartridge lowers the draw: of 320 ml about 300 drain, and
// pouring 320 back overfills by 20 (common practice). Each part has its own range; sums
// of ranges are ranges, so a draw is a range line: from the least to the most, typically
// at the sum of what is typical.
type Draw struct {
	Fill, Stayed, Flush, Bleeding, Spill Range
}

// Range is an amount from Min to Max, usually Typical.
type Range struct{ Min, Typical, Max units.Quantity }

// Exactly is a range of one amount.
func Exactly(q units.Quantity) Range { return Range{q, q, q} }

// Range returns what the bottle gives: never below 0. It returns an error for a part whose
// amounts are out of order or below 0, or where more stays inside than is filled.
func (d Draw) Range() (Range, error) {
	for _, p := range []struct {
		name string
		r    Range
	}{{"fill", d.Fill}, {"what stayed inside", d.Stayed}, {"flush", d.Flush}, {"bleeding loss", d.Bleeding}, {"spill", d.Spill}} {
		if p.r.Min < 0 || p.r.Typical < p.r.Min || p.r.Max < p.r.Typical {
			return Range{}, fmt.Errorf("%s: found %d, %d, %d ul, expected 0 or more and in order", p.name, p.r.Min, p.r.Typical, p.r.Max)
		}
	}
	if d.Stayed.Max > d.Fill.Min {
		return Range{}, fmt.Errorf("what stayed inside: found up to %d ul, expected at most the fill, %d ul", d.Stayed.Max, d.Fill.Min)
	}
	more := func(pick func(Range) units.Quantity) units.Quantity {
		return pick(d.Flush) + pick(d.Bleeding) + pick(d.Spill)
	}
	least, usual, most := func(r Range) units.Quantity { return r.Min }, func(r Range) units.Quantity { return r.Typical }, func(r Range) units.Quantity { return r.Max }
	return Range{
		Min:     d.Fill.Min - d.Stayed.Max + more(least),
		Typical: d.Fill.Typical - d.Stayed.Typical + more(usual),
		Max:     d.Fill.Max - d.Stayed.Min + more(most),
	}, nil
}

// Drained returns what goes to the waste can: what was inside less what stayed there. It is
// a quantity of its own, not what is poured back in.
func (d Draw) Drained() Range {
	return Range{Min: d.Fill.Min - d.Stayed.Max, Typical: d.Fill.Typical - d.Stayed.Typical, Max: d.Fill.Max - d.Stayed.Min}
}
