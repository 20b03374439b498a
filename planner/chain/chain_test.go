package chain_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner/chain"
	"roundkit/planner/demand"
)

// The invented season's foot nut seals by hand: 51 in the truck, the trip before takes 40 for
// certain, so 11 are left; the workshop has 60 and uses 16 at home; the trip takes 32.
func TestFootNutSeals(t *testing.T) {
	t.Parallel()
	left, err := chain.Line{
		With: []chain.Layer{{Amount: 51, Good: chain.Forever}}, Base: []chain.Layer{{Amount: 60, Good: chain.Forever}},
		Legs: []chain.Leg{
			{With: true, Use: []demand.PMF{demand.Point(40)}},
			{Use: []demand.PMF{demand.Point(16)}},
		},
		Weights: []float64{1}, Confidence: 0.95,
	}.Walk()
	require.NoError(t, err)
	require.Equal(t, demand.Point(11), left.With[0])
	require.Equal(t, demand.Point(44), left.Base[0])
	gap, err := left.Gap([]demand.PMF{demand.Point(32)})
	require.NoError(t, err)
	need := gap.Need()
	require.Equal(t, 51, left.There)
	require.InDelta(t, 0, need.CDF(51+20), 1e-15, "11 left and 20 packed are one too few")
	require.InDelta(t, 1, need.CDF(51+21), 1e-15)
}

// What keeps, what comes and what is moved, by hand. Six are with the trip, two of them not
// good for the second leg; one comes before it. Leg 1 wants 4 or 7, evenly; it may have 3 of
// base, which has 2 for certain: 2 are moved (at 95 %, 8 - 7 would do: one). So leg 1 has 7
// with one moved: 3 or 0 are left. Before leg 2 one comes; 3 + 1 is no more than the five that
// keep (four, one moved... and one come are six). Leg 2 uses 1.
func TestLayersByHand(t *testing.T) {
	t.Parallel()
	half := demand.PMF{From: 4, P: []float64{0.5, 0, 0, 0.5}}
	left, err := chain.Line{
		With:    []chain.Layer{{Amount: 4, Good: chain.Forever}, {Amount: 2, Good: 1}, {Amount: 1, Good: chain.Forever, From: 1}},
		Base:    []chain.Layer{{Amount: 2, Good: chain.Forever}},
		Legs:    []chain.Leg{{With: true, Join: true, Use: []demand.PMF{half}}, {With: true, Use: []demand.PMF{demand.Point(1)}}},
		Weights: []float64{1}, Confidence: 0.95,
	}.Walk()
	require.NoError(t, err)
	require.Equal(t, []int{1, 0}, left.Moved)
	require.InDelta(t, 0.5, left.With[0].At(0), 1e-15)
	require.InDelta(t, 0.5, left.With[0].At(3), 1e-15)
	require.Equal(t, demand.Point(1), left.Base[0])
	require.Equal(t, 6, left.There)
}

// drawn is a small chain, and the same walked outcome by outcome.
type drawn struct {
	line chain.Line
	use  []demand.PMF // of the trip
}

func drawUse(t *rapid.T, name string, nodes int) []demand.PMF {
	use := make([]demand.PMF, nodes)
	for i := range use {
		p := rapid.SliceOfN(rapid.IntRange(0, 4), 1, 4).Draw(t, name)
		total := 0
		for _, x := range p {
			total += x
		}
		d := demand.PMF{From: rapid.IntRange(0, 3).Draw(t, name+" from")}
		for _, x := range p {
			if total == 0 {
				d.P = []float64{1}
				break
			}
			d.P = append(d.P, float64(x)/float64(total))
		}
		use[i] = d
	}
	return use
}

