package demand

import (
	"errors"
	"fmt"
)

// Need says what may use one part over one or more rounds. Amounts are in the
// part's unit (pc, ml, g). See Distribution for what is shared and what is
// independent.
type Need struct {
	Wet      []float64 // the chance of rain of each round
	Services []Service
	Step     float64 // the grid in units; 0 means 1
}

// Service is the jobs of one kind, planned (Jobs) or not (Unplanned); one of the
// two is set. Lists have one entry a round.
type Service struct {
	Jobs      []int
	Unplanned *Unplanned
	Lines     []Line
}

// Unplanned is a count of jobs that nobody planned: crashes, leaks.
type Unplanned struct {
	Exposure  []float64 // bike-days of each round, in dry terms
	Rate      Rate      // jobs per unit of exposure
	WetFactor float64   // exposure in a wet round is this many times as much; 1: the same
}

// Rate is a known rate, or an unknown one with a Gamma belief when Alpha is above
// 0 (Beta is its rate parameter: the mean is Alpha/Beta).
type Rate struct{ Value, Alpha, Beta float64 }

// Known tells whether the rate is a number.
func (r Rate) Known() bool { return r.Alpha == 0 && r.Beta == 0 }

// Mean returns the expected rate.
func (r Rate) Mean() float64 {
	if r.Known() {
		return r.Value
	}
	return r.Alpha / r.Beta
}

// Chance is a known chance P, or an unknown one with a Beta(A, B) belief when A and
// B are above 0.
type Chance struct{ P, A, B float64 }

// Known tells whether the chance is a number.
func (c Chance) Known() bool { return c.A == 0 && c.B == 0 }

// Mean returns the expected chance.
func (c Chance) Mean() float64 {
	if c.Known() {
		return c.P
	}
	return c.A / (c.A + c.B)
}

// Kind is what a line says about the amount of one job.
type Kind int

// The kinds of line.
const (
	Fixed   Kind = iota // Quantity, always
	Chanced             // Quantity or nothing, by the chance of the weather
	Ranged              // anything from Min to Max
)

// Line is what one job of a service uses of a part.
type Line struct {
	Part     string // used by Readiness only
	Kind     Kind
	Quantity float64 // Fixed, Chanced

	Dry Chance  // Chanced
	Wet *Chance // Chanced; nil: one chance for all jobs whatever the weather

	Min, Max  float64  // Ranged
	Typical   *float64 // Ranged: the peak of a triangle; nil: all equally likely
	Allowance float64  // Ranged: Min, Typical and Max grow by this part, 0..10
}

// step returns the grid step.
func (n Need) step() float64 {
	if n.Step == 0 {
		return 1
	}
	return n.Step
}

// Limits of a need.
const (
	minStep, maxStep = 0.001, 1e6
	maxAllowance     = 10
	maxExposure      = 1e15
)

// Validate returns every fault of the need at once, or nil.
func (n Need) Validate() error {
	var faults []error
	fault := func(err error) {
		if err != nil {
			faults = append(faults, err)
		}
	}
	fault(within("step", n.step(), minStep, maxStep))
	for r, w := range n.Wet {
		fault(chance(fmt.Sprintf("wet, round %d", r+1), w))
	}
	for i, s := range n.Services {
		for _, err := range s.faults(len(n.Wet)) {
			fault(fmt.Errorf("service %d: %w", i+1, err))
		}
	}
	return errors.Join(faults...)
}

func (s Service) faults(rounds int) (faults []error) {
	fault := func(err error) {
		if err != nil {
			faults = append(faults, err)
		}
	}
	length := func(name string, found int) {
		if found != rounds {
			fault(fmt.Errorf("%s: found %d entries, expected %d, one a round", name, found, rounds))
		}
	}
	u := s.Unplanned
	switch {
	case u != nil && s.Jobs != nil:
		fault(errors.New("found both jobs and exposure, expected one of them"))
	case u == nil:
		length("jobs", len(s.Jobs))
		for r, n := range s.Jobs {
			fault(whole(fmt.Sprintf("jobs, round %d", r+1), n, MaxCount))
		}
	default:
		length("exposure", len(u.Exposure))
		for r, e := range u.Exposure {
			fault(within(fmt.Sprintf("exposure, round %d", r+1), e, 0, maxExposure))
		}
		fault(within("wet factor", u.WetFactor, 0, MaxReal))
		if u.Rate.Known() {
			fault(within("rate", u.Rate.Value, 0, MaxReal))
		} else {
			fault(firstErr(positive("rate, alpha", u.Rate.Alpha), positive("rate, beta", u.Rate.Beta)))
		}
	}
	for i, l := range s.Lines {
		for _, err := range l.faults(u != nil) {
			fault(fmt.Errorf("line %d: %w", i+1, err))
		}
	}
	return faults
}

func (l Line) faults(unplanned bool) (faults []error) {
	fault := func(err error) {
		if err != nil {
			faults = append(faults, err)
		}
	}
	belief := func(name string, c Chance) {
		switch {
		case c.Known():
			fault(chance(name, c.P))
		case unplanned:
			fault(fmt.Errorf("%s: found an unknown chance in an unplanned job, expected a number", name))
		default:
			fault(firstErr(positive(name+", a", c.A), positive(name+", b", c.B)))
		}
	}
	switch l.Kind {
	case Fixed:
		fault(within("quantity", l.Quantity, 0, MaxReal))
	case Chanced:
		fault(within("quantity", l.Quantity, 0, MaxReal))
		belief("dry", l.Dry)
		if l.Wet != nil {
			belief("wet", *l.Wet)
		}
	case Ranged:
		fault(within("min", l.Min, 0, MaxReal))
		fault(within("max", l.Max, l.Min, MaxReal))
		if l.Typical != nil {
			fault(within("typical", *l.Typical, l.Min, l.Max))
		}
		fault(within("allowance", l.Allowance, 0, maxAllowance))
	default:
		fault(fmt.Errorf("kind: found %d, expected fixed, chanced or ranged", l.Kind))
	}
	return faults
}

// wet returns the chance in a wet round.
func (l Line) wet() Chance {
	if l.Wet == nil {
		return l.Dry
	}
	return *l.Wet
}

// amount returns the distribution of what one job uses, if it uses any, on a grid.
func (l Line) amount(step float64) (PMF, error) {
	if l.Kind != Ranged {
		return SpreadFixed(l.Quantity, step)
	}
	f := 1 + l.Allowance
	if l.Typical == nil {
		return SpreadUniform(l.Min*f, l.Max*f, step)
	}
	return SpreadTriangle(l.Min*f, *l.Typical*f, l.Max*f, step)
}
