package demand

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// plainNeed is the definition, read slowly: every pattern of the weather, every
// count by Gonum's densities or the beta-binomial's own formula, one job after
// another. It shares only Mix and Convolve with the planner.
func plainNeed(t require.TestingT, n Need) PMF {
	var weights []float64
	var of []PMF
	for pattern := range 1 << len(n.Wet) {
		weight := 1.0
		for r, w := range n.Wet {
			if pattern>>r&1 == 1 {
				weight *= w
			} else {
				weight *= 1 - w
			}
		}
		if weight == 0 {
			continue
		}
		total := Point(0)
		add := func(d PMF) {
			var err error
			total, err = Convolve(total, d)
			require.NoError(t, err)
		}
		for _, s := range n.Services {
			if s.Unplanned != nil {
				add(plainUnplanned(t, s, pattern, n.step()))
				continue
			}
			dry, wet := 0, 0
			for r, jobs := range s.Jobs {
				if pattern>>r&1 == 1 {
					wet += jobs
				} else {
					dry += jobs
				}
			}
			for _, l := range s.Lines {
				for _, d := range plainPlanned(t, l, dry, wet, n.step()) {
					add(d)
				}
			}
		}
		weights, of = append(weights, weight), append(of, total)
	}
	d, err := Mix(weights, of)
	require.NoError(t, err)
	return d
}

func plainPlanned(t require.TestingT, l Line, dry, wet int, step float64) []PMF {
	switch l.Kind {
	case Fixed:
		return []PMF{plainSpread(l.Quantity*float64(dry+wet), step)}
	case Ranged:
		return []PMF{plainCompound(t, countPMF(dry+wet, func(k int) float64 { return b2f(k == dry+wet) }), plainRange(l, step))}
	}
	size := plainSpread(l.Quantity, step)
	if l.Wet == nil {
		return []PMF{plainCompound(t, plainChance(dry+wet, l.Dry), size)}
	}
	return []PMF{plainCompound(t, plainChance(dry, l.Dry), size), plainCompound(t, plainChance(wet, *l.Wet), size)}
}

func plainUnplanned(t require.TestingT, s Service, pattern int, step float64) PMF {
	u := s.Unplanned
	dry, wet := 0.0, 0.0
	for r, e := range u.Exposure {
		if pattern>>r&1 == 1 {
			wet += e * u.WetFactor
		} else {
			dry += e
		}
	}
	e := dry + wet
	if e == 0 {
		return Point(0)
	}
	size := func(inWet bool) PMF {
		total := Point(0)
		for _, l := range s.Lines {
			d := plainSpread(l.Quantity, step)
			var err error
			switch l.Kind {
			case Ranged:
				d = plainRange(l, step)
			case Chanced:
				p := l.Dry.P
				if inWet && l.Wet != nil {
					p = l.Wet.P
				}
				d, err = Mix([]float64{1 - p, p}, []PMF{Point(0), d})
				require.NoError(t, err)
			}
			total, err = Convolve(total, d)
			require.NoError(t, err)
		}
		return total
	}
	job, err := Mix([]float64{dry / e, wet / e}, []PMF{size(false), size(true)})
	require.NoError(t, err)
	prob := func(k int) float64 { return distuv.Poisson{Lambda: u.Rate.Value * e}.Prob(float64(k)) }
	if !u.Rate.Known() {
		a, p := u.Rate.Alpha, u.Rate.Beta/(u.Rate.Beta+e)
		prob = func(k int) float64 {
			x, _ := math.Lgamma(a + float64(k))
			y, _ := math.Lgamma(a)
			z, _ := math.Lgamma(float64(k) + 1)
			return math.Exp(x - y - z + a*math.Log(p) + float64(k)*math.Log1p(-p))
		}
	} else if u.Rate.Value == 0 {
		return Point(0)
	}
	most := 0
	for sum := 0.0; sum < 1-1e-13 && most < 3000; most++ {
		sum += prob(most)
	}
	return plainCompound(t, countPMF(most+20, prob), job)
}

func countPMF(most int, prob func(int) float64) PMF {
	p := make([]float64, most+1)
	for k := range p {
		p[k] = prob(k)
	}
	return PMF{P: p}
}

