package demand

import (
	"fmt"
	"math"
)

// Moments returns the mean and the variance of the need in units and units squared,
// straight from the amounts and chances, without a grid: by the law of total
// variance over the weather and the unknown chances and rates. On a grid the
// mean is the same and the variance a little larger (at most a quarter of a
// squared step for each amount that is spread).
func (n Need) Moments() (mean, variance float64, err error) {
	if err := n.Validate(); err != nil {
		return 0, 0, err
	}
	swing := make([]float64, len(n.Wet)) // how much more each round needs when wet
	for _, s := range n.Services {
		for _, l := range s.Lines {
			if s.Unplanned == nil {
				m, v := l.plannedMoments(s.Jobs, n.Wet, swing)
				mean, variance = mean+m, variance+v
			}
		}
		if s.Unplanned != nil {
			m, v := s.unplannedMoments(n.Wet, swing)
			mean, variance = mean+m, variance+v
		}
	}
	return mean, variance + weatherVar(n.Wet, swing), nil
}

// weatherVar returns the variance of the sum of swing over the wet rounds.
func weatherVar(wet, swing []float64) float64 {
	v := 0.0
	for r, w := range wet {
		v += w * (1 - w) * swing[r] * swing[r]
	}
	return v
}

// plannedMoments returns the mean, and the mean over the weather of the variance
// given the weather; it adds to the swing of each round.
func (l Line) plannedMoments(jobs []int, wet, swing []float64) (mean, variance float64) {
	var d, w, both float64 // expected dry and wet jobs, all jobs
	counts := make([]float64, len(jobs))
	for r, n := range jobs {
		counts[r] = float64(n)
		both += counts[r]
		w += counts[r] * wet[r]
	}
	d = both - w
	spread := weatherVar(wet, counts)
	q := l.Quantity
	switch l.Kind {
	case Fixed:
		return q * both, 0
	case Ranged:
		m, v := l.amountMoments()
		return m * both, v * both
	}
	if l.Wet == nil {
		return q * both * l.Dry.Mean(), q * q * countVar(l.Dry, both, 0)
	}
	dry, rain := l.Dry.Mean(), l.Wet.Mean()
	for r := range swing {
		swing[r] += q * counts[r] * (rain - dry)
	}
	return q * (d*dry + w*rain), q * q * (countVar(l.Dry, d, spread) + countVar(*l.Wet, w, spread))
}

// countVar returns the expected variance of the jobs that need the part when the
// number of jobs has a mean and a variance itself: n m(1-m), and for an unknown
// chance n(n-1) Var(chance) more.
func countVar(c Chance, mean, variance float64) float64 {
	m := c.Mean()
	v := mean * m * (1 - m)
	if !c.Known() {
		v += (mean*mean + variance - mean) * m * (1 - m) / (c.A + c.B + 1)
	}
	return v
}

// amountMoments returns the mean and variance of one job's amount, if it uses any.
func (l Line) amountMoments() (mean, variance float64) {
	if l.Kind != Ranged {
		return l.Quantity, 0
	}
	f := 1 + l.Allowance
	a, b := l.Min*f, l.Max*f
	if l.Typical == nil {
		return (a + b) / 2, (b - a) * (b - a) / 12
	}
	c := *l.Typical * f
	// the usual a2+b2+c2-ab-ac-bc, in differences
	return (a + b + c) / 3, ((b-a)*(b-a) - (c-a)*(b-c)) / 18
}

// jobMoments returns the mean and variance of what one unplanned job uses.
func (s Service) jobMoments(wet bool) (mean, variance float64) {
	for _, l := range s.Lines {
		m, v := l.amountMoments()
		if l.Kind == Chanced {
			p := l.Dry.P
			if wet {
				p = l.wet().P
			}
			m, v = p*m, p*(1-p)*m*m
		}
		mean, variance = mean+m, variance+v
	}
	return mean, variance
}

func (s Service) unplannedMoments(wet, swing []float64) (mean, variance float64) {
	u := s.Unplanned
	dm, dv := s.jobMoments(false)
	wm, wv := s.jobMoments(true)
	rate := u.Rate.Mean()
	perRate := 0.0 // expected use per unit of rate
	swings := make([]float64, len(wet))
	for r, e := range u.Exposure {
		dry, rain := e*(1-wet[r]), e*wet[r]*u.WetFactor
		perRate += dry*dm + rain*wm
		variance += rate * (dry*(dv+dm*dm) + rain*(wv+wm*wm))
		swings[r] = e * (u.WetFactor*wm - dm)
		swing[r] += rate * swings[r]
	}
	if !u.Rate.Known() {
		variance += u.Rate.Alpha / (u.Rate.Beta * u.Rate.Beta) * (perRate*perRate + weatherVar(wet, swings))
	}
	return rate * perRate, variance
}

// MostPoints is the longest grid that GridStep chooses.
const MostPoints = 65_536

// gridSteps are the steps a liquid or a grease may be worked on, in ml or g.
var gridSteps = [...]float64{10, 5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01}

// Grid is the step chosen for a liquid, and why it is no finer, if it should be.
type Grid struct {
	Step   float64 // ml or g
	Wanted float64 // the largest step that is fine enough; below Step only if too many points
	Coarse string  // empty, or what to tell: the step is coarser than wanted
}

// GridStep chooses the grid of a liquid or a grease: the largest step of 0.01, 0.02,
// 0.05 ... 10 that is at most a sixteenth of the narrowest range and an eighth of
// the need's standard deviation, because a coarser one makes "enough" look likelier
// than it is. Where that takes more than MostPoints points over twenty standard
// deviations the step is coarser, and Coarse says so. A need that is certain
// gets the finest step.
func (n Need) GridStep() (Grid, error) {
	n.Step = 0
	_, variance, err := n.Moments()
	if err != nil {
		return Grid{}, err
	}
	sd := math.Sqrt(variance)
	most := sd / 8
	for _, s := range n.Services {
		for _, l := range s.Lines {
			if w := (l.Max - l.Min) * (1 + l.Allowance); l.Kind == Ranged && w > 0 {
				most = min(most, w/16)
			}
		}
	}
	finest := gridSteps[len(gridSteps)-1]
	g := Grid{Step: finest, Wanted: finest}
	for _, h := range gridSteps {
		if h <= most*(1+onGrid) {
			g.Step, g.Wanted = h, h
			break
		}
	}
	for i := len(gridSteps) - 1; i >= 0 && 20*sd/g.Step > MostPoints; i-- {
		g.Step = max(g.Step, gridSteps[i])
	}
	if g.Step > g.Wanted {
		g.Coarse = fmt.Sprintf("grid of %g where %g is wanted: more than %d points", g.Step, g.Wanted, MostPoints)
	}
	return g, nil
}
