package demand

import "fmt"

// mixRates is for needs with more weather states than can be gone through.
func mixRates(wet []float64, shares []share) (PMF, error) {
	return PMF{}, fmt.Errorf("found more than %d weather states, expected fewer rounds or plans that are alike", MaxStates)
}
