package demand

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

func TestLearning(t *testing.T) {
	t.Parallel()
	// Gelman et al., Bayesian Data Analysis, 3rd ed., 2.4: prints .446, .016, [.415, .477];
	// the further digits were computed by two independent programs
	b, err := BetaBelief{1, 1}.Update(980, 437)
	require.NoError(t, err)
	require.Equal(t, BetaBelief{438, 544}, b)
	require.InDelta(t, 0.446028513238289, b.Mean(), 1e-14)
	require.InDelta(t, 0.015854343318208, b.SD(), 1e-14)
	for q, want := range map[float64]float64{0.025: 0.415065492455004, 0.5: 0.4459918579019, 0.975: 0.477199770629439} {
		got, err := b.Quantile(q)
		require.NoError(t, err)
		require.InDelta(t, want, got, 1e-12)
		require.InDelta(t, distuv.Beta{Alpha: 438, Beta: 544}.Quantile(q), got, 1e-9, "Gonum")
	}
	// NIST/SEMATECH e-Handbook 8.4.6 (inputs recalled), computed by two independent programs
	g, err := GammaBelief{2, 1400}.Update([]int{2}, []float64{1909})
	require.NoError(t, err)
	require.InDelta(t, 0.00120882441825325, g.Mean(), 1e-16)
	q, err := g.Quantile(0.8)
	require.NoError(t, err)
	require.InDelta(t, 0.00166668048206454, q, 1e-15)
	require.InDelta(t, distuv.Gamma{Alpha: 4, Beta: 3309}.Quantile(0.8), q, 1e-9, "Gonum")
	// stock theory, by hand: nothing used in 8 rounds with alpha 1/2, P(none next) = (8/9)^(1/2)
	g, err = GammaBelief{0.5, 0}.Update(make([]int, 8), repeat(1, 8))
	require.NoError(t, err)
	next, err := g.Next(1)
	require.NoError(t, err)
	require.InDelta(t, math.Sqrt(8./9), next.CDF(0), 1e-14)
	none, err := g.Next(0)
	require.NoError(t, err)
	require.Equal(t, 1.0, none.At(0))
	require.Equal(t, GammaBelief{0.5, 8}, g)

	for want, f := range map[string]func() error{
		"found 0 with a count": func() error { _, err := GammaBelief{1, 1}.Update([]int{1}, []float64{0}); return err },
		"one for each count":   func() error { _, err := GammaBelief{1, 1}.Update([]int{1}, nil); return err },
		"posterior: found alpha 0": func() error {
			_, err := GammaBelief{0, 1}.Update([]int{0}, []float64{1})
			return err
		},
		"successes: found 3": func() error { _, err := BetaBelief{1, 1}.Update(2, 3); return err },
		"posterior: found a": func() error { _, err := BetaBelief{0, 1}.Update(2, 0); return err },
		"q: found 1":         func() error { _, err := g.Quantile(1); return err },
	} {
		require.ErrorContains(t, f(), want)
	}
}

func TestHistory(t *testing.T) {
	t.Parallel()
	series := []float64{0, 0, 3, 0, 4, 0, 0, 0, 2, 0}
	// as carried in an open teaching library's tests (published cases INT-01, -02, -04)
	for _, c := range []struct {
		m    Intermittent
		want []float64
	}{
		{Intermittent{Croston, 0.5, 0.2}, []float64{0, 0, 1, 1, 1.25, 1.25, 1.25, 1.25, 0.904605263157895, 0.904605263157895}},
		{Intermittent{SBA, 0.5, 0.2}, []float64{0, 0, 0.9, 0.9, 1.125, 1.125, 1.125, 1.125, 0.814144736842105, 0.814144736842105}},
		{Intermittent{TSB, 0.3, 0.1}, []float64{0.9, 0.81, 1.029, 0.9261, 1.246839, 1.1221551, 1.00993959, 0.908945631, 1.01237230533, 0.911135074797}},
	} {
		got, err := c.m.Forecast(series)
		require.NoError(t, err)
		require.InDeltaSlice(t, c.want, got, 1e-12, string(c.m.Method))
		none, err := c.m.Forecast([]float64{0, 0})
		require.NoError(t, err)
		require.Equal(t, []float64{0, 0}, none)
	}
	_, err := Intermittent{"holt", 0.1, 0.1}.Forecast(series)
	require.ErrorContains(t, err, `method: found "holt"`)
	_, err = Intermittent{TSB, 0.1, 2}.Forecast(series)
	require.ErrorContains(t, err, "interval weight: found 2")
	_, err = Intermittent{TSB, 0.1, 0.1}.Forecast(nil)
	require.ErrorContains(t, err, "no periods")
}

