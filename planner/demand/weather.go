package demand

import (
	"fmt"
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
// each value that it sees. Too many states for that: see mixStates.
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
		side, err := sides(shares, r, w)
		if err != nil {
			return PMF{}, err
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

// sides returns what the shares need in a round if it is dry and if it is wet; a side
// without a chance is left at 0.
func sides(shares []share, r int, w float64) (side [2]PMF, err error) {
	side = [2]PMF{Point(0), Point(0)}
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
				return side, err
			}
			if side[k], err = Convolve(side[k], d); err != nil {
				return side, err
			}
		}
	}
	return side, nil
}
