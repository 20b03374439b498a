package demand

import (
	"fmt"
	"math"
	"slices"
)

// Distribution returns the need, exact to better than 1e-9 in each probability.
//
// Round r is wet with chance Wet[r], independently of other rounds: one draw for
// all services and jobs of the round. Everything is independent given the weather
// and the unknown chances and rates, and each of these is one number for all the
// rounds given: a Beta chance for all dry jobs of a line, another for all wet ones,
// a Gamma rate for an unplanned service. The need is the mixture over the weather.
//
// Where no unknown ties the rounds together, each round's own mixture is convolved.
// Else the state is how much of each service is in wet rounds: the states' chances
// come from one pass over the rounds, and each share's distribution is made once for
// each value that it sees. Too many states for that: see quadrature.
//
// The grid of the answer is n.Step (1 if 0).
func (n Need) Distribution() (Lattice, error) {
	if err := n.Validate(); err != nil {
		return Lattice{}, err
	}
	shares, err := n.shares(n.step())
	if err != nil {
		return Lattice{}, err
	}
	d, err := mixWeather(n.Wet, shares)
	if err != nil {
		return Lattice{}, fmt.Errorf("need: %w", err)
	}
	return Lattice{PMF: d, Step: n.step()}, nil
}

// mixWeather returns the sum of the shares, mixed over the weather of the rounds.
func mixWeather(wet []float64, shares []share) (PMF, error) {
	var certain []PMF
	var open []share
	shared := false
	for _, s := range shares {
		if s.random(wet) {
			open = append(open, s)
			shared = shared || s.shared
			continue
		}
		d, err := s.given(s.surelyWet(wet))
		if err != nil {
			return PMF{}, err
		}
		certain = append(certain, d)
	}
	var mixed PMF
	var err error
	switch {
	case len(open) == 0:
		mixed = Point(0)
	case shared:
		mixed, err = mixStates(wet, open)
	default:
		mixed, err = mixRounds(wet, open)
	}
	if err != nil {
		return PMF{}, err
	}
	slices.SortFunc(certain, func(a, b PMF) int { return len(a.P) - len(b.P) })
	return Sum(append([]PMF{mixed}, certain...)...)
}

// random tells whether unsettled weather touches the share.
func (s share) random(wet []float64) bool {
	if !s.weather {
		return false
	}
	for r, w := range wet {
		if w > 0 && w < 1 && s.amounts[r] > 0 {
			return true
		}
	}
	return false
}

// surelyWet returns the amount in rounds that are wet for certain.
func (s share) surelyWet(wet []float64) float64 {
	sum := 0.0
	for r, w := range wet {
		if w == 1 {
			sum += s.amounts[r]
		}
	}
	return sum
}

// mixRounds convolves each round's mixture of its dry and its wet need.
func mixRounds(wet []float64, shares []share) (PMF, error) {
	total := Point(0)
	for r, w := range wet {
		side := [2]PMF{Point(0), Point(0)}
		for k, weight := range []float64{1 - w, w} {
			if weight == 0 {
				continue
			}
			for _, s := range shares {
				amount := [2]float64{}
				amount[k] = s.amounts[r]
				if amount[k] == 0 {
					continue
				}
				d, err := s.split(amount[0], amount[1])
				if err != nil {
					return PMF{}, err
				}
				if side[k], err = Convolve(side[k], d); err != nil {
					return PMF{}, err
				}
			}
		}
		round, err := Mix([]float64{1 - w, w}, side[:])
		if err != nil {
			return PMF{}, err
		}
		if total, err = Convolve(total, round); err != nil {
			return PMF{}, err
		}
	}
	return total, nil
}

// MaxStates is the most weather states that are gone through one by one.
const MaxStates = 1 << 20

// keyScale makes a state a whole number: amounts are divided by the axis's largest
// and kept to this fraction, so that sums in another order are the same state.
const keyScale = 1e12

// axis is a set of shares whose amounts are proportional in all unsettled rounds:
// one number, the wet part, settles them all.
type axis struct {
	unit   []float64 // of each round, largest 1
	shares []share
	cache  map[int64]PMF
}

