package forecast

import (
	"fmt"
	"math"

	"roundkit/planner/demand"
	"roundkit/planner/units"
)

// Term is what one line of a service brings to a part's need at one round; amounts
// are in the part's unit. The means of all terms add up to the need's mean; the
// spreads do not, since rounds share weather and unknown chances.
type Term struct {
	Round, Service string  // round "" for what is wanted at once over all of them
	Line           string  // the line as a mechanic writes it
	Jobs           float64 // left to do; of an unplanned service, the number expected
	Unplanned      bool
	Stops          bool    // the job cannot be done without it
	Wet            float64 // chance that the round is wet, as known
	Mean, SD       float64
	Dry, Rain      float64        // mean if the round is dry, and if it is wet
	AtConfidence   units.Quantity // of this term alone, base units
}

// Explanation is the chain of reasons behind one part's line.
type Explanation struct {
	Part
	Terms   []Term
	Springs []SpringRound // of a spring: what each round wants at once
	Result  Result        // as asked for, without its parts
}

// Explain returns the reasons of one part's forecast.
func (o *Outlook) Explain(code string, opts Options) (Explanation, error) {
	p, err := o.Part(code)
	if err != nil {
		return Explanation{}, err
	}
	a, err := o.ask(opts)
	if err != nil {
		return Explanation{}, err
	}
	x := Explanation{Result: Result{AsOf: o.Snapshot.AsOf, Horizon: a.h, At: opts.At, Confidence: a.confidence, Notes: a.work.notes}}
	if x.Part, err = a.part(p); err != nil {
		return Explanation{}, err
	}
	if err := a.addKitsOf(&x.Part); err != nil {
		return Explanation{}, fmt.Errorf("part %s: %w", code, err)
	}
	if !opts.Alone {
		c, err := o.ChainTo(a.h, a.chainOptions())
		if err != nil {
			return Explanation{}, err
		}
		if c != nil {
			then, err := c.Of(p, x.Need)
			if err != nil {
				return Explanation{}, err
			}
			x.Then, x.Result.Before = &then, c.Trips()
		}
	}
	x.Springs = x.Part.springs
	if x.Terms, err = a.terms(x.Part); err != nil {
		return Explanation{}, fmt.Errorf("part %s: %w", code, err)
	}
	return x, nil
}

// terms lists the lines round by round, then what is wanted at once.
func (a asked) terms(p Part) ([]Term, error) {
	var out []Term
	for r := range a.work.rounds {
		for _, u := range p.uses {
			t, err := a.term(p, u, r)
			if err != nil {
				return nil, err
			}
			if t.Jobs > 0 {
				out = append(out, t)
			}
		}
	}
	out = append(out, a.siteTerms(p)...)
	springs, err := springTerms(p)
	return append(out, springs...), err
}

func (a asked) term(p Part, u use, round int) (Term, error) {
	w := a.work.wet[round]
	t := Term{
		Round: a.work.rounds[round].Code, Service: u.service, Line: u.line.text,
		Unplanned: u.crash != nil, Stops: u.line.stops, Wet: w,
	}
	if u.crash == nil {
		t.Jobs = float64(u.jobs[round])
	} else {
		t.Jobs = u.crash.Rate.Mean() * u.crash.Exposure[round] * (1 - w + w*u.crash.WetFactor)
	}
	if t.Jobs == 0 {
		return t, nil
	}
	alone := a.work.need([]use{u.only(round)}, p.Dist.Step)
	var variance float64
	for _, side := range []struct {
		wet  float64
		mean *float64
	}{{0, &t.Dry}, {1, &t.Rain}, {w, &t.Mean}} {
		n := alone
		n.Wet = []float64{side.wet}
		var err error
		if *side.mean, variance, err = n.Moments(); err != nil { // the last is kept
			return t, err
		}
	}
	t.SD = math.Sqrt(max(0, variance))
	d, err := alone.Distribution()
	if err != nil {
		return t, err
	}
	t.AtConfidence = units.Quantity(d.PMF.Quantile(p.Confidence)) * p.Step
	return t, nil
}

// siteTerms says once what must be on site: the trips share it.
func (a asked) siteTerms(p Part) []Term {
	if len(p.onSite) == 0 {
		return nil
	}
	jobs := 0.0
	for _, u := range p.onSite {
		for r, w := range a.work.wet {
			if u.crash == nil {
				jobs += float64(u.jobs[r])
			} else {
				jobs += u.crash.Rate.Mean() * u.crash.Exposure[r] * (1 - w + w*u.crash.WetFactor)
			}
		}
	}
	u := p.onSite[0]
	return []Term{wholeTerm(p, u.service, u.line.text, jobs, u.line.stops, p.siteMax)}
}

// springTerms splits the need of a spring: the most wanted at once over the rounds,
// and the breakage of each round.
func springTerms(p Part) ([]Term, error) {
	if len(p.springs) == 0 {
		return nil, nil
	}
	out := []Term{wholeTerm(p, "", "wanted at once", 0, true, p.wanted)}
	for _, r := range p.springs {
		if r.Breaks > 0 {
			d, err := demand.Poisson(r.Breaks)
			if err != nil {
				return nil, err
			}
			t := wholeTerm(p, "", "breakage", 0, true, d)
			t.Round = r.Round
			out = append(out, t)
		}
	}
	return out, nil
}

// wholeTerm is a term on which the weather has no bearing.
func wholeTerm(p Part, service, text string, jobs float64, stops bool, d demand.PMF) Term {
	l := demand.Lattice{PMF: d, Step: p.Dist.Step}
	return Term{Service: service, Line: text, Jobs: jobs, Stops: stops, Mean: l.Mean(), SD: l.SD(), Dry: l.Mean(), Rain: l.Mean(),
		AtConfidence: units.Quantity(d.Quantile(p.Confidence)) * p.Step}
}
