package demand

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The joint chance by its definition: every weather, every count of each unplanned
// service (numbers or Gamma), parts independent given these, all by plainNeed.
func plainJoint(t require.TestingT, n Need, stock map[string]float64) float64 {
	total := 0.0
	for pattern := range 1 << len(n.Wet) {
		weight := 1.0
		given := Need{Wet: make([]float64, len(n.Wet))}
		for r, w := range n.Wet {
			if pattern>>r&1 == 1 {
				weight, given.Wet[r] = weight*w, 1
			} else {
				weight *= 1 - w
			}
		}
		if weight == 0 {
			continue
		}
		var crash []Service
		for _, s := range n.Services {
			if s.Unplanned == nil {
				given.Services = append(given.Services, s)
			} else {
				crash = append(crash, s)
			}
		}
		total += weight * plainCounts(t, given, crash, pattern, stock)
	}
	return total
}

// plainCounts turns each count of the first unplanned service into planned jobs.
func plainCounts(t require.TestingT, given Need, crash []Service, pattern int, stock map[string]float64) float64 {
	if len(crash) == 0 {
		product := 1.0
		for part, s := range stock {
			mine := Need{Wet: given.Wet}
			for _, sv := range given.Services {
				own := Service{Jobs: sv.Jobs}
				for _, l := range sv.Lines {
					if l.Part == part {
						own.Lines = append(own.Lines, l)
					}
				}
				mine.Services = append(mine.Services, own)
			}
			product *= plainNeed(t, mine).CDF(int(s))
		}
		return product
	}
	u := crash[0].Unplanned
	one := Need{Wet: given.Wet, Services: []Service{{Unplanned: u, Lines: []Line{{Quantity: 1}}}}}
	count := plainNeed(t, one)
	dry, wet := 0.0, 0.0
	for r, e := range u.Exposure {
		if pattern>>r&1 == 1 {
			wet += e * u.WetFactor
		} else {
			dry += e
		}
	}
	total := 0.0
	for k, p := range count.P {
		for w := 0; w <= k; w++ {
			share := plainChance(k, Chance{P: wet / max(dry+wet, 1e-300)}).At(w)
			if p*share < 1e-13 {
				continue
			}
			// planned jobs that are dry or wet whatever the round
			next := given
			next.Services = append([]Service{}, given.Services...)
			for i, jobs := range []int{k - w, w} {
				s := Service{Jobs: make([]int, len(given.Wet))}
				if len(s.Jobs) > 0 {
					s.Jobs[0] = jobs
				}
				for _, l := range crash[0].Lines {
					if l.Kind == Chanced && l.Wet != nil && i == 1 {
						l.Dry = *l.Wet
					}
					l.Wet = nil
					s.Lines = append(s.Lines, l)
				}
				next.Services = append(next.Services, s)
			}
			total += p * share * plainCounts(t, next, crash[1:], pattern, stock)
		}
	}
	return total
}

func drawReady(t *rapid.T) (Need, map[string]float64) {
	chance := rapid.Float64Range(0, 1)
	rounds := rapid.IntRange(1, 2).Draw(t, "rounds")
	n := Need{Wet: make([]float64, rounds)}
	for r := range n.Wet {
		n.Wet[r] = rapid.SampledFrom([]float64{0, 0.35, 1}).Draw(t, "wet")
	}
	parts := []string{"wiper", "oil seal", "axle"}
	unplanned := 0 // with three counts the definition takes too long
	for range rapid.IntRange(1, 4).Draw(t, "services") {
		s := Service{}
		if unplanned < 2 && rapid.Bool().Draw(t, "unplanned") {
			unplanned++
			s.Unplanned = &Unplanned{WetFactor: rapid.SampledFrom([]float64{1, 2}).Draw(t, "factor"), Rate: Rate{Value: 0.1}}
			if rapid.Bool().Draw(t, "gamma") {
				s.Unplanned.Rate = Rate{Alpha: 2, Beta: 20}
			}
		}
		for range rounds {
			if s.Unplanned != nil {
				s.Unplanned.Exposure = append(s.Unplanned.Exposure, rapid.SampledFrom([]float64{0, 0.5, 2.3, 4}).Draw(t, "exposure"))
			} else {
				s.Jobs = append(s.Jobs, rapid.IntRange(0, 3).Draw(t, "jobs"))
			}
		}
		for range rapid.IntRange(1, 3).Draw(t, "lines") {
			l := Line{Part: rapid.SampledFrom(parts).Draw(t, "part"), Quantity: float64(rapid.IntRange(1, 2).Draw(t, "quantity"))}
			if rapid.Bool().Draw(t, "chanced") {
				l.Kind, l.Dry = Chanced, Chance{P: chance.Draw(t, "dry")}
				if rapid.Bool().Draw(t, "by weather") {
					l.Wet = &Chance{P: l.Dry.P + (1-l.Dry.P)*chance.Draw(t, "more")}
				}
			}
			s.Lines = append(s.Lines, l)
		}
		n.Services = append(n.Services, s)
	}
	stock := map[string]float64{}
	for _, p := range parts {
		stock[p] = float64(rapid.IntRange(0, 8).Draw(t, "stock"))
	}
	return n, stock
}

