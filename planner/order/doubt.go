package order

import (
	"math"

	"github.com/shopspring/decimal"

	"roundkit/planner/day"
)

// doubt is why a need is more than its mean, and how that will shrink: what is bought for
// a trip months ahead covers the doubt of every round before it, and an order that waits
// knows by then what those rounds used.
//
// Method: the need so far that will be known by a day has its own variance; what is left
// of the distance from the mean to the confidence quantile is the square root of the part
// of the variance that is left, as for a normal distribution. Source: common practice of
// safety stock (square-root law, from memory). Limits: rounds that share an unknown chance
// are taken as if they did not.
type doubt struct {
	beyondMean float64 // of the need at confidence, base units
	variance   float64
	known      []knownBy
}

// knownBy is how much of the variance is settled once a day has ended.
type knownBy struct {
	on       day.Day
	variance float64
}

// learn notes that a need's variance up to a day is known from then on.
func (w *walk) learn(on day.Day, variance float64) {
	if n := len(w.known); n == 0 || variance > w.known[n-1].variance {
		w.known = append(w.known[:n:n], knownBy{on, variance})
	}
}

// left is the distance from the mean as it is on a day, before that day's round.
func (d doubt) left(on day.Day) float64 {
	if !(d.beyondMean > 0 && d.variance > 0) {
		return 0
	}
	settled := 0.0
	for _, k := range d.known {
		if k.on < on {
			settled = max(settled, k.variance)
		}
	}
	return d.beyondMean * math.Sqrt(max(0, 1-settled/d.variance))
}

// ladder is the wants of one offer in their order, as packs that are paid for.
type ladder []rung

// rung is a want: how many packs have been wanted up to it.
type rung struct {
	want
	on  day.Day // on which it goes out if it waits
	end int
}

// climb adds a want.
func (l ladder) climb(x want, on day.Day) ladder {
	end := x.paid
	if len(l) > 0 {
		end += l[len(l)-1].end
	}
	return append(l, rung{x, on, end})
}

// vain is how many of the first packs, if they have been bought by a day, would likely
// not have been bought had each want waited for its own day. Up to a want it is the doubt
// of that want alone: its need is that of all before it too, and what they leave it uses.
// Between two wants it changes evenly.
func (l ladder) vain(on day.Day, packs int) float64 {
	due, before, at := 0, 0.0, 0 // wanted by the day; up to the want before: in vain, packs
	for _, r := range l {
		if r.on <= on {
			due, at = r.end, r.end
			continue
		}
		if packs <= at {
			break
		}
		v := max(0, (r.doubt.left(on)-r.doubt.left(r.orderBy))/float64(r.offer.pack))
		v = min(v, float64(r.end-due))
		if packs < r.end {
			return before + (v-before)*float64(packs-at)/float64(r.end-at)
		}
		before, at = v, r.end
	}
	return before
}

// inVain is the price of what an order of a day buys in vain, that brings the packs so far
// from some to more.
func (l ladder) inVain(on day.Day, from, to int) decimal.Decimal {
	packs := l.vain(on, to) - l.vain(on, from)
	if packs == 0 {
		return decimal.Zero
	}
	const digits = 6
	return l.price().Mul(decimal.NewFromFloat(packs)).Round(digits)
}

// price is that of a pack, without breaks.
func (l ladder) price() decimal.Decimal {
	if l[0].beyond {
		return l[0].offer.beyondPrice()
	}
	return l[0].offer.price
}
