package spring

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner/demand"
)

func ride(chance float64, riders ...Rider) Round { return Round{{Chance: chance, Riders: riders}} }

func TestNeedByHand(t *testing.T) {
	t.Parallel()
	poisson, err := demand.Poisson(0.1)
	require.NoError(t, err)
	cases := map[string]struct {
		rounds   []Round
		breakage demand.PMF
		at       map[int]float64
		mean     float64
	}{
		// by hand: two riders with chance 1/2, then one for certain; the larger of the two
		"larger of two rounds": {[]Round{ride(1, Rider{0.5, 1}, Rider{0.5, 1}), ride(1, Rider{1, 1}, Rider{0, 1})},
			demand.PMF{}, map[int]float64{0: 0, 1: 0.75, 2: 0.25}, 1.25},
		// by hand: bikes of one rider change together
		"two bikes each": {[]Round{ride(1, Rider{0.5, 2}, Rider{0.5, 2})}, demand.PMF{},
			map[int]float64{0: 0.25, 1: 0, 2: 0.5, 4: 0.25}, 2},
		// by hand: the track decides for everyone
		"one track": {[]Round{{{0.5, []Rider{{1, 2}, {1, 2}}}, {0.5, []Rider{{0, 2}, {0, 2}}}}}, demand.PMF{},
			map[int]float64{0: 0.5, 4: 0.5}, 2},
		// contract SPRING-02, computed by an independent program
		"with breakage": {[]Round{ride(1, Rider{0.9, 1}, Rider{0.8, 1}, Rider{0.1, 1}, Rider{0.1, 1}),
			ride(1, Rider{1, 1}, Rider{0.5, 1}, Rider{0.5, 1}, Rider{0, 1})}, poisson, nil, 2.40415},
		"no rounds": {nil, demand.PMF{}, map[int]float64{0: 1}, 0},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			d, err := Need(c.rounds, c.breakage)
			require.NoError(t, err)
			require.InDelta(t, 1, d.Total(), 1e-12)
			require.InDelta(t, c.mean, d.Mean(), 1e-9)
			for v, p := range c.at {
				require.InDelta(t, p, d.At(v), 1e-12)
			}
		})
	}
}

// Riders choosing one by one, seeded: the mean within four standard errors, and the
// need between the largest round's and the sum over rounds.
func TestNeedAgainstSimulation(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		rounds := make([]Round, rapid.IntRange(1, 4).Draw(t, "rounds"))
		for i := range rounds {
			steep := rapid.Float64Range(0, 1).Draw(t, "steep")
			for _, chance := range []float64{steep, 1 - steep} {
				r := Ride{Chance: chance}
				for range rapid.IntRange(0, 4).Draw(t, "riders") {
					r.Riders = append(r.Riders, Rider{rapid.Float64Range(0, 1).Draw(t, "p"), rapid.IntRange(0, 2).Draw(t, "bikes")})
				}
				rounds[i] = append(rounds[i], r)
			}
		}
		d, err := Need(rounds, demand.PMF{})
		require.NoError(t, err)
		rng := rand.New(rand.NewPCG(11, 0))
		const draws = 1000
		sum := 0.0
		for range draws {
			most := 0
			for _, round := range rounds {
				r := round[0]
				if rng.Float64() >= r.Chance {
					r = round[1]
				}
				wanted := 0
				for _, rider := range r.Riders {
					if rng.Float64() < rider.P {
						wanted += rider.Bikes
					}
				}
				most = max(most, wanted)
			}
			sum += float64(most)
		}
		require.InDelta(t, d.Mean(), sum/draws, 5*d.SD()/math.Sqrt(draws)+0.02)
		total := 0.0
		for _, r := range rounds {
			w, err := r.Wanted()
			require.NoError(t, err)
			require.GreaterOrEqual(t, d.Mean(), w.Mean()-1e-12)
			total += w.Mean()
		}
		require.LessOrEqual(t, d.Mean(), total+1e-12)
	})
}

func TestRefused(t *testing.T) {
	t.Parallel()
	_, err := Need([]Round{ride(0.5, Rider{0.5, 1})}, demand.PMF{})
	require.ErrorContains(t, err, "round 1: chances of the rides: found a sum of 0.5")
	_, err = Need([]Round{{{2, []Rider{{math.NaN(), 1}, {0.5, 101}}}}}, demand.PMF{})
	require.ErrorContains(t, err, "ride 1: found a chance of 2")
	require.ErrorContains(t, err, "rider 1: found a chance of NaN")
	require.ErrorContains(t, err, "rider 2: found 101 bikes")
}