// maxAxes bounds the length of a state.
const maxAxes = 12

type stateKey [maxAxes]int64

type state struct {
	key    stateKey
	weight float64
}

// mixStates sums over the states of the wet parts.
func mixStates(wet []float64, shares []share) (PMF, error) {
	axes, err := axesOf(wet, shares)
	if err != nil {
		return PMF{}, err
	}
	states, ok := reach(wet, axes)
	if !ok {
		return mixRates(wet, shares)
	}
	return gather(axes, states, wet, 0)
}

// axesOf groups shares with proportional amounts.
func axesOf(wet []float64, shares []share) ([]*axis, error) {
	var axes []*axis
next:
	for _, s := range shares {
		unit := make([]float64, len(wet))
		most := 0.0
		for r, w := range wet {
			if w > 0 && w < 1 {
				unit[r] = s.amounts[r]
				most = max(most, unit[r])
			}
		}
		for r := range unit {
			unit[r] /= most
		}
		for _, a := range axes {
			if sameUnit(a.unit, unit) {
				a.shares = append(a.shares, s)
				continue next
			}
		}
		axes = append(axes, &axis{unit: unit, shares: []share{s}, cache: map[int64]PMF{}})
	}
	if len(axes) > maxAxes {
		return nil, fmt.Errorf("found %d services with unlike plans on one part, expected at most %d", len(axes), maxAxes)
	}
	return axes, nil
}

func sameUnit(a, b []float64) bool {
	for r := range a {
		if math.Abs(a[r]-b[r]) > 1/keyScale {
			return false
		}
	}
	return true
}

// reach returns every state with its chance, sorted by key, or false if there are
// more than MaxStates.
func reach(wet []float64, axes []*axis) ([]state, bool) {
	at := map[stateKey]float64{{}: 1}
	for r, w := range wet {
		if w <= 0 || w >= 1 {
			continue
		}
		var add stateKey
		touched := false
		for i, a := range axes {
			add[i] = int64(math.Round(a.unit[r] * keyScale))
			touched = touched || add[i] != 0
		}
		if !touched {
			continue
		}
		next := make(map[stateKey]float64, 2*len(at))
		for k, p := range at {
			next[k] += p * (1 - w)
			for i := range axes {
				k[i] += add[i]
			}
			next[k] += p * w
		}
		if len(next) > MaxStates {
			return nil, false
		}
		at = next
	}
	states := make([]state, 0, len(at))
	for k, p := range at {
		states = append(states, state{k, p})
	}
	return sortStates(axes, states), true
}

// sortStates orders the axes so that the one with most values is the last, which
// costs additions where the others cost convolutions, and sorts the states.
func sortStates(axes []*axis, states []state) []state {
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
	sorted := slices.Clone(axes)
	for i, o := range order {
		axes[i] = sorted[o]
	}
	for j := range states {
		var key stateKey
		for i, o := range order {
			key[i] = states[j].key[o]
		}
		states[j].key = key
	}
	slices.SortFunc(states, func(a, b state) int { return slices.Compare(a.key[:], b.key[:]) })
	return states
}

// value returns the axis's need at one state.
func (a *axis) value(key int64, wet []float64) (PMF, error) {
	if d, ok := a.cache[key]; ok {
		return d, nil
	}
	total := Point(0)
	for _, s := range a.shares {
		most := 0.0
		for r, w := range wet {
			if w > 0 && w < 1 {
				most = max(most, s.amounts[r])
			}
		}
		d, err := s.given(min(s.total, s.surelyWet(wet)+most*float64(key)/keyScale))
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
func gather(axes []*axis, states []state, wet []float64, depth int) (PMF, error) {
	var weights []float64
	var of []PMF
	for i := 0; i < len(states); {
		j := i
		for j < len(states) && states[j].key[depth] == states[i].key[depth] {
			j++
		}
		d, err := axes[depth].value(states[i].key[depth], wet)
		if err != nil {
			return PMF{}, err
		}
		weight := 1.0
		if depth == len(axes)-1 {
			weight = states[i].weight
		} else {
			rest, err := gather(axes, states[i:j], wet, depth+1)
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
