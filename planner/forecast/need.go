package forecast

import (
	"fmt"
	"math"

	"roundkit/planner"
	"roundkit/planner/chain"
	"roundkit/planner/demand"
	"roundkit/planner/units"
)

// Need is what a horizon will use of one part.
type Need struct {
	Dist   demand.Lattice // in the part's unit
	Step   units.Quantity // of the grid, base units
	Coarse string         // not empty: the grid is coarser than accuracy asks for, and why

	uses    []use
	springs []SpringRound
	onSite  []use
	siteMax demand.PMF // the most wanted on site
	wanted  demand.PMF // springs at once, without breakage
	gap     *chain.Gap // against what the trips before leave; nil where they are not asked
	there   int        // steps of what Cover is asked for that the gap counts as there
}

// AtConfidence returns the smallest amount whose chance of being enough reaches q, in
// base units.
func (n Need) AtConfidence(q float64) units.Quantity {
	return units.Quantity(n.Dist.PMF.Quantile(q)) * n.Step
}

// Cover returns the chance that an amount of base units is enough.
func (n Need) Cover(have units.Quantity) float64 {
	return n.Dist.PMF.CDF(n.steps(have))
}

// CoverWith returns the chance that an amount of base units and some more from elsewhere are
// enough: what stands in, what is inside an opened kit. Where trips before take from the same
// stock it is more than Cover of the sum, which counts a need that stock can no longer meet
// as beyond everything.
func (n Need) CoverWith(have, other units.Quantity) float64 {
	if n.gap == nil || other <= 0 {
		return n.Cover(have + max(other, 0))
	}
	return n.gap.Enough(n.steps(have)-n.there, n.steps(other))
}

// RunShort returns the chance that an amount of base units is not enough, accurate
// however small it is.
func (n Need) RunShort(have units.Quantity) float64 {
	return n.Dist.PMF.Survival(n.steps(have) + 1)
}

// steps returns the whole grid steps in an amount of 0 or more; the zero Need, which
// is always 0, has steps of one base unit.
func (n Need) steps(have units.Quantity) int { return int(have / max(n.Step, 1)) }

// NeedOf returns what the horizon will use of a part.
func (o *Outlook) NeedOf(code string, h Horizon) (Need, error) {
	p, err := o.Part(code)
	if err != nil {
		return Need{}, err
	}
	return o.needOf(p, h, o.workOf(h))
}

func (o *Outlook) needOf(p planner.Part, h Horizon, w work) (Need, error) {
	n := Need{Step: 1, uses: w.uses[p.Code], onSite: w.onSite[p.Code]}
	fail := func(err error) (Need, error) { return Need{}, fmt.Errorf("part %s: %w", p.Code, err) }
	lines := w.need(n.uses, 1)
	step := 1.0
	if p.Unit != units.PC {
		g, err := lines.GridStep()
		if err != nil {
			return fail(err)
		}
		n.Coarse, step = g.Coarse, g.Step
		n.Step = units.Quantity(math.Round(step * float64(p.Unit.Base())))
		lines.Step = step
	}
	dist, err := lines.Distribution()
	if err != nil {
		return fail(err)
	}
	total := []demand.PMF{dist.PMF}
	if n.springs, err = o.springRounds(p.Code, h); err != nil {
		return fail(err)
	}
	if len(n.springs) > 0 {
		var atOnce demand.PMF
		if n.wanted, atOnce, err = springNeed(n.springs); err != nil {
			return fail(err)
		}
		total = append(total, atOnce)
	}
	if len(n.onSite) > 0 {
		if n.siteMax, err = w.siteNeed(n.onSite, h, step); err != nil {
			return fail(err)
		}
		total = append(total, n.siteMax)
	}
	sum, err := demand.Sum(total...)
	if err != nil {
		return fail(err)
	}
	n.Dist = demand.Lattice{PMF: sum, Step: step}
	return n, nil
}

// siteNeed returns how much must be on site: the line's quantity on each trip with
// such a job, planned or by chance, however many jobs; since it is not used up, the
// same serves the next trip, and the most wanted on any trip is the need.
func (w work) siteNeed(uses []use, h Horizon, step float64) (demand.PMF, error) {
	var wanted []demand.PMF
	for _, t := range h.Trips {
		for _, u := range uses {
			none, err := w.noJob(u, t.Code)
			if err != nil {
				return demand.PMF{}, err
			}
			size, err := demand.SpreadFixed(u.line.use.Quantity, step)
			if err != nil {
				return demand.PMF{}, err
			}
			one, err := demand.Mix([]float64{none, 1 - none}, []demand.PMF{demand.Point(0), size})
			if err != nil {
				return demand.PMF{}, err
			}
			wanted = append(wanted, one)
		}
	}
	return demand.MaxOf(wanted...)
}

// noJob returns the chance that a trip has no job of a use: 0 or 1 where they are
// planned.
func (w work) noJob(u use, trip string) (float64, error) {
	u.line.use = demand.Line{Kind: demand.Fixed, Quantity: 1}
	one := u
	if u.crash != nil {
		c := *u.crash
		c.Exposure = append([]float64(nil), c.Exposure...)
		one.crash = &c
	} else {
		one.jobs = append([]int(nil), u.jobs...)
	}
	for i, r := range w.rounds {
		switch {
		case r.Trip == trip:
		case u.crash != nil:
			one.crash.Exposure[i] = 0
		default:
			one.jobs[i] = 0
		}
	}
	d, err := w.need([]use{one}, 1).Distribution()
	if err != nil {
		return 0, err
	}
	return d.PMF.At(0), nil
}