func TestReadinessIsItsDefinition(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n, stock := drawReady(t)
		got, err := n.Readiness(stock, ReadyOptions{})
		require.NoError(t, err)
		require.True(t, got.Exact)
		require.InDelta(t, plainJoint(t, n, stock), got.Joint, 1e-9)
		// Esary, Proschan and Walkup 1967
		require.True(t, got.Bound)
		require.LessOrEqual(t, got.Product, got.Within+1e-12)
		require.LessOrEqual(t, got.Within, got.Joint+1e-12)
	})
}

// The contract's READY-01, whose figure was computed by an independent program.
func crashNeed() (Need, map[string]float64) {
	return Need{Wet: []float64{0.35}, Services: []Service{
		{Jobs: []int{16}, Lines: []Line{
			{Part: "wiper", Kind: Chanced, Quantity: 2, Dry: Chance{P: 0.25}, Wet: &Chance{P: 0.7}},
			{Part: "oil seal", Kind: Chanced, Quantity: 2, Dry: Chance{P: 0.12}, Wet: &Chance{P: 0.35}}}},
		{Unplanned: &Unplanned{Exposure: []float64{24}, Rate: Rate{Alpha: 2, Beta: 100}, WetFactor: 1.5}, Lines: []Line{
			{Part: "wiper", Kind: Chanced, Quantity: 2, Dry: Chance{P: 0.5}, Wet: &Chance{P: 0.8}},
			{Part: "axle", Kind: Chanced, Quantity: 1, Dry: Chance{P: 0.3}}}},
	}}, map[string]float64{"wiper": 24, "oil seal": 12, "axle": 1}
}

func TestReadinessDrawnAgrees(t *testing.T) {
	t.Parallel()
	n, stock := crashNeed()
	exact, err := n.Readiness(stock, ReadyOptions{})
	require.NoError(t, err)
	require.InDelta(t, 0.792632020211451, exact.Joint, 1e-12)
	require.InDelta(t, 0.790399771270722, exact.Within, 1e-12)
	require.InDelta(t, 0.763621701334754, exact.Product, 1e-12)
	drawn, err := n.Readiness(stock, ReadyOptions{By: ByDraw, Seed: 3})
	require.NoError(t, err)
	require.False(t, drawn.Exact)
	require.Positive(t, drawn.StdErr)
	require.InDelta(t, exact.Joint, drawn.Joint, 4*drawn.StdErr)
	again, err := n.Readiness(stock, ReadyOptions{By: ByDraw, Seed: 3})
	require.NoError(t, err)
	require.Equal(t, drawn, again, "same seed, same answer")
}

func TestReadinessRefuses(t *testing.T) {
	t.Parallel()
	n, _ := crashNeed()
	_, err := n.Readiness(map[string]float64{"wiper": -1, "axle": math.NaN()}, ReadyOptions{})
	require.ErrorContains(t, err, "stock of wiper: found -1")
	require.ErrorContains(t, err, "stock of axle: found NaN")
	require.ErrorContains(t, err, "no entry for oil seal")
}
