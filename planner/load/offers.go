package load

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"roundkit/planner/calendar"
	"roundkit/planner/load/solve"
)

// Offer is another load, by what it weighs: the kilos of what is packed and of the cases that
// go, and how many more than the load they are (below 0: fewer).
type Offer struct {
	Readiness float64 // the product over what the load's own target counts; 0: of the certain jobs
	KG, More  float64
}

// offered are the readinesses that a load is held against.
var offered = []float64{0.95, 0.99}

// offers finds the lightest load with which every certain job can be done and, of the next
// readiness above the load's, what it would weigh: the other limits as they are, the kilos
// without one. What cannot be had is not offered.
func (p *packing) offers() (certain, more *Offer, err error) {
	if p.trip.GoesBy == calendar.Home || p.closed {
		return nil, nil, nil
	}
	picks, cases, least := p.picks(), p.cases, p.opts.Least
	defer func() { p.putBack(picks); p.cases, p.opts.Least = cases, least }()
	p.opts.Least = WhyKilos
	skip := p.counted
	if skip == nil {
		skip = p.givenUp()
	}
	now := p.product(p.mixed(), p.haves(), skip)
	if p.asked.For == ForReadiness {
		now = max(now, p.asked.Reached)
	}
	kilos := func(bins []Case) (kg float64) {
		for i := range p.parts {
			kg += p.parts[i].of(p.parts[i].set(), kilosOfContainer).InexactFloat64()
		}
		for k := range bins {
			kg += p.leastOfCase(&bins[k])
		}
		return kg
	}
	have := kilos(cases)
	rows := slices.DeleteFunc(slices.Clone(p.limits), func(l limit) bool { return l.what == WhyKilos })
	for i := range p.parts { // of a load to the confidence: the offer may go beyond it
		defer func(was bool) { p.parts[i].capped = was }(p.parts[i].capped)
		p.parts[i].capped = false
	}
	weigh := func(log float64, wanted []int) (*Offer, error) {
		w, err := p.weigh(rows, skip, wanted)
		if err != nil {
			return nil, nil // no load gives a chance
		}
		l := p.turned(w, kilosOfContainer)
		l.Limit[len(l.Limit)-1] = min(1e6, -(log-w.constant)-solve.Slack+reachSlack)
		got, err := l.Solve(p.soon, solve.Effort{Gap: 1e-4, Work: fewWork / 10, States: fewStates / 10})
		if err != nil || got.Choice == nil {
			return nil, err
		}
		p.take(w, got.Choice)
		var bins []Case
		for _, b := range got.Bins {
			bins = append(bins, p.boxes[b])
		}
		kg := kilos(bins)
		return &Offer{KG: kg, More: kg - have}, nil
	}
	if certain, err = weigh(-noChance, nil); err != nil {
		return nil, nil, err
	}
	for _, target := range offered {
		if now >= target-reachSlack {
			continue
		}
		if more, err = weigh(math.Log(target), picks); more != nil {
			more.Readiness = target
		}
		break
	}
	return certain, more, err
}

// noChance is the logarithm of a chance below every other, turned round.
const noChance = 1e6

// OfferWords say what the next readiness would weigh and what the certain jobs do; "" where
// nothing is known of them.
func (r *Result) OfferWords() string {
	var words []string
	if o := r.More; o != nil {
		words = append(words, fmt.Sprintf("%+.1f kg gives %.0f %%", o.More, 100*o.Readiness))
	}
	if o := r.Certain; o != nil {
		words = append(words, fmt.Sprintf("the least for every certain job: %.1f kg (%+.1f kg)", o.KG, o.More))
	}
	return strings.Join(words, "; ")
}