func plainChance(n int, c Chance) PMF {
	return countPMF(n, func(k int) float64 {
		if c.Known() {
			switch c.P {
			case 0:
				return b2f(k == 0)
			case 1:
				return b2f(k == n)
			}
			return distuv.Binomial{N: float64(n), P: c.P}.Prob(float64(k))
		}
		choose, _ := math.Lgamma(float64(n) + 1)
		x, _ := math.Lgamma(float64(k) + 1)
		y, _ := math.Lgamma(float64(n-k) + 1)
		return math.Exp(choose - x - y + lbeta(c.A+float64(k), c.B+float64(n-k)) - lbeta(c.A, c.B))
	})
}

func lbeta(a, b float64) float64 {
	x, _ := math.Lgamma(a)
	y, _ := math.Lgamma(b)
	z, _ := math.Lgamma(a + b)
	return x + y - z
}

func b2f(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// plainCompound adds size after size.
func plainCompound(t require.TestingT, count, size PMF) PMF {
	sum := Point(0)
	var weights []float64
	var of []PMF
	for k, p := range count.P {
		if k > 0 {
			var err error
			sum, err = Convolve(sum, size)
			require.NoError(t, err)
		}
		weights, of = append(weights, p), append(of, sum)
	}
	d, err := Mix(weights, of)
	require.NoError(t, err)
	return d
}

// plainSpread and plainRange use the second difference of G as the contract has it.
func plainSpread(q, h float64) PMF {
	return plainGerber(q, q, h, func(t float64) float64 { return max(0, t-q) })
}

func plainRange(l Line, h float64) PMF {
	f := 1 + l.Allowance
	a, b := l.Min*f, l.Max*f
	if a == b {
		return plainSpread(a, h)
	}
	g := func(t float64) float64 {
		switch {
		case t <= a:
			return 0
		case t >= b:
			return t - (a+b)/2
		}
		return (t - a) * (t - a) / (2 * (b - a))
	}
	if l.Typical != nil {
		c := *l.Typical * f
		m := (a + b + c) / 3
		g = func(t float64) float64 {
			switch {
			case t <= a:
				return 0
			case t >= b:
				return t - m
			case t <= c:
				return (t - a) * (t - a) * (t - a) / (3 * (b - a) * (c - a))
			}
			return t - m + (b-t)*(b-t)*(b-t)/(3*(b-a)*(b-c))
		}
	}
	return plainGerber(a, b, h, g)
}

func plainGerber(a, b, h float64, g func(float64) float64) PMF {
	lo, hi := int(math.Floor(a/h)), int(math.Ceil(b/h))
	p := make([]float64, hi-lo+1)
	for i := range p {
		k := float64(lo + i)
		p[i] = max(0, (g((k+1)*h)-2*g(k*h)+g((k-1)*h))/h)
	}
	return PMF{From: lo, P: p}
}

// drawNeed makes a small need of any kind of line.
func drawNeed(t *rapid.T, unknown bool) Need {
	rounds := rapid.IntRange(0, 4).Draw(t, "rounds")
	n := Need{Wet: make([]float64, rounds)}
	for r := range n.Wet {
		n.Wet[r] = rapid.SampledFrom([]float64{0, 0.1, 0.3, 0.5, 1}).Draw(t, "wet")
	}
	n.Step = rapid.SampledFrom([]float64{0, 0.5, 1, 3}).Draw(t, "step")
	for range rapid.IntRange(0, 3).Draw(t, "services") {
		s := Service{Jobs: make([]int, rounds)}
		for r := range s.Jobs {
			s.Jobs[r] = rapid.IntRange(0, 5).Draw(t, "jobs")
		}
		if rapid.Bool().Draw(t, "unplanned") {
			s.Jobs = nil
			s.Unplanned = &Unplanned{Exposure: make([]float64, rounds), WetFactor: rapid.SampledFrom([]float64{1, 1.5, 3}).Draw(t, "factor")}
			for r := range rounds {
				s.Unplanned.Exposure[r] = rapid.SampledFrom([]float64{0, 2.5, 18, 24}).Draw(t, "exposure")
			}
			s.Unplanned.Rate.Value = rapid.Float64Range(0, 0.1).Draw(t, "rate")
			if unknown && rapid.Bool().Draw(t, "gamma") {
				s.Unplanned.Rate = Rate{Alpha: rapid.Float64Range(0.5, 4).Draw(t, "alpha"), Beta: rapid.Float64Range(20, 100).Draw(t, "beta")}
			}
		}
		for range rapid.IntRange(1, 3).Draw(t, "lines") {
			s.Lines = append(s.Lines, drawLine(t, unknown && s.Unplanned == nil))
		}
		n.Services = append(n.Services, s)
	}
	return n
}

func drawLine(t *rapid.T, unknown bool) Line {
	l := Line{Kind: rapid.SampledFrom([]Kind{Fixed, Chanced, Ranged}).Draw(t, "kind")}
	l.Quantity = rapid.SampledFrom([]float64{0, 0.7, 1, 2, 4}).Draw(t, "quantity")
	switch l.Kind {
	case Chanced:
		l.Dry.P = rapid.Float64Range(0, 0.6).Draw(t, "dry")
		wet := Chance{P: l.Dry.P + rapid.Float64Range(0, 0.4).Draw(t, "more when wet")}
		if unknown && rapid.Bool().Draw(t, "dry unknown") {
			l.Dry = Chance{A: 2, B: 5}
		}
		if unknown && rapid.Bool().Draw(t, "wet unknown") {
			wet = Chance{A: 4, B: 3}
		}
		if rapid.Bool().Draw(t, "by weather") {
			l.Wet = &wet
		}
	case Ranged:
		l.Min = rapid.Float64Range(0, 3).Draw(t, "min")
		l.Max = l.Min + rapid.Float64Range(0, 4).Draw(t, "width")
		if rapid.Bool().Draw(t, "triangle") {
			c := l.Min + (l.Max-l.Min)*rapid.Float64Range(0, 1).Draw(t, "typical")
			l.Typical = &c
		}
		l.Allowance = rapid.SampledFrom([]float64{0, 0.15}).Draw(t, "allowance")
	}
	return l
}

func TestNeedIsItsDefinition(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := drawNeed(t, true)
		got, err := n.Distribution()
		require.NoError(t, err)
		checkPMF(t, got.PMF)
		requireSame(t, plainNeed(t, n), got.PMF, 1e-11)
		mean, variance, err := n.Moments()
		require.NoError(t, err)
		require.InDelta(t, mean, got.Mean(), 1e-9*max(1, mean))
		// the grid adds at most a quarter of a squared step for each amount spread
		v := got.SD() * got.SD()
		require.GreaterOrEqual(t, v, variance-1e-9*max(1, variance))
		require.LessOrEqual(t, v, variance+n.step()*n.step()/4*spreads(n, mean)+1e-9*max(1, variance))
	})
}

