package load

import (
	"fmt"
	"math/rand/v2"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/draw"
	"roundkit/planner/units"
)

// usualDraws keeps the standard error of a drawn readiness below 0.4 of a percent. A trip of
// many parts is drawn as often as so many amounts allow, and no less than fewestDraws: below 1.2
// of a percent.
const (
	usualDraws  = 20_000
	fewestDraws = 2_000
	drawAmounts = 12_000_000
)

// draws is how often the trip is drawn where nothing is said.
func (p *packing) draws() int {
	amounts := 1
	count := func(tasks []task) {
		for _, t := range tasks {
			for _, l := range t.lines {
				if amounts++; l.Min != nil && l.Max != nil && t.jobs > 1 {
					amounts += t.jobs - 1
				}
			}
		}
	}
	count(p.work.tasks)
	for _, l := range p.legs {
		count(l.tasks)
	}
	return min(usualDraws, max(fewestDraws, drawAmounts/amounts))
}

// stream sets the draws of a load apart from others of the same seed.
const stream = 0x6c6f6164

// draw plays the trip job by job, straight from the plan's rows, and counts how often
// the load was enough: of all parts, and without the short ones. Nothing of it comes from
// the exact distributions, so the two check each other.
func (p *packing) draw(have []units.Quantity, short []bool, draws int, none []bool) (hits, hitsShort int, err error) {
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
	for n := range draws {
		if n%64 == 0 && p.ctx.Err() != nil {
			return 0, 0, p.ctx.Err()
		}
		need := s.play(p)
		s.playBefore(p, need, have)
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
	chance [][2]float64       // of a service line: this trip's dry and wet chance, once it is told
	told   []bool             // of a service line
	rate   map[string]float64 // of an unplanned service

	uses       [][]float64 // of each trip before: base units, by part
	with, base []age       // a part's stock while it is played
}

func (p *packing) newStage() *stage {
	return &stage{
		rng: rand.New(rand.NewPCG(p.opts.Seed, stream)), wet: make([]float64, len(p.trip.Rounds)), isWet: make([]bool, len(p.trip.Rounds)),
		need: make([]float64, len(p.parts)), rate: map[string]float64{},
		chance: make([][2]float64, len(p.o.Snapshot.ServiceLines)), told: make([]bool, len(p.o.Snapshot.ServiceLines)),
	}
}

// play draws one trip and returns what it needed of each part.
func (s *stage) play(p *packing) []float64 {
	clear(s.need)
	clear(s.told)
	clear(s.rate)
	for r := range s.wet {
		s.isWet[r] = s.rng.Float64() < s.wet[r]
	}
	s.playTasks(p, p.work.tasks, s.isWet, s.need)
	for _, b := range p.models {
		b.draw(s.rng, s.need)
	}
	return s.need
}

// playTasks draws the jobs of a trip and adds what they use to the needs, in base units.
func (s *stage) playTasks(p *packing, tasks []task, isWet []bool, need []float64) {
	for _, t := range tasks {
		jobs := t.jobs
		if t.unplanned != nil {
			jobs = s.crashes(t, isWet[t.round])
		}
		if jobs == 0 {
			continue
		}
		for i := range t.lines {
			l := &t.lines[i]
			need[l.drawn.part] += s.amount(l, jobs, isWet[t.round], t.unplanned != nil) * l.drawn.base
		}
	}
}

// crashes draws how many jobs of an unplanned service a round brings. An unknown rate is
// one for the whole trip and those before.
func (s *stage) crashes(t task, wet bool) int {
	rate, ok := s.rate[t.service]
	if !ok {
		rate = number(t.unplanned.Rate, 0)
		if t.unplanned.GammaA != nil && t.unplanned.GammaB != nil {
			rate = draw.Gamma(s.rng, number(t.unplanned.GammaA, 1)) / number(t.unplanned.GammaB, 1)
		}
		s.rate[t.service] = rate
	}
	mean := rate * t.exposure
	if wet {
		mean *= number(t.unplanned.WetFactor, 1)
	}
	return draw.Poisson(s.rng, mean)
}

// amount draws what so many jobs use of a line, in the part's unit.
func (s *stage) amount(l *workLine, jobs int, wet, unplanned bool) float64 {
	d := &l.drawn
	switch {
	case d.ranged:
		sum := 0.0
		for range jobs {
			if d.triangle {
				sum += draw.Triangle(s.rng, d.lo, d.typical, d.hi)
			} else {
				sum += d.lo + (d.hi-d.lo)*s.rng.Float64()
			}
		}
		return sum * d.factor
	case l.Quantity == nil:
		return 0
	case d.certain:
		return d.amount * float64(jobs)
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
	return d.amount * float64(n)
}

// chances returns a line's dry and wet chance on this played trip: an unknown one is
// drawn once for all its jobs, dry and wet apart if the line tells them apart. Inside an
// unplanned job it is the mean.
func (s *stage) chances(l *workLine, unplanned bool) [2]float64 {
	if s.told[l.row] {
		return s.chance[l.row]
	}
	of := func(percent, a, b planner.Decimal) float64 {
		switch {
		case percent != nil:
			return number(percent, 0) / 100
		case unplanned:
			return number(a, 1) / (number(a, 1) + number(b, 1))
		}
		return draw.Beta(s.rng, number(a, 1), number(b, 1))
	}
	dry := of(l.DryPercent, l.BetaDryA, l.BetaDryB)
	c := [2]float64{dry, dry}
	if l.WetPercent != nil || l.BetaWetA != nil {
		c[1] = of(l.WetPercent, l.BetaWetA, l.BetaWetB)
	}
	s.chance[l.row], s.told[l.row] = c, true
	return c
}

// number returns a decimal that may be blank, else the usual.
func number(d planner.Decimal, usual float64) float64 {
	if d == nil {
		return usual
	}
	return d.InexactFloat64()
}
