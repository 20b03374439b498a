package demand

import (
	"fmt"
	"math"
)

// share is one independent part of the total: one line of a planned
// service, or an unplanned service with all its lines. Given how much of its jobs
// or exposure falls in wet rounds its distribution is known.
type share struct {
	amounts []float64 // jobs or exposure of each round
	part    int       // Readiness: whose share it is
	total   float64
	// given returns the distribution when `wet` of the total is in wet rounds.
	given func(wet float64) (PMF, error)
	// weather tells whether `wet` matters at all.
	weather bool
	// shared tells whether an unknown chance or rate ties the rounds together; if
	// not, the rounds may be taken one by one.
	shared bool
	// gamma is set for an unplanned service with an unknown rate.
	gamma *gammaShare
	// split returns the share of a part of the rounds alone, dry and wet amounts
	// apart; nil if shared.
	split func(dry, wet float64) (PMF, error)
}

// gammaShare lets the rate of a share be fixed (see mixRates).
type gammaShare struct {
	rate   Rate
	factor float64 // wet factor
	fixed  func(rate float64) share
}

// shares takes a valid need apart.
func (n Need) shares(step float64) ([]share, error) {
	var out []share
	for i, s := range n.Services {
		var list []share
		var err error
		if s.Unplanned != nil {
			list, err = s.unplannedShares(step)
		} else {
			list, err = s.plannedShares(step)
		}
		if err != nil {
			return nil, fmt.Errorf("service %d: %w", i+1, err)
		}
		for _, sh := range list {
			if sh.total > 0 {
				out = append(out, sh)
			}
		}
	}
	return out, nil
}

func (s Service) plannedShares(step float64) ([]share, error) {
	amounts := make([]float64, len(s.Jobs))
	total := 0
	for r, n := range s.Jobs {
		amounts[r] = float64(n)
		total += n
	}
	var out []share
	for i, l := range s.Lines {
		sh, err := l.plannedShare(total, step)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", i+1, err)
		}
		sh.amounts, sh.total = amounts, float64(total)
		out = append(out, sh)
	}
	return out, nil
}

func (l Line) plannedShare(total int, step float64) (share, error) {
	switch l.Kind {
	case Fixed: // one amount for all jobs, spread once
		d, err := SpreadFixed(l.Quantity*float64(total), step)
		return constant(d), err
	case Ranged:
		d, err := l.rangeSum(total, step)
		return constant(d), err
	}
	size, err := l.amount(step)
	if err != nil {
		return share{}, err
	}
	if l.Wet == nil {
		d, err := chanceSum(total, l.Dry, size)
		return constant(d), err
	}
	dryWet := func(dry, wet float64) (PMF, error) {
		return convolveOf(
			func() (PMF, error) { return chanceSum(int(math.Round(dry)), l.Dry, size) },
			func() (PMF, error) { return chanceSum(int(math.Round(wet)), *l.Wet, size) })
	}
	sh := share{
		weather: !(l.Dry.Known() && l.Wet.Known() && l.Dry.P == l.Wet.P) && l.Quantity > 0,
		shared:  !l.Dry.Known() || !l.Wet.Known(),
		given:   func(wet float64) (PMF, error) { return dryWet(float64(total)-wet, wet) },
	}
	if !sh.shared {
		sh.split = dryWet
	}
	return sh, nil
}

// constant is a share on which the weather has no bearing.
func constant(d PMF) share {
	return share{given: func(float64) (PMF, error) { return d, nil }}
}

// chanceSum returns K sizes, K of n jobs by the chance c.
func chanceSum(n int, c Chance, size PMF) (PMF, error) {
	if c.Known() {
		return CompoundBinomial(n, c.P, size)
	}
	count, err := BetaBinomial(n, c.A, c.B)
	if err != nil {
		return PMF{}, err
	}
	return Compound(count, size)
}

func convolveOf(a, b func() (PMF, error)) (PMF, error) {
	x, err := a()
	if err != nil {
		return PMF{}, err
	}
	y, err := b()
	if err != nil {
		return PMF{}, err
	}
	return Convolve(x, y)
}

// jobSize returns what one unplanned job uses over all its lines, in dry or wet.
func (s Service) jobSize(wet bool, step float64) (PMF, error) {
	total := Point(0)
	for i, l := range s.Lines {
		size, err := l.amount(step)
		if err != nil {
			return PMF{}, fmt.Errorf("line %d: %w", i+1, err)
		}
		if l.Kind == Chanced {
			c := l.Dry
			if wet {
				c = l.wet()
			}
			if size, err = Mix([]float64{1 - c.P, c.P}, []PMF{Point(0), size}); err != nil {
				return PMF{}, err
			}
		}
		if total, err = Convolve(total, size); err != nil {
			return PMF{}, fmt.Errorf("line %d: %w", i+1, err)
		}
	}
	return total, nil
}

func (s Service) unplannedShares(step float64) ([]share, error) {
	u := s.Unplanned
	drySize, err := s.jobSize(false, step)
	if err != nil {
		return nil, err
	}
	wetSize, err := s.jobSize(true, step)
	if err != nil {
		return nil, err
	}
	total := 0.0
	for _, e := range u.Exposure {
		total += e
	}
	weather := u.WetFactor != 1
	for _, l := range s.Lines {
		weather = weather || l.Kind == Chanced && l.wet() != l.Dry
	}
	// count and size when dry and wet exposure (factor not yet in) are known
	jobs := func(dry, wet float64) (exposure float64, size PMF, err error) {
		dry, wet = max(dry, 0), max(wet, 0)
		exposure = dry + wet*u.WetFactor
		if exposure == 0 {
			return 0, Point(0), nil
		}
		w := wet * u.WetFactor / exposure
		size, err = Mix([]float64{1 - w, w}, []PMF{drySize, wetSize})
		return exposure, size, err
	}
	base := share{amounts: u.Exposure, total: total, weather: weather}
	known := func(rate float64) share {
		sh := base
		sh.split = func(dry, wet float64) (PMF, error) {
			exposure, size, err := jobs(dry, wet)
			if err != nil {
				return PMF{}, err
			}
			return CompoundPoisson(rate*exposure, size)
		}
		sh.given = func(wet float64) (PMF, error) { return sh.split(total-wet, wet) }
		return sh
	}
	if u.Rate.Known() {
		return []share{known(u.Rate.Value)}, nil
	}
	sh := base
	sh.shared = true
	sh.gamma = &gammaShare{rate: u.Rate, factor: u.WetFactor, fixed: known}
	sh.given = func(wet float64) (PMF, error) {
		exposure, size, err := jobs(total-wet, wet)
		if err != nil {
			return PMF{}, err
		}
		return compoundNegBinomial(u.Rate.Alpha, exposure/(u.Rate.Beta+exposure), size)
	}
	return []share{sh}, nil
}

// rangeSum returns the sum of n independent amounts of a range line.
func (l Line) rangeSum(n int, step float64) (PMF, error) {
	size, err := l.amount(step)
	if err != nil {
		return PMF{}, err
	}
	return Power(size, n)
}