func draw(t *rapid.T) drawn {
	nodes := rapid.IntRange(1, 2).Draw(t, "nodes")
	d := drawn{line: chain.Line{Confidence: rapid.SampledFrom([]float64{0.5, 0.9}).Draw(t, "confidence")}}
	d.line.Weights = map[int][]float64{1: {1}, 2: {0.25, 0.75}}[nodes]
	legs := rapid.IntRange(0, 3).Draw(t, "legs")
	for range legs {
		leg := chain.Leg{With: rapid.Bool().Draw(t, "with"), Join: rapid.Bool().Draw(t, "join"), Use: drawUse(t, "use", nodes)}
		d.line.Legs = append(d.line.Legs, leg)
	}
	layers := func(name string) (all []chain.Layer) {
		for range rapid.IntRange(0, 3).Draw(t, name+" layers") {
			l := chain.Layer{Amount: rapid.IntRange(0, 5).Draw(t, name), Good: chain.Forever, From: rapid.IntRange(0, legs).Draw(t, name+" from")}
			if l.From == 0 && rapid.Bool().Draw(t, name+" ages") {
				l.Good = rapid.IntRange(0, legs).Draw(t, name+" good")
			}
			all = append(all, l)
		}
		return all
	}
	d.line.With, d.line.Base = layers("with"), layers("base")
	d.use = drawUse(t, "own use", nodes)
	return d
}

// lot is stock of one age while one outcome is played.
type lot struct{ amount, good int }

// take uses some of a store, what goes first first (or what keeps longest), and returns what
// is left of it.
func take(store []lot, use int, longest bool) []lot {
	for use > 0 {
		at := -1
		for i, l := range store {
			if l.amount > 0 && (at < 0 || (l.good < store[at].good) != longest) {
				at = i
			}
		}
		if at < 0 {
			return store
		}
		n := min(use, store[at].amount)
		store[at].amount -= n
		use -= n
	}
	return store
}

// play walks one outcome with lots in drawers, and says whether the trip has enough after c
// are packed and more come from elsewhere.
func (d drawn) play(uses []int, own, c, more int, moved []int) bool {
	with, base := []lot{}, []lot{}
	turn := func(leg int) {
		for _, l := range d.line.With {
			if l.From == leg {
				with = append(with, lot{l.Amount, l.Good})
			}
		}
		for _, l := range d.line.Base {
			if l.From == leg {
				base = append(base, lot{l.Amount, l.Good})
			}
		}
		gone := func(store []lot) {
			for i := range store {
				if store[i].good <= leg {
					store[i].amount = 0
				}
			}
		}
		gone(with)
		gone(base)
	}
	for k, leg := range d.line.Legs {
		turn(k)
		with = append(with, lot{moved[k], chain.Forever})
		base = take(base, moved[k], true)
		if leg.With {
			with = take(with, uses[k], false)
		} else {
			base = take(base, uses[k], false)
		}
	}
	turn(len(d.line.Legs))
	sum := func(store []lot) (n int) {
		for _, l := range store {
			if l.good == chain.Forever {
				n += l.amount
			}
		}
		return n
	}
	return own <= sum(with)+min(c, sum(base))+more
}

// chance sums over every outcome of every leg, node by node.
func (d drawn) chance(c, more int, moved []int) float64 {
	total := 0.0
	for node, w := range d.line.Weights {
		uses := make([]int, len(d.line.Legs))
		var walk func(k int, p float64)
		walk = func(k int, p float64) {
			if k == len(uses) {
				own := d.use[node]
				for v := own.From; v <= own.Max(); v++ {
					if q := own.At(v); q > 0 && d.play(uses, v, c, more, moved) {
						total += w * p * q
					}
				}
				return
			}
			use := d.line.Legs[k].Use[node]
			for v := use.From; v <= use.Max(); v++ {
				if q := use.At(v); q > 0 {
					uses[k] = v
					walk(k+1, p*q)
				}
			}
		}
		walk(0, 1)
	}
	return total
}

// Every outcome played with lots in drawers: the chances are the same.
func TestAgainstEveryOutcome(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := draw(t)
		left, err := d.line.Walk()
		require.NoError(t, err)
		gap, err := left.Gap(d.use)
		require.NoError(t, err)
		need := gap.Need()
		require.InDelta(t, 1, need.Total(), 1e-12)
		for c := range left.Packable + 1 {
			require.InDelta(t, d.chance(c, 0, left.Moved), need.CDF(left.There+c), 1e-12, "packed %d, moved %v", c, left.Moved)
			for more := range 4 {
				require.InDelta(t, d.chance(c, more, left.Moved), gap.Enough(c, more), 1e-12, "packed %d, %d from elsewhere, moved %v", c, more, left.Moved)
			}
		}
	})
}
