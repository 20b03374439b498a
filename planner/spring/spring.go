// Package spring answers: how many springs of one rate are wanted at the same
// time on a trip?
//
// Method: springs are swapped, not used up, so the need is the largest number
// wanted at once over the rounds, never their sum. Riders choose, not forks: a
// rider who wants the rate wants it in all bikes of the round. One track pushes
// everyone, so riders are independent only given the ride (soft, usual, steep),
// which is one draw a round. Breakage comes on top. Rounds are independent.
// Source: own model; the maximum's law is elementary. Limits: the largest round
// plus all breakage is an upper bound, since what breaks late is not wanted early;
// a neighbouring rate that may stand in is not counted here.
package spring

import (
	"errors"
	"fmt"
	"math"

	"roundkit/planner/demand"
)

// Rider wants the rate with chance P, in all Bikes at once.
type Rider struct {
	P     float64
	Bikes int
}

// Ride is what a track may ask for, with its chance and each rider's choice then.
type Ride struct {
	Chance float64
	Riders []Rider
}

// Round is the rides that a round may be; their chances sum to 1.
type Round []Ride

// MaxBikes is the most bikes of one rider.
const MaxBikes = 100

// Wanted returns how many springs of the rate one round wants at once.
func (r Round) Wanted() (demand.PMF, error) {
	if err := r.validate(); err != nil {
		return demand.PMF{}, err
	}
	weights := make([]float64, 0, len(r))
	rides := make([]demand.PMF, 0, len(r))
	total := 0.0
	for _, ride := range r {
		total += ride.Chance
	}
	for i, ride := range r {
		d := demand.Point(0)
		for _, rider := range ride.Riders {
			one, err := demand.Mix([]float64{1 - rider.P, rider.P},
				[]demand.PMF{demand.Point(0), demand.Point(rider.Bikes)})
			if err != nil {
				return demand.PMF{}, fmt.Errorf("ride %d: %w", i+1, err)
			}
			if d, err = demand.Convolve(d, one); err != nil {
				return demand.PMF{}, fmt.Errorf("ride %d: %w", i+1, err)
			}
		}
		weights, rides = append(weights, ride.Chance/total), append(rides, d)
	}
	return demand.Mix(weights, rides)
}

func (r Round) validate() error {
	var faults []error
	total := 0.0
	for i, ride := range r {
		if !(ride.Chance >= 0 && ride.Chance <= 1) {
			faults = append(faults, fmt.Errorf("ride %d: found a chance of %v, expected 0 to 1", i+1, ride.Chance))
		}
		total += ride.Chance
		for j, rider := range ride.Riders {
			if !(rider.P >= 0 && rider.P <= 1) {
				faults = append(faults, fmt.Errorf("ride %d, rider %d: found a chance of %v, expected 0 to 1", i+1, j+1, rider.P))
			}
			if rider.Bikes < 0 || rider.Bikes > MaxBikes {
				faults = append(faults, fmt.Errorf("ride %d, rider %d: found %d bikes, expected 0 to %d", i+1, j+1, rider.Bikes, MaxBikes))
			}
		}
	}
	if len(faults) == 0 && !(math.Abs(total-1) <= demand.SumTolerance) {
		faults = append(faults, fmt.Errorf("chances of the rides: found a sum of %v, expected 1", total))
	}
	return errors.Join(faults...)
}

// Need returns how many springs of the rate a trip wants: the most wanted at once in
// a round, plus breakage (the zero PMF: none).
func Need(rounds []Round, breakage demand.PMF) (demand.PMF, error) {
	wanted := make([]demand.PMF, len(rounds))
	for i, r := range rounds {
		d, err := r.Wanted()
		if err != nil {
			return demand.PMF{}, fmt.Errorf("round %d: %w", i+1, err)
		}
		wanted[i] = d
	}
	most, err := demand.MaxOf(wanted...)
	if err != nil {
		return demand.PMF{}, err
	}
	return demand.Convolve(most, breakage)
}
