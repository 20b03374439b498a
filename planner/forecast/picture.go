package forecast

import (
	"roundkit/planner/demand"
	"roundkit/planner/units"
)

// Bar is one row of a picture of a need: the chance that it lies from From to To, both
// in it, in base units.
type Bar struct {
	From, To units.Quantity
	Chance   float64
	Covered  bool // what is on hand is enough for all of the bar
	Reaches  bool // the bar in which the confidence is reached
}

// hidden is the chance at each end that a picture may leave to its outermost bars.
const hidden = 0.001

// Picture returns the need of a part as at most so many bars of equal width (fewer
// than 2: 2), all of whose chances add up to 1: the outermost take the tails. A bar
// ends where the stock ends, so that what is on hand splits the picture cleanly. What
// goes in pairs gets bars of whole pairs: others would show a false comb.
func (p Part) Picture(bars int) []Bar {
	bars = max(bars, 2)
	d := p.Dist.PMF
	lo, hi := d.Quantile(hidden), d.Quantile(1-hidden)
	have, reached := p.steps(p.OnHand), p.steps(p.AtConfidence)
	whole := spacing(d)
	width := whole
	first := lo - mod(lo-(have+1), width)
	for (hi-first)/width+1 > bars {
		width = tidy(max(width+whole, (hi-lo)/bars/whole*whole), p.Unit, p.Step)
		first = lo - mod(lo-(have+1), width)
	}
	var out []Bar
	for from := first; from <= hi; from += width {
		to := from + width - 1
		b := Bar{
			From: units.Quantity(max(from, 0)) * p.Step, To: units.Quantity(to) * p.Step,
			Covered: to <= have, Reaches: from <= reached && reached <= to,
		}
		switch isFirst, isLast := from == first, to >= hi; {
		case isFirst && isLast:
			b.Chance = 1
		case isFirst:
			b.Chance = d.CDF(to)
		case isLast:
			b.Chance = d.Survival(from)
		default:
			b.Chance = d.CDF(to) - d.CDF(from-1)
		}
		out = append(out, b)
	}
	return out
}

// tidy returns a width that reads well: of liquids and greases 1, 2 or 5 times a
// power of ten of base units, of pieces as it is.
func tidy(width int, u units.Unit, step units.Quantity) int {
	if u == units.PC || width < 2 {
		return width
	}
	for unit := units.Quantity(1); ; unit *= 10 {
		for _, f := range []units.Quantity{1, 2, 5} {
			if w := f * unit; w%step == 0 && int(w/step) >= width {
				return int(w / step)
			}
		}
	}
}

// spacing returns the largest distance that divides every gap between two amounts
// that can happen: 2 where a part goes in pairs.
func spacing(d demand.PMF) int {
	g, last := 0, -1
	for i, p := range d.P {
		if p == 0 {
			continue
		}
		for a, b := i-last, g; last >= 0; {
			if b == 0 {
				g = a
				break
			}
			a, b = b, a%b
		}
		last = i
	}
	return max(g, 1)
}

func mod(a, m int) int { return ((a % m) + m) % m }
