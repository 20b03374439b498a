package demand

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// unevenNeed has rounds that are all unlike, with an unknown chance and unknown rates.
func unevenNeed(rounds int) Need {
	rng := splitmix(9)
	n := Need{Wet: repeat(0.3, rounds)}
	jobs, others, days, leaks := make([]int, rounds), make([]int, rounds), make([]float64, rounds), make([]float64, rounds)
	for r := range rounds {
		jobs[r], others[r] = int(rng.next()*20), int(rng.next()*6)
		days[r], leaks[r] = 20*rng.next(), 5*rng.next()
	}
	line := func(dry, wet float64) Line {
		return Line{Kind: Chanced, Quantity: 2, Dry: Chance{P: dry}, Wet: &Chance{P: wet}}
	}
	unknown := line(0, 0.7)
	unknown.Dry = Chance{A: 5, B: 15}
	n.Services = []Service{
		{Jobs: jobs, Lines: []Line{unknown}},
		{Jobs: others, Lines: []Line{line(0.1, 0.2)}},
		{Unplanned: &Unplanned{Exposure: days, Rate: Rate{Alpha: 3, Beta: 60}, WetFactor: 1.5}, Lines: []Line{line(0.5, 0.8)}},
		{Unplanned: &Unplanned{Exposure: leaks, Rate: Rate{Value: 0.05}, WetFactor: 1.2}, Lines: []Line{{Quantity: 1}}},
	}
	return n
}

// Integrating the rate out, carrying the free shares along, and going through every
// state are three roads to one law.
func TestThreeRoadsToOneNeed(t *testing.T) {
	t.Parallel()
	for _, rate := range []Rate{{Alpha: 3, Beta: 60}, {Alpha: 0.3, Beta: 5}, {Alpha: 150, Beta: 900}} {
		n := unevenNeed(6)
		n.Services[2].Unplanned.Rate = rate
		want := plainNeed(t, n)
		shares, err := n.shares(1)
		require.NoError(t, err)
		states, err := mixStates(n.Wet, shares)
		require.NoError(t, err)
		requireSame(t, want, states, 1e-12)
		for i, s := range shares {
			if s.gamma != nil {
				rates, err := mixRates(n.Wet, shares, i)
				require.NoError(t, err)
				requireSame(t, want, rates, 1e-12)
				checkPMF(t, rates)
			}
		}
		carried, err := mixCarried(n.Wet, shares)
		require.NoError(t, err)
		requireSame(t, want, carried, 1e-12)
	}
}

// Twenty rounds that are all unlike, the most that the contract asks for: the mean and
// the variance are those of the law of total variance.
func TestTwentyUnlikeRounds(t *testing.T) {
	t.Parallel()
	n := unevenNeed(20)
	n.Services = n.Services[1:] // the unknown chance too takes about ten seconds
	d, err := n.Distribution()
	require.NoError(t, err)
	checkPMF(t, d.PMF)
	mean, variance, err := n.Moments()
	require.NoError(t, err)
	require.InEpsilon(t, mean, d.Mean(), 1e-11)
	require.InEpsilon(t, variance, d.SD()*d.SD(), 1e-9)
}
