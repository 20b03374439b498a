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

// inVain is the price of what a batch buys on a day that would likely not have been
// bought had each want waited for its own day. Of a part only the last want counts: its
// need is that of all before it too.
func inVain(batch []want, on day.Day) decimal.Decimal {
	sum := decimal.Zero
	for i, x := range batch {
		last, early := true, 0
		for j, y := range batch {
			if y.part.Code == x.part.Code && y.offer == x.offer {
				last = last && j <= i
				if y.orderBy > on {
					early += y.paid
				}
			}
		}
		if !last || early == 0 {
			continue
		}
		packs := min((x.doubt.left(on)-x.doubt.left(x.orderBy))/float64(x.offer.pack), float64(early))
		if packs <= 0 {
			continue
		}
		tiers := x.offer.tiers(early, x.beyond)
		price := tiers[len(tiers)-1].price
		const digits = 6
		sum = sum.Add(price.Mul(decimal.NewFromFloat(packs)).Round(digits))
	}
	return sum
}
