package demand

import (
	"fmt"
	"math"
	"slices"
)

const (
	// MaxStates is the most weather states that are gone through one by one: any
	// weather of twenty rounds.
	MaxStates = 1 << 20

	// keyScale makes a state a whole number: amounts are divided by the axis's
	// largest and kept to this fraction, so that sums in another order are the same
	// state.
	keyScale = 1e12

	// maxAxes bounds the length of a state; with more, each pattern is a state.
	maxAxes = 12

	// maxUnsettled is how many rounds of unsettled weather a pattern holds.
	maxUnsettled = 64
)

// axis is a set of shares whose amounts are proportional in all rounds of unsettled
// weather: one number, how much of them is wet, settles them all.
type axis struct {
	add    []int64 // what a wet round adds to the number
	shares []share
	cache  map[int64]PMF
}

type stateKey [maxAxes]int64

// state is a set of weather patterns that no share can tell apart, with their
// chance. pattern is one of them: bit r is round r.
type state struct {
	key     stateKey
	weight  float64
	pattern pattern
}

type pattern uint64

// wetOf returns how much of the amounts falls in the pattern's wet rounds. Rounds of
// settled weather are in the pattern too.
func (p pattern) wetOf(amounts []float64) float64 {
	sum := 0.0
	for r, a := range amounts {
		if p>>r&1 == 1 {
			sum += a
		}
	}
	return sum
}

// mixStates sums over the states of the wet parts. With too many, an unknown rate is
// integrated out first (mixRates); where only chances are unknown, the shares
// without any are carried along round by round (mixCarried).
func mixStates(wet []float64, shares []share) (PMF, error) {
	axes := axesOf(wet, shares)
	most := fewStates
	for _, s := range shares {
		if s.shared && s.gamma == nil {
			most = someStates
		}
	}
	states, err := reach(wet, axes, most)
	if err == nil {
		sortStates(axes, states)
		return gather(axes, states, 0)
	}
	for i, s := range shares {
		if s.gamma != nil {
			return mixRates(wet, shares, i)
		}
	}
	if d, err := mixCarried(wet, shares); err == nil {
		return d, nil
	}
	if states, err = reach(wet, axes, MaxStates); err != nil {
		return PMF{}, err
	}
	sortStates(axes, states)
	return gather(axes, states, 0)
}

const (
	// fewStates is how many states are gone through before integrating a rate out
	// is quicker, and someStates where unknown chances make that slow as well.
	fewStates, someStates = 2048, 1 << 14
)

// axesOf groups shares with proportional amounts.
func axesOf(wet []float64, shares []share) []*axis {
	var axes []*axis
next:
	for _, s := range shares {
		add := make([]int64, len(wet))
		most := 0.0
		for r, w := range wet {
			if w > 0 && w < 1 {
				most = max(most, s.amounts[r])
			}
		}
		for r, w := range wet {
			if w > 0 && w < 1 && most > 0 {
				add[r] = int64(math.Round(s.amounts[r] / most * keyScale))
			}
		}
		for _, a := range axes {
			if slices.Equal(a.add, add) {
				a.shares = append(a.shares, s)
				continue next
			}
		}
		axes = append(axes, &axis{add: add, shares: []share{s}, cache: map[int64]PMF{}})
	}
	if len(axes) <= maxAxes {
		return axes
	}
	whole := &axis{add: make([]int64, len(wet)), shares: shares, cache: map[int64]PMF{}}
	for r := range whole.add {
		whole.add[r] = 1 << (r % 63)
	}
	return []*axis{whole}
}

// reach returns every state with its chance, in the order of their keys; there may be
// at most so many.
func reach(wet []float64, axes []*axis, most int) ([]state, error) {
	if len(wet) > maxUnsettled {
		return nil, fmt.Errorf("wet: found %d rounds tied together by an unknown chance or rate, expected at most %d", len(wet), maxUnsettled)
	}
	start := state{weight: 1}
	for r, w := range wet {
		if w == 1 {
			start.pattern |= 1 << r
		}
	}
	at := map[stateKey]state{{}: start}
	for r, w := range wet {
		if w <= 0 || w >= 1 {
			continue
		}
		var add stateKey
		for i, a := range axes {
			add[i] = a.add[r]
		}
		if add == (stateKey{}) {
			continue
		}
		// In the order of the keys, so that sums round alike in every run.
		sorted := sortedStates(at)
		next := make(map[stateKey]state, 2*len(at))
		join := func(s state) {
			if old, ok := next[s.key]; ok {
				old.weight += s.weight
				s = old
			}
			next[s.key] = s
		}
		for _, s := range sorted {
			dry, rain := s, s
			dry.weight *= 1 - w
			rain.weight *= w
			rain.pattern |= 1 << r
			for i := range axes {
				rain.key[i] += add[i]
			}
			join(dry)
			join(rain)
		}
		if len(next) > most {
			return nil, fmt.Errorf("found more than %d weather states, expected fewer rounds of unsettled weather, or plans that are alike", most)
		}
		at = next
	}
	return sortedStates(at), nil
}

func sortedStates(at map[stateKey]state) []state {
	out := make([]state, 0, len(at))
	for _, s := range at {
		out = append(out, s)
	}
	slices.SortFunc(out, func(a, b state) int { return slices.Compare(a.key[:], b.key[:]) })
	return out
}

// sortStates orders the axes so that the one with most values is the last, which
// costs additions where the others cost convolutions, and the states by them.
func sortStates(axes []*axis, states []state) {
	count := make([]int, len(axes))
	for i := range axes {
		seen := map[int64]bool{}
		for _, s := range states {
			seen[s.key[i]] = true
		}
		count[i] = len(seen)
	}
	order := make([]int, len(axes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return count[a] - count[b] })
	before := slices.Clone(axes)
	for i, o := range order {
		axes[i] = before[o]
	}
	for j := range states {
		var key stateKey
		for i, o := range order {
			key[i] = states[j].key[o]
		}
		states[j].key = key
	}
	slices.SortFunc(states, func(a, b state) int { return slices.Compare(a.key[:], b.key[:]) })
}

// value returns what the axis's shares need together in a state.
func (a *axis) value(key int64, p pattern) (PMF, error) {
	if d, ok := a.cache[key]; ok {
		return d, nil
	}
	total := Point(0)
	for _, s := range a.shares {
		d, err := s.given(p.wetOf(s.amounts))
		if err != nil {
			return PMF{}, err
		}
		if total, err = Convolve(total, d); err != nil {
			return PMF{}, err
		}
	}
	a.cache[key] = total
	return total, nil
}

// gather returns the sum over the states of their weight times the convolution of
// their axes from depth on.
func gather(axes []*axis, states []state, depth int) (PMF, error) {
	var weights []float64
	var of []PMF
	for i := 0; i < len(states); {
		j := i
		for j < len(states) && states[j].key[depth] == states[i].key[depth] {
			j++
		}
		d, err := axes[depth].value(states[i].key[depth], states[i].pattern)
		if err != nil {
			return PMF{}, err
		}
		weight := 1.0
		if depth == len(axes)-1 {
			weight = states[i].weight
		} else {
			rest, err := gather(axes, states[i:j], depth+1)
			if err != nil {
				return PMF{}, err
			}
			if d, err = Convolve(d, rest); err != nil {
				return PMF{}, err
			}
		}
		weights, of = append(weights, weight), append(of, d)
		i = j
	}
	return Mix(weights, of)
}