// spreads bounds how many amounts are put on the grid, on average.
func spreads(n Need, _ float64) float64 {
	total := 0.0
	for _, s := range n.Services {
		for r := range n.Wet {
			if s.Unplanned != nil {
				total += s.Unplanned.Exposure[r] * max(1, s.Unplanned.WetFactor) * s.Unplanned.Rate.Mean() * float64(len(s.Lines))
			} else {
				total += float64(s.Jobs[r] * len(s.Lines))
			}
		}
		total += float64(len(s.Lines))
	}
	return total
}

func TestMoreJobsNeverLowerAQuantile(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := drawNeed(t, true)
		before, err := n.Distribution()
		require.NoError(t, err)
		for i, s := range n.Services {
			for r := range n.Wet {
				more := n
				more.Services = append([]Service{}, n.Services...)
				if s.Unplanned == nil {
					jobs := append([]int{}, s.Jobs...)
					jobs[r]++
					more.Services[i].Jobs = jobs
				} else {
					u := *s.Unplanned
					u.Exposure = append([]float64{}, u.Exposure...)
					u.Exposure[r]++
					more.Services[i].Unplanned = &u
				}
				after, err := more.Distribution()
				require.NoError(t, err)
				requireDominates(t, after, before)
			}
		}
	})
}

// requireDominates: a is at least b in every quantile.
func requireDominates(t require.TestingT, a, b Lattice) {
	for v := 0; v <= max(a.PMF.Max(), b.PMF.Max()); v++ {
		require.LessOrEqual(t, a.PMF.CDF(v), b.PMF.CDF(v)+1e-12, "cdf at %d", v)
	}
}

// Chances are numbers, wet ones the higher, wet_factor >= 1 (drawn so).
func TestWetterRoundNeverLowersANeed(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := drawNeed(t, false)
		before, err := n.Distribution()
		require.NoError(t, err)
		for r, w := range n.Wet {
			wetter := n
			wetter.Wet = append([]float64{}, n.Wet...)
			wetter.Wet[r] = min(1, w+0.2)
			after, err := wetter.Distribution()
			require.NoError(t, err)
			requireDominates(t, after, before)
		}
	})
}

