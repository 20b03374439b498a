package load

import (
	"fmt"
	"math"
	"math/rand/v2"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/units"
)

// usualDraws keeps the standard error of a drawn readiness below 0.4 of a percent.
const usualDraws = 20_000

// stream sets the draws of a load apart from others of the same seed.
const stream = 0x6c6f6164

// draw plays the trip job by job, straight from the plan's rows, and counts how often
// the load was enough: of all parts, and without the short ones. Nothing of it comes from
// the exact distributions, so the two check each other.
func (p *packing) draw(have []units.Quantity, short []bool, draws int) (hits, hitsShort int, err error) {
	s := p.newStage()
	for r, round := range p.trip.Rounds {
		if s.wet[r], _, err = calendar.WetChance(round, p.o.Snapshot.AsOf); err != nil {
			return 0, 0, err
		}
	}
	for _, t := range p.work.tasks {
		if t.unplanned != nil && t.exposure*number(t.unplanned.Rate, 0) > 1e5 {
			return 0, 0, fmt.Errorf("%s: found about %.0f unplanned jobs, expected fewer: check the rate", t.service, t.exposure*number(t.unplanned.Rate, 0))
		}
	}
	none := make([]bool, len(p.parts))
	for range draws {
		need := s.play(p)
		all, rest := true, true
		for _, b := range p.blocks {
			if !b.drawn(need, have, none) {
				all = false
				if !b.drawn(need, have, short) {
					rest = false
					break
				}
			}
		}
		if all {
			hits++
		}
		if rest {
			hitsShort++
		}
	}
	return hits, hitsShort, nil
}

// stage is what one played trip needs again and again.
type stage struct {
	rng    *rand.Rand
	wet    []float64
	isWet  []bool
	need   []float64          // base units, by part
	chance map[int][2]float64 // of a service line: this trip's dry and wet chance
	rate   map[string]float64 // of an unplanned service
}

func (p *packing) newStage() *stage {
	return &stage{
		rng: rand.New(rand.NewPCG(p.opts.Seed, stream)), wet: make([]float64, len(p.trip.Rounds)), isWet: make([]bool, len(p.trip.Rounds)),
		need: make([]float64, len(p.parts)), chance: map[int][2]float64{}, rate: map[string]float64{},
	}
}

// play draws one trip and returns what it needed of each part.
func (s *stage) play(p *packing) []float64 {
	clear(s.need)
	clear(s.chance)
	clear(s.rate)
	for r := range s.wet {
		s.isWet[r] = s.rng.Float64() < s.wet[r]
	}
	for _, t := range p.work.tasks {
		jobs := t.jobs
		if t.unplanned != nil {
			jobs = s.crashes(t)
		}
		if jobs == 0 {
			continue
		}
		for _, l := range t.lines {
			s.need[p.at[l.part]] += s.amount(l, jobs, s.isWet[t.round], t.unplanned != nil) * float64(l.unit.Base())
		}
	}
	for _, b := range p.models {
		b.draw(s.rng, s.need)
	}
	return s.need
}

// crashes draws how many jobs of an unplanned service a round brings. An unknown rate is
// one for the whole trip.
func (s *stage) crashes(t task) int {
	rate, ok := s.rate[t.service]
	if !ok {
		rate = number(t.unplanned.Rate, 0)
		if t.unplanned.GammaA != nil && t.unplanned.GammaB != nil {
			rate = s.gamma(number(t.unplanned.GammaA, 1)) / number(t.unplanned.GammaB, 1)
		}
		s.rate[t.service] = rate
	}
	mean := rate * t.exposure
	if s.isWet[t.round] {
		mean *= number(t.unplanned.WetFactor, 1)
	}
	return s.poisson(mean)
}

// amount draws what so many jobs use of a line, in the part's unit.
func (s *stage) amount(l workLine, jobs int, wet, unplanned bool) float64 {
	if l.Min != nil && l.Max != nil {
		lo, hi := units.ToFloat(*l.Min, l.unit), units.ToFloat(*l.Max, l.unit)
		sum := 0.0
		for range jobs {
			if l.Typical == nil {
				sum += lo + (hi-lo)*s.rng.Float64()
			} else {
				sum += s.triangle(lo, units.ToFloat(*l.Typical, l.unit), hi)
			}
		}
		return sum * (1 + number(l.AllowancePercent, 0)/100)
	}
	if l.Quantity == nil {
		return 0
	}
	q := units.ToFloat(*l.Quantity, l.unit)
	if l.DryPercent == nil && l.BetaDryA == nil {
		return q * float64(jobs)
	}
	chance := s.chances(l, unplanned)
	side := 0
	if wet {
		side = 1
	}
	n := 0
	for range jobs {
		if s.rng.Float64() < chance[side] {
			n++
		}
	}
	return q * float64(n)
}

// chances returns a line's dry and wet chance on this played trip: an unknown one is
// drawn once for all its jobs, dry and wet apart if the line tells them apart. Inside an
// unplanned job it is the mean.
func (s *stage) chances(l workLine, unplanned bool) [2]float64 {
	if c, ok := s.chance[l.row]; ok {
		return c
	}
	of := func(percent, a, b planner.Decimal) float64 {
		switch {
		case percent != nil:
			return number(percent, 0) / 100
		case unplanned:
			return number(a, 1) / (number(a, 1) + number(b, 1))
		}
		x, y := s.gamma(number(a, 1)), s.gamma(number(b, 1))
		return x / (x + y)
	}
	dry := of(l.DryPercent, l.BetaDryA, l.BetaDryB)
	c := [2]float64{dry, dry}
	if l.WetPercent != nil || l.BetaWetA != nil {
		c[1] = of(l.WetPercent, l.BetaWetA, l.BetaWetB)
	}
	s.chance[l.row] = c
	return c
}

// triangle draws by inversion.
func (s *stage) triangle(lo, mode, hi float64) float64 {
	if hi <= lo {
		return lo
	}
	u, cut := s.rng.Float64(), (mode-lo)/(hi-lo)
	if u < cut {
		return lo + math.Sqrt(u*(hi-lo)*(mode-lo))
	}
	return hi - math.Sqrt((1-u)*(hi-lo)*(hi-mode))
}

// gamma draws from Gamma(shape, 1): Marsaglia and Tsang, ACM TOMS 26 (2000) 363.
func (s *stage) gamma(shape float64) float64 {
	if shape < 1 {
		return s.gamma(shape+1) * math.Pow(1-s.rng.Float64(), 1/shape)
	}
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := s.rng.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v *= v * v
		if math.Log(1-s.rng.Float64()) < 0.5*x*x+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}

// poisson counts arrivals by products of uniforms (Knuth), a large mean in halves so that
// exp does not underflow.
func (s *stage) poisson(mean float64) int {
	if mean > 30 {
		return s.poisson(mean/2) + s.poisson(mean/2)
	}
	n, product, floor := -1, 1.0, math.Exp(-mean)
	for product > floor || n < 0 {
		product *= 1 - s.rng.Float64()
		n++
	}
	return n
}

// number returns a decimal that may be blank, else the usual.
func number(d planner.Decimal, usual float64) float64 {
	if d == nil {
		return usual
	}
	return d.InexactFloat64()
}