func TestSampleKeepsDigits(t *testing.T) {
	t.Parallel()
	// NIST StRD NumAcc4: 1001 values, 10000000.2, then .1 and .3 in turn; certified
	// mean 10000000.2, standard deviation 0.1
	values := []float64{10000000.2}
	for range 500 {
		values = append(values, 10000000.1, 10000000.3)
	}
	s, err := Sample(values)
	require.NoError(t, err)
	require.Equal(t, 1001, s.N)
	require.InEpsilon(t, 10000000.2, s.Mean, 1e-14)
	require.InDelta(t, 0.1, s.SD, 2e-9, "what the inputs themselves can hold")
	_, err = Sample([]float64{1})
	require.ErrorContains(t, err, "at least two")
}

func TestOpenKits(t *testing.T) {
	t.Parallel()
	half, err := Discrete([]float64{0.5, 0.5})
	require.NoError(t, err)
	// by hand (published case OPEN-01): 2 whole kits; short 3 o-rings at two a kit opens 2
	d, err := OpenKits(Point(2), []Component{{Point(5), 2, 2}, {half, 0, 1}})
	require.NoError(t, err)
	require.Equal(t, 1.0, d.At(4))
	// by hand: two components each short of one with chance 1/2: one kit with 3/4
	d, err = OpenKits(Point(0), []Component{{half, 0, 1}, {half, 0, 3}})
	require.NoError(t, err)
	require.InDelta(t, 0.75, d.At(1), 1e-15)
	d, err = OpenKits(half, nil)
	require.NoError(t, err)
	require.Equal(t, half.P, d.P)
	_, err = OpenKits(half, []Component{{half, 0, 0}})
	require.ErrorContains(t, err, "component 1: found 0 loose and 0 per kit")
}

func TestGridStep(t *testing.T) {
	t.Parallel()
	oil := func(jobs int, least, most float64) Need {
		return Need{Wet: []float64{0}, Services: []Service{{Jobs: []int{jobs},
			Lines: []Line{{Kind: Ranged, Min: least, Max: most}}}}}
	}
	for _, c := range []struct {
		name string
		need Need
		step float64
	}{
		// by hand: range 16, a sixteenth is 1; sd of 4 jobs 9.2, an eighth is 1.15
		{"range decides", oil(4, 32, 48), 1},
		// by hand: sd of one job 4.62, an eighth is 0.58
		{"deviation decides", oil(1, 32, 48), 0.5},
		{"certain", oil(1, 40, 40), 0.01},
	} {
		g, err := c.need.GridStep()
		require.NoError(t, err)
		require.Equal(t, c.step, g.Step, c.name)
		require.Empty(t, g.Coarse)
	}
	both := oil(1, 0, 200)
	both.Services[0].Lines = append(both.Services[0].Lines, Line{Kind: Ranged, Min: 0.1, Max: 0.3})
	g, err := both.GridStep()
	require.NoError(t, err)
	// 0.2/16 wants 0.01; twenty deviations of 57.7 are then 115,470 points
	require.Equal(t, 0.01, g.Wanted)
	require.Equal(t, 0.02, g.Step)
	require.Contains(t, g.Coarse, "more than 65536 points")
}

// The contract's x: a number within 1e-9 steps of the grid is on it, others are not.
func TestLatticeOffTheGrid(t *testing.T) {
	t.Parallel()
	l := Lattice{PMF: PMF{From: 2, P: []float64{0.25, 0.5, 0.25}}, Step: 0.1}
	require.InDelta(t, 0.3, l.Mean(), 1e-15)
	require.Equal(t, 0.5, l.At(0.1+0.2))
	require.Equal(t, 0.0, l.At(0.31))
	require.Equal(t, 0.75, l.CDF(0.31))
	require.Equal(t, 0.25, l.Short(0.31))
	require.InDelta(t, 0.25*0.09, l.Loss(0.31), 1e-15)
	require.InDelta(t, 0.3, l.Loss(0), 1e-15)
	require.Equal(t, 0.0, l.Loss(1e300))
	require.Equal(t, 1.0, l.CDF(1e300))
	require.InDelta(t, 0.4, l.Quantile(0.9), 1e-15)
}
