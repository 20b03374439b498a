package solve

import (
	"context"
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

var soak = flag.Bool("soak", false, "more random instances")

// smallPacking is a random instance: up to 3 cases, 8 items, rows of kilos and money, sizes
// of kilos and litres, classes that cases refuse and that are kept apart.
func smallPacking(rng *rand.Rand) *Packing {
	k := &Packing{}
	rows := 1 + rng.IntN(2)
	k.Limit = make([]float64, rows)
	total := make([]float64, rows)
	heavy := 1 + 2*rng.IntN(2) // with large pieces packings fail
	room := 0.0
	for range 1 + rng.IntN(8) {
		var it Item
		var of [][]Piece
		class := rng.IntN(4)
		value, kg := -4*rng.Float64(), math.Round(float64(heavy)*20*rng.Float64()+1)/10
		l, cost := math.Round(20*rng.Float64())/10, math.Round(5*rng.Float64())
		n := rng.IntN(4) / 3 // some must go
		for range 1 + rng.IntN(3) {
			line := []float64{kg * float64(n), cost * float64(n)}[:rows]
			it.Add(value, line)
			of = append(of, []Piece{{Size: []float64{kg, l}, Class: class, Count: n}})
			value, n = value+2*rng.Float64(), n+1+rng.IntN(2)
		}
		for j := range total {
			total[j] += it.Use[len(it.Use)-rows+j]
		}
		room += kg * float64(n)
		k.Items, k.Pieces = append(k.Items, it), append(k.Pieces, of)
	}
	for j := range total {
		k.Limit[j] = math.Round(total[j]*(0.2+0.9*rng.Float64())*10) / 10
	}
	if rng.IntN(2) == 0 {
		k.Apart = [][2]int{{0, 1}}
	}
	for range 1 + rng.IntN(3) {
		b := Bin{Base: make([]float64, rows), Cap: []float64{math.Round(room*(0.1+0.6*rng.Float64())*10) / 10, math.Round(60*rng.Float64()) / 10}, Goes: rng.IntN(6) == 0}
		b.Base[0] = math.Round(10*rng.Float64()) / 10
		if rng.IntN(2) == 0 {
			b.Refuses = 1 << rng.IntN(4)
		}
		if rng.IntN(5) == 0 {
			b.Holds = 1 << rng.IntN(2)
		}
		if rng.IntN(3) == 0 { // the lightest: cases weigh
			b.Value = -b.Base[0] / 4
		}
		k.Bins = append(k.Bins, b)
		k.Limit[0] += b.Base[0] * rng.Float64()
	}
	return k
}

// everyPacking tries every choice with every set of bins, each piece in every bin.
func everyPacking(k *Packing) float64 {
	best := math.Inf(-1)
	choice := make([]int, len(k.Items))
	for done := false; !done; {
		value, use := k.Total(choice)
	sets:
		for set := range 1 << len(k.Bins) {
			v := value
			u := slices.Clone(use)
			for b, bin := range k.Bins {
				if set>>b&1 == 1 {
					v += bin.Value
					for j := range u {
						u[j] += bin.Base[j]
					}
				} else if bin.Goes {
					continue sets
				}
			}
			if v > best && k.Within(u) && packsByHand(k, set, choice) {
				best = v
			}
		}
		done = true
		for i := range choice {
			if choice[i]++; choice[i] < len(k.Items[i].Val) {
				done = false
				break
			}
			choice[i] = 0
		}
	}
	return best
}

func packsByHand(k *Packing, set int, choice []int) bool {
	var list []Piece
	for i, o := range choice {
		for _, p := range k.Pieces[i][o] {
			for range p.Count {
				list = append(list, p)
			}
		}
	}
	free, holds := make([][]float64, len(k.Bins)), make([]uint, len(k.Bins))
	for b := range k.Bins {
		free[b], holds[b] = slices.Clone(k.Bins[b].Cap), k.Bins[b].Holds
	}
	var put func(at int) bool
	put = func(at int) bool {
		if at == len(list) {
			return true
		}
		p := list[at]
	bins:
		for b := range k.Bins {
			if set>>b&1 == 0 || k.Bins[b].Refuses>>p.Class&1 == 1 || p.Size[0] > free[b][0]+Slack || p.Size[1] > free[b][1]+Slack {
				continue
			}
			for _, a := range k.Apart {
				if p.Class == a[0] && holds[b]>>a[1]&1 == 1 || p.Class == a[1] && holds[b]>>a[0]&1 == 1 {
					continue bins
				}
			}
			was := holds[b]
			holds[b] |= 1 << p.Class
			free[b][0], free[b][1] = free[b][0]-p.Size[0], free[b][1]-p.Size[1]
			ok := put(at + 1)
			free[b][0], free[b][1] = free[b][0]+p.Size[0], free[b][1]+p.Size[1]
			if holds[b] = was; ok {
				return true
			}
		}
		return false
	}
	return put(0)
}

// Random instances with cases against every load in every set of cases, every piece in
// every case.
func TestPackingEqualsEnumeration(t *testing.T) {
	t.Parallel()
	seeds := uint64(400)
	if *soak {
		seeds = 3000
	}
	found, none := 0, 0
	for seed := range seeds {
		k := smallPacking(rand.New(rand.NewPCG(seed, 31)))
		want := everyPacking(k)
		got, err := k.Solve(t.Context(), Effort{})
		require.NoError(t, err, "seed %d", seed)
		if math.IsInf(want, -1) {
			require.Nil(t, got.Choice, "seed %d", seed)
			none++
			continue
		}
		found++
		require.NotNil(t, got.Choice, "seed %d: want %v", seed, want)
		require.InDelta(t, want, got.Value, 1e-9, "seed %d", seed)
		require.InDelta(t, want, got.Bound, 1e-9, "seed %d", seed)
		holds(t, k, got)
	}
	require.Greater(t, found, int(seeds)/2)
	require.Greater(t, none, 1)
}

// holds checks that what is said to lie in the cases does.
func holds(t *testing.T, k *Packing, got Packed) {
	t.Helper()
	value, use := k.Total(got.Choice)
	free, in := make([][]float64, len(got.Bins)), make([]uint, len(got.Bins))
	for x, b := range got.Bins {
		value += k.Bins[b].Value
		free[x], in[x] = slices.Clone(k.Bins[b].Cap), k.Bins[b].Holds
		for j := range use {
			use[j] += k.Bins[b].Base[j]
		}
	}
	require.True(t, k.Within(use))
	require.InDelta(t, value, got.Value, 1e-9)
	at := 0
	for i, o := range got.Choice {
		for _, p := range k.Pieces[i][o] {
			n := 0
			for x, b := range got.Bins {
				n += got.In[at][x]
				if got.In[at][x] > 0 {
					require.Zero(t, k.Bins[b].Refuses>>p.Class&1)
					in[x] |= 1 << p.Class
				}
				for s := range p.Size {
					free[x][s] -= p.Size[s] * float64(got.In[at][x])
				}
			}
			require.Equal(t, p.Count, n)
			at++
		}
	}
	for x := range got.Bins {
		require.GreaterOrEqual(t, slices.Min(free[x]), -1e-8)
		for _, a := range k.Apart {
			require.False(t, in[x]>>a[0]&1 == 1 && in[x]>>a[1]&1 == 1)
		}
	}
}

// Many pieces and several cases: what is said to lie in the cases does, near the bound.
func TestPackingOfMany(t *testing.T) {
	t.Parallel()
	for seed := range uint64(3) {
		for _, share := range []float64{0.5, 0.7} {
			ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
			defer cancel()
			k := flyAway(200, 5, share, seed)
			got, err := k.Solve(ctx, Effort{})
			require.NoError(t, err)
			require.NotNil(t, got.Choice, "seed %d", seed)
			holds(t, k, got)
			require.Less(t, math.Exp(min(0, got.Bound))-math.Exp(got.Value), 1e-3)
		}
	}
}
