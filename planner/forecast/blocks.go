package forecast

import (
	"slices"
	"strings"

	"roundkit/planner/demand"
)

// SpringBlock is the springs of one model together: a rider wants one rate or
// another, so their needs are not independent.
type SpringBlock struct {
	Model   string
	Parts   []PartChance // the rates that may be wanted
	Joint   float64      // chance that all of them are enough
	Product float64      // of their own chances
	Exact   bool         // Joint was enumerated; else it is the product
}

// maxBlockWork is the most limit vectors x rounds of an exact block.
const maxBlockWork = 200_000

// springKind is the kind of model whose springs a swap line changes, "" for others.
func (l line) springKind() string {
	if l.spring() {
		return strings.TrimSuffix(l.OwnPart, " spring")
	}
	return ""
}

// springBlocks returns the springs that may be wanted, by model, where a swap of them
// is a job that they can stop.
func (a asked) springBlocks() ([]SpringBlock, error) { return a.springBlocksBut(nil) }

func (a asked) springBlocksBut(left map[string]bool) ([]SpringBlock, error) {
	var out []SpringBlock
	for _, m := range a.o.Snapshot.Models {
		if !a.o.swapStops(m.Kind) {
			continue
		}
		b := SpringBlock{Model: m.Code, Product: 1}
		var rates []blockRate
		for _, sp := range a.o.Snapshot.Springs {
			if sp.Model != m.Code || left[sp.Part] {
				continue
			}
			rounds, err := a.o.springRounds(sp.Part, a.h)
			if err != nil {
				return nil, err
			}
			_, d, err := springNeed(rounds)
			if err != nil {
				return nil, err
			}
			if len(rounds) == 0 || d.Max() == 0 {
				continue
			}
			have := int(a.onHand[sp.Part])
			b.Parts = append(b.Parts, PartChance{sp.Part, d.CDF(have)})
			b.Product *= d.CDF(have)
			rates = append(rates, blockRate{rounds: rounds, have: have})
		}
		if len(b.Parts) == 0 {
			continue
		}
		var err error
		if b.Joint, b.Exact, err = jointSprings(rates); err != nil {
			return nil, err
		}
		if !b.Exact {
			b.Joint = b.Product
		}
		out = append(out, b)
	}
	return out, nil
}

// swapStops reports whether a service swaps the springs of a kind of model, and
// cannot be done without one.
func (o *Outlook) swapStops(kind string) bool {
	for _, lines := range o.lines {
		for _, l := range lines {
			if l.stops && l.springKind() == kind {
				return true
			}
		}
	}
	return false
}

// blockRate is one rate of a block: what each round wants of it, and how many there are.
type blockRate struct {
	rounds []SpringRound
	have   int
}

// limits returns the chances of 0, 1, ... most whole springs left after breakage (the
// last stands for more), most being how many could be wanted at once.
func (b blockRate) limits() ([]float64, error) {
	breaks, most := 0.0, 0
	for _, r := range b.rounds {
		breaks += r.Breaks
		most = max(most, r.Wanted.Max())
	}
	d, err := demand.Poisson(breaks)
	if err != nil {
		return nil, err
	}
	out := make([]float64, most+1)
	for broken := 0; broken <= b.have; broken++ {
		out[min(b.have-broken, most)] += d.At(broken)
	}
	return out, nil
}

// jointSprings returns the chance that every rate is enough at every round and for
// the breakage too: given what breakage leaves of each rate, rounds are independent,
// and so are the riders of a round.
func jointSprings(rates []blockRate) (joint float64, exact bool, err error) {
	chances := make([][]float64, len(rates))
	vectors := 1
	for i, r := range rates {
		if chances[i], err = r.limits(); err != nil {
			return 0, false, err
		}
		if vectors *= len(chances[i]); vectors*max(1, len(r.rounds)) > maxBlockWork {
			return 0, false, nil
		}
	}
	limit := make([]int, len(rates))
	var sum func(i int, weight float64)
	sum = func(i int, weight float64) {
		if weight == 0 {
			return
		}
		if i < len(rates) {
			for k, p := range chances[i] {
				limit[i] = k
				sum(i+1, weight*p)
			}
			return
		}
		for round := range rates[0].rounds {
			weight *= roundEnough(rates, round, limit)
		}
		joint += weight
	}
	sum(0, 1)
	return joint, true, nil
}

// roundEnough returns the chance that a round wants no more of any rate than its
// limit. It goes through the riders one by one with what is left of the limits.
func roundEnough(rates []blockRate, round int, limit []int) float64 {
	var riders []string
	for _, r := range rates {
		for _, one := range r.rounds[round].Riders {
			if !slices.Contains(riders, one.Rider) {
				riders = append(riders, one.Rider)
			}
		}
	}
	left := slices.Clone(limit)
	var enough func(i int) float64
	enough = func(i int) float64 {
		if i == len(riders) {
			return 1
		}
		total, known := 0.0, 0.0
		// keeping what is fitted takes from several rates at once
		kept, keeps := make([]int, len(rates)), 0.0
		for k, r := range rates {
			for _, one := range r.rounds[round].Riders {
				if one.Rider != riders[i] {
					continue
				}
				if one.Chance > 0 && left[k] >= one.Bikes {
					left[k] -= one.Bikes
					total += one.Chance * enough(i+1)
					left[k] += one.Bikes
				}
				known += one.Chance
				kept[k], keeps = one.Fitted, one.Keeps
			}
		}
		if keeps > 0 && fits(kept, left) {
			take(left, kept, -1)
			total += keeps * enough(i+1)
			take(left, kept, 1)
		}
		// the rest wants a rate that is not in the block
		if rest := 1 - known - keeps; rest > 1e-12 {
			total += rest * enough(i+1)
		}
		return total
	}
	return enough(0)
}

func fits(want, left []int) bool {
	for k := range want {
		if want[k] > left[k] {
			return false
		}
	}
	return true
}

func take(left, want []int, sign int) {
	for k := range want {
		left[k] += sign * want[k]
	}
}
