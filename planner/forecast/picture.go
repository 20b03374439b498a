package forecast

import "roundkit/planner/units"

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
// ends where the stock ends, so that what is on hand splits the picture cleanly.
func (p Part) Picture(bars int) []Bar {
	bars = max(bars, 2)
	d := p.Dist.PMF
	lo, hi := d.Quantile(hidden), d.Quantile(1-hidden)
	have, reached := p.steps(p.OnHand), p.steps(p.AtConfidence)
	width, first := 1, lo
	for (hi-first)/width+1 > bars {
		width = tidy(max(width+1, (hi-lo)/bars), p.Unit, p.Step)
		// bars begin at whole multiples of the width counted from the stock's end
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

func mod(a, m int) int { return ((a % m) + m) % m }