func TestCumulativeNeedDominatesItsParts(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := drawNeed(t, true)
		whole, err := n.Distribution()
		require.NoError(t, err)
		for r := range n.Wet {
			one := Need{Step: n.Step, Wet: n.Wet[r : r+1]}
			for _, s := range n.Services {
				p := Service{Lines: s.Lines}
				if s.Unplanned == nil {
					p.Jobs = s.Jobs[r : r+1]
				} else {
					u := *s.Unplanned
					u.Exposure = u.Exposure[r : r+1]
					p.Unplanned = &u
				}
				one.Services = append(one.Services, p)
			}
			part, err := one.Distribution()
			require.NoError(t, err)
			requireDominates(t, whole, part)
		}
	})
}

// Jobs one by one, 200 random seasons: the exact mean and cdf lie within four
// standard errors of what is drawn (seed printed by the failure).
func TestSimulationAgrees(t *testing.T) {
	t.Parallel()
	for seed := range uint64(200) {
		n := rapid.Custom(func(t *rapid.T) Need { return drawNeed(t, true) }).Example(int(seed))
		n.Step = 0.01 // amounts are continuous in the simulation
		d, err := n.Distribution()
		require.NoError(t, err)
		rng := rand.New(rand.NewPCG(seed, 1))
		const draws = 2000
		stock := d.Quantile(0.8) + 0.004
		sum, within := 0.0, 0.0
		for range draws {
			x := simulate(n, rng)
			sum += x
			within += b2f(x <= stock)
		}
		f := d.CDF(stock)
		require.InDelta(t, d.Mean(), sum/draws, 4*d.SD()/math.Sqrt(draws)+1e-9, "seed %d", seed)
		// on a grid of 0.01 "enough" is optimistic by half a point's mass
		require.InDelta(t, f, within/draws, 4*math.Sqrt(f*(1-f)/draws)+d.At(d.Quantile(0.8))+1e-9, "seed %d", seed)
	}
}

func simulate(n Need, rng *rand.Rand) float64 {
	wet := make([]bool, len(n.Wet))
	for r, w := range n.Wet {
		wet[r] = rng.Float64() < w
	}
	total := 0.0
	for _, s := range n.Services {
		chances := make([][2]float64, len(s.Lines))
		for i, l := range s.Lines {
			chances[i][0] = drawChance(l.Dry, rng)
			chances[i][1] = chances[i][0]
			if l.Wet != nil {
				chances[i][1] = drawChance(*l.Wet, rng)
			}
		}
		rate := 0.0
		if u := s.Unplanned; u != nil {
			rate = u.Rate.Value
			if !u.Rate.Known() {
				rate = distuv.Gamma{Alpha: u.Rate.Alpha, Beta: u.Rate.Beta, Src: rng}.Rand()
			}
		}
		for r := range n.Wet {
			jobs, k := 0, 0
			if wet[r] {
				k = 1
			}
			if u := s.Unplanned; u != nil {
				e := u.Exposure[r]
				if wet[r] {
					e *= u.WetFactor
				}
				if rate*e > 0 {
					jobs = int(distuv.Poisson{Lambda: rate * e, Src: rng}.Rand())
				}
			} else {
				jobs = s.Jobs[r]
			}
			for range jobs {
				for i, l := range s.Lines {
					total += drawAmount(l, chances[i][k], rng)
				}
			}
		}
	}
	return total
}

func drawChance(c Chance, rng *rand.Rand) float64 {
	if c.Known() {
		return c.P
	}
	return distuv.Beta{Alpha: c.A, Beta: c.B, Src: rng}.Rand()
}

func drawAmount(l Line, chance float64, rng *rand.Rand) float64 {
	f := 1 + l.Allowance
	switch {
	case l.Kind == Fixed:
		return l.Quantity
	case l.Kind == Chanced:
		return l.Quantity * b2f(rng.Float64() < chance)
	case l.Typical == nil || l.Min == l.Max:
		return f * (l.Min + (l.Max-l.Min)*rng.Float64())
	}
	return f * distuv.NewTriangle(l.Min, l.Max, *l.Typical, rng).Rand()
}
