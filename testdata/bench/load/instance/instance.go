// Package instance makes load problems of any size for benchmarks, writes them as a
// mixed-integer programme, and reckons a load's value from its quantities alone.
//
// Needs are Poisson and binomial or, mixed, 30 % of the parts are taken in singles and
// fours, so that the logarithm of the chance is not concave. Masses, rooms and prices
// spread over two powers of ten; the limits leave about 95 % readiness or a little more.
// Own generator: the same numbers give the same problem.
package instance

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"roundkit/planner/demand"
	"roundkit/planner/load"
)

// Limits names the rows, the first so many of which limit a problem.
var Limits = []string{"kg", "litres", "money"}

// New makes a problem.
func New(parts, limits int, mixed bool, seed uint64) (load.Wish, error) {
	rng := rand.New(rand.NewPCG(seed, uint64(parts*10+limits)))
	w := load.Wish{Limits: map[string]float64{}}
	names := Limits[:limits]
	each := math.Pow(0.95, 1/float64(parts))
	for range parts {
		s := load.Supply{Container: 1, Uses: map[string]float64{}}
		var err error
		if s.Need, err = need(rng, mixed); err != nil {
			return load.Wish{}, err
		}
		q := s.Need.Quantile(each)
		s.Available = q + 4
		kg := 0.005 * math.Pow(100, rng.Float64())
		s.Uses["kg"] = math.Round(kg*1e4) / 1e4
		s.Uses["litres"] = math.Round(kg*(0.5+2*rng.Float64())*1e4) / 1e4
		s.Uses["money"] = math.Round(math.Pow(100, rng.Float64())*100) / 100
		for _, n := range names {
			w.Limits[n] += s.Uses[n] * float64(q)
		}
		w.Supplies = append(w.Supplies, s)
	}
	for _, n := range names {
		w.Limits[n] = math.Round(w.Limits[n]*(0.93+0.06*rng.Float64())*1e3) / 1e3
	}
	return w, nil
}

func need(rng *rand.Rand, mixed bool) (demand.PMF, error) {
	mean := 0.1 * math.Pow(100, rng.Float64())
	switch {
	case mixed && rng.Float64() < 0.3:
		count, err := demand.Poisson(mean / 2.5)
		size, err2 := demand.Discrete([]float64{0, 0.5, 0, 0, 0.5})
		if err := errors.Join(err, err2); err != nil {
			return demand.PMF{}, err
		}
		return demand.Compound(count, size)
	case rng.IntN(2) == 0:
		return demand.Poisson(mean)
	}
	n := int(math.Ceil(mean * (1.5 + 4*rng.Float64())))
	return demand.Binomial(n, mean/float64(n))
}

// Log is the logarithm of the chance that q pieces are enough, by the tail where that has
// more digits.
func Log(s load.Supply, q int) float64 {
	if f := s.Need.CDF(q); f < 0.5 {
		return math.Log(f)
	}
	return math.Log1p(-s.Need.Survival(q + 1))
}

// Check reckons a load from its quantities alone: its log readiness, or what is wrong.
func Check(w load.Wish, quantity []int) (float64, error) {
	if len(quantity) != len(w.Supplies) {
		return 0, fmt.Errorf("found %d quantities, expected %d", len(quantity), len(w.Supplies))
	}
	value := 0.0
	use := map[string]float64{}
	for i, s := range w.Supplies {
		if quantity[i] < 0 || quantity[i] > s.Available {
			return 0, fmt.Errorf("part %d: found %d, expected 0 to %d", i, quantity[i], s.Available)
		}
		value += Log(s, quantity[i])
		for n := range w.Limits {
			use[n] += s.Uses[n] * float64(quantity[i])
		}
	}
	for _, n := range slices.Sorted(maps.Keys(w.Limits)) {
		if use[n] > w.Limits[n]+1e-6 {
			return 0, fmt.Errorf("%s: found %v, expected at most %v", n, use[n], w.Limits[n])
		}
	}
	return value, nil
}

// Scale is what the objective is multiplied by: unscaled, steps of the log readiness fall
// below a solver's tolerance.
const Scale = 1e5

// WriteLP writes the problem in the LP format: x_i_q is 1 where q containers of part i go.
func WriteLP(to io.Writer, w load.Wish) error {
	out := bufio.NewWriter(to)
	names := slices.Sorted(maps.Keys(w.Limits))
	row := map[string]*strings.Builder{}
	for _, n := range names {
		row[n] = &strings.Builder{}
	}
	var sums, binary strings.Builder
	fmt.Fprintln(out, "Maximize\n obj:")
	for i, s := range w.Supplies {
		fmt.Fprintf(&sums, " c%d:", i)
		for q := 0; q <= s.Available; q++ {
			v := Log(s, q) * Scale
			if math.IsInf(v, -1) {
				continue
			}
			fmt.Fprintf(out, " %+.17g x_%d_%d\n", v, i, q)
			fmt.Fprintf(&sums, " + x_%d_%d", i, q)
			fmt.Fprintf(&binary, " x_%d_%d\n", i, q)
			for _, n := range names {
				if q > 0 {
					fmt.Fprintf(row[n], " + %.17g x_%d_%d\n", s.Uses[n]*float64(q), i, q)
				}
			}
		}
		fmt.Fprintln(&sums, " = 1")
	}
	fmt.Fprintln(out, "Subject To")
	for _, n := range names {
		fmt.Fprintf(out, " %s:%s <= %.17g\n", n, row[n], w.Limits[n])
	}
	fmt.Fprintf(out, "%sBinaries\n%sEnd\n", &sums, &binary)
	return out.Flush()
}
