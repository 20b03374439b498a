package check

import (
	"fmt"
	"math"

	"roundkit/planner/demand"
)

// maxWork is the most work one case may cost, in multiplications of the planner's
// convolutions: some fifteen seconds. A case is text that anyone may write, so what it costs
// is estimated before it is begun, from above.
const maxWork = 6e10

// maxWidth is the longest distribution that a case may build from others, in entries.
const maxWidth = 1 << 22

// eachTime is what making a distribution costs, however short it is.
const eachTime = 10_000

// maxKept is the most entries that a case may keep at one time (about 1 GB).
const maxKept = 1 << 27

// A budget is what a case has cost so far, and may cost.
type budget struct{ spent, limit float64 }

// spend notes work on behalf of a field and refuses what is too much.
func (b *budget) spend(field string, work float64) error {
	b.spent += work
	if !(b.spent <= b.limit) {
		return fmt.Errorf("%s: found a case of more than %.0e steps of work, expected a smaller one", field, b.limit)
	}
	return nil
}

// convolveWork estimates the convolution of two distributions of so many entries:
// direct, or by a transform where that is too long.
func convolveWork(a, b float64) float64 {
	if max(a, b) > maxWidth {
		return math.Inf(1)
	}
	n := a + b
	if a*b <= 1<<29 {
		return a * b
	}
	return 40 * n * math.Log2(n)
}

// compoundWork estimates a compound by halves: at each level, half as many convolutions as
// at the level below, of a power of the size with a mixture of the powers below it; and
// the power that the least count takes.
func compoundWork(number, size demand.PMF) float64 {
	if len(size.P) <= 1 { // a multiple
		return float64(len(number.P)) * float64(max(size.From, 1))
	}
	wide, variance, mean := float64(len(size.P)), size.Var(), size.Mean()
	work, blocks := 0.0, float64(len(number.P))/2
	for copies := 1.0; blocks > 0.5; copies, blocks = 2*copies, blocks/2 {
		power := spread(copies*wide, copies*variance)
		work += max(blocks, 1)*convolveWork(power, power+copies*mean) + convolveWork(power, power)
	}
	least := spread(float64(number.From)*wide, float64(number.From)*variance)
	return work + 4*convolveWork(least, least) + convolveWork(least, compoundWidth(number, size))
}

// panjerWork estimates Panjer's recursion: every value up to the last against every size.
func panjerWork(number, size demand.PMF) float64 {
	mean := number.Mean() * size.Mean()
	if width := compoundWidth(number, size); width <= maxWidth {
		return 2 * (mean + width) * float64(len(size.P))
	}
	return math.Inf(1)
}

// compoundWidth estimates how many values a compound has.
func compoundWidth(number, size demand.PMF) float64 {
	m := size.Mean()
	return spread(float64(number.Max())*float64(size.Max()), number.Mean()*size.Var()+number.Var()*m*m)
}

// spread estimates how many entries of a distribution are kept: all, or twelve standard
// deviations to each side, which a normal tail fills to the planner's cut-off.
func spread(all, variance float64) float64 {
	return min(all+1, 24*math.Sqrt(variance)+100)
}

// needWork estimates a need: a convolution for each line and each amount that the weather
// can make wet, and where something ties the rounds together (an unknown chance or rate,
// or that several parts are asked for jointly), one for each combination of them.
func needWork(n demand.Need, jointly bool) float64 {
	_, variance, err := n.Moments()
	if err != nil {
		return 0 // Distribution words the fault
	}
	width := spread(math.Inf(1), variance/n.Step/n.Step)
	once := convolveWork(width, width)
	unsettled := 0
	for _, w := range n.Wet {
		if w > 0 && w < 1 {
			unsettled++
		}
	}
	patterns := math.Ldexp(1, unsettled)
	states, most, work := 1.0, 1.0, 0.0
	for i, s := range n.Services {
		sums := patterns
		if i < 12 { // more are taken pattern by pattern
			sums = wetSums(n.Wet, s, jointly)
		}
		states, most = min(states*sums, patterns), max(most, sums)
		work += max(sums, float64(2*len(n.Wet))) * float64(max(len(s.Lines), 1)) * (once + eachTime)
	}
	if most*width > maxKept {
		return math.Inf(1)
	}
	return work + states/most*(once+eachTime) + states*(width+eachTime)
}

// wetSums counts what the wet rounds of a service can add up to, 1 if nothing ties the
// rounds together: then each is taken alone.
func wetSums(wet []float64, s demand.Service, jointly bool) float64 {
	tied := s.Unplanned != nil && (jointly || !s.Unplanned.Rate.Known())
	for _, l := range s.Lines {
		tied = tied || l.Wet != nil && (jointly || !l.Dry.Known() || !l.Wet.Known())
	}
	if !tied {
		return 1
	}
	sums := map[float64]bool{0: true}
	for r, w := range wet {
		if w <= 0 || w >= 1 {
			continue
		}
		var add float64
		if s.Unplanned != nil {
			add = s.Unplanned.Exposure[r]
		} else {
			add = float64(s.Jobs[r])
		}
		if add == 0 {
			continue
		}
		more := make([]float64, 0, len(sums))
		for sum := range sums {
			more = append(more, sum+add)
		}
		for _, sum := range more {
			sums[sum] = true
		}
	}
	return float64(len(sums))
}
