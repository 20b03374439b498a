package order_test

import (
	"bufio"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/order"
)

// modelsTo is a folder that TestWriteJointModels fills, for testdata/bench/joint/cbc.py.
var modelsTo = flag.String("models", "", "write the joint orders as mixed-integer models into this folder")

// TestWriteJointModels writes the benchmark's problems and the small ones of
// testdata/joint-optima.tsv in the LP format that CBC and GLPK read. Without -models it
// checks one by eye: the model of a single part and period, written out by hand.
func TestWriteJointModels(t *testing.T) {
	t.Parallel()
	one := order.JointProblem{Shipping: 9, Parts: []order.LotProblem{{Demand: []int{4}, OrderCost: []float64{2}, Holding: []float64{0.5}, Price: []float64{3},
		Pack: 3, Minimum: 4, Breaks: []order.LotBreak{{From: 6, Price: 2}}}}}
	path := filepath.Join(t.TempDir(), "one.lp")
	writeModel(t, path, one)
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	// a step of 1 to 5 has no whole packs of at least 4, so the other is the only one
	require.Equal(t, `Minimize
 cost: +9 y0 +2 z0_0_1 +6 n0_0_1 +0.5 s0_0
Subject To
 + 3 n0_0_1 - s0_0 = 4
 + 3 n0_0_1 - 6 z0_0_1 >= 0
 + 3 n0_0_1 - 12 z0_0_1 <= 0
 + z0_0_1 - y0 <= 0
 + z0_0_1 <= 1
General
 n0_0_1
Binary
 y0
 z0_0_1
End
`, string(got))
	if *modelsTo == "" {
		return
	}
	for _, size := range jointSizes {
		for seed := uint64(1); seed <= jointSeeds; seed++ {
			writeModel(t, filepath.Join(*modelsTo, fmt.Sprintf("bench-%dx%d-%d.lp", size[0], size[1], seed)), supplier(seed, size[0], size[1]))
		}
	}
	for i, p := range smallJoint() {
		writeModel(t, filepath.Join(*modelsTo, fmt.Sprintf("small-%03d.lp", i)), p)
	}
}

// writeModel writes a joint problem: a period may order (y), pays the shipping unless it
// is free (f); a part orders in at most one price step (z) a number of packs (n), and
// keeps a stock (s). It knows nothing of the solver: the steps are taken from the prices
// here anew.
func writeModel(t *testing.T, path string, p order.JointProblem) {
	t.Helper()
	file, err := os.Create(path)
	require.NoError(t, err)
	w := bufio.NewWriter(file)
	say := func(format string, args ...any) { fmt.Fprintf(w, format, args...) }
	periods := len(p.Parts[0].Demand)
	var binary, general []string
	say("Minimize\n cost:")
	for k := range periods {
		say(" %+g y%d", p.Shipping, k)
		binary = append(binary, fmt.Sprintf("y%d", k))
		if p.FreeFrom != nil {
			say(" %+g f%d", -p.Shipping, k)
			binary = append(binary, fmt.Sprintf("f%d", k))
		}
	}
	for i, part := range p.Parts {
		for k := range periods {
			for _, st := range modelSteps(p, part, k) {
				say(" %+g z%d_%d_%d %+g n%d_%d_%d", part.OrderCost[k]+st.fixed, i, k, st.index, st.each*float64(part.Pack), i, k, st.index)
				binary = append(binary, fmt.Sprintf("z%d_%d_%d", i, k, st.index))
				general = append(general, fmt.Sprintf("n%d_%d_%d", i, k, st.index))
			}
			say(" %+g s%d_%d", part.Holding[k], i, k)
		}
	}
	say("\nSubject To\n")
	for i, part := range p.Parts {
		for k := range periods {
			steps := modelSteps(p, part, k)
			right := part.Demand[k]
			for _, st := range steps {
				say(" + %d n%d_%d_%d", part.Pack, i, k, st.index)
			}
			if k > 0 {
				say(" + s%d_%d", i, k-1)
			} else {
				right -= part.Start
			}
			say(" - s%d_%d = %d\n", i, k, right)
			for _, st := range steps {
				say(" + %d n%d_%d_%d - %d z%d_%d_%d >= 0\n", part.Pack, i, k, st.index, st.low, i, k, st.index)
				say(" + %d n%d_%d_%d - %d z%d_%d_%d <= 0\n", part.Pack, i, k, st.index, st.high, i, k, st.index)
				say(" + z%d_%d_%d - y%d <= 0\n", i, k, st.index, k)
			}
			if len(steps) > 0 {
				for _, st := range steps {
					say(" + z%d_%d_%d", i, k, st.index)
				}
				say(" <= 1\n")
			}
		}
	}
	for k := range periods {
		if p.FreeFrom == nil {
			break
		}
		for i, part := range p.Parts {
			for _, st := range modelSteps(p, part, k) {
				say(" %+g n%d_%d_%d %+g z%d_%d_%d", st.each*float64(part.Pack), i, k, st.index, st.fixed, i, k, st.index)
			}
		}
		say(" - %v f%d >= 0\n f%d - y%d <= 0\n", *p.FreeFrom, k, k, k)
	}
	say("General\n")
	for _, name := range general {
		say(" %s\n", name)
	}
	say("Binary\n")
	for _, name := range binary {
		say(" %s\n", name)
	}
	say("End\n")
	require.NoError(t, w.Flush())
	require.NoError(t, file.Close())
}

// modelStep is a price step in units: low..high at fixed + each.
type modelStep struct {
	index, low, high int
	fixed, each      float64
}

// modelSteps returns the steps of a part in a period that hold whole packs of at least
// the minimum. The last one ends where more is never worth it: all that is needed, and
// as much more as reaches a step, the minimum or free shipping.
func modelSteps(p order.JointProblem, part order.LotProblem, k int) (out []modelStep) {
	end, least := 0, math.Inf(1)
	for _, d := range part.Demand {
		end += d
	}
	top := part.Minimum
	for _, price := range part.Price {
		least = min(least, price)
	}
	for _, b := range part.Breaks {
		top, least = max(top, b.From), min(least, b.Price)
	}
	if p.FreeFrom != nil && least > 0 {
		top += int(p.Shipping/least) + 1
	}
	end += top + part.Pack
	end -= end % part.Pack
	for i := -1; i < len(part.Breaks); i++ {
		st := modelStep{index: i + 1, low: 1, high: end, each: part.Price[k]}
		if i >= 0 {
			st.low, st.each = part.Breaks[i].From, part.Breaks[i].Price
		}
		if i+1 < len(part.Breaks) {
			st.high = min(st.high, part.Breaks[i+1].From-1)
		}
		if part.Incremental && i >= 0 {
			st.fixed = part.Goods(k, st.low) - st.each*float64(st.low)
		}
		st.low = (max(st.low, part.Minimum) + part.Pack - 1) / part.Pack * part.Pack
		st.high -= st.high % part.Pack
		if st.low <= st.high {
			out = append(out, st)
		}
	}
	return out
}
