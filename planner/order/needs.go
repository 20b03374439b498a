package order

import (
	"fmt"
	"strings"

	"roundkit/planner"
	"roundkit/planner/demand"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// need is what some rounds will use of a part.
type need struct {
	at       units.Quantity // at confidence
	mean     float64        // base units
	variance float64        // base units squared
	runShort func(have units.Quantity) float64
}

// needs answers what sets of rounds will use, and remembers: parts share their sets.
type needs struct {
	o          *forecast.Outlook
	confidence float64
	workers    int
	whole      map[string]map[string]forecast.Part // of a set of rounds, of every part
	single     map[string]forecast.Need            // of a set of rounds and one part
	springs    map[string]map[string]forecast.SpringRound
	consumed   map[string]bool // parts that a service line uses up
	rounds     string          // all that are left
}

func newNeeds(o *forecast.Outlook, confidence float64, workers int, rounds string, whole forecast.Result) *needs {
	n := &needs{o: o, confidence: confidence, workers: workers, rounds: rounds, whole: map[string]map[string]forecast.Part{},
		single: map[string]forecast.Need{}, springs: map[string]map[string]forecast.SpringRound{}, consumed: map[string]bool{}}
	for _, l := range o.Snapshot.ServiceLines {
		n.consumed[l.Part] = true
	}
	n.keep(rounds, whole)
	return n
}

func (n *needs) keep(rounds string, r forecast.Result) {
	n.whole[rounds] = map[string]forecast.Part{}
	for _, p := range r.Parts {
		n.whole[rounds][p.Code] = p
	}
}

// of returns the need of a part over some rounds. shared says that other parts will
// ask for the same rounds.
func (n *needs) of(part planner.Part, rounds []string, shared bool) (need, error) {
	if len(rounds) == 0 {
		return nothing(), nil
	}
	key := strings.Join(rounds, " ")
	if lines, ok := n.whole[key]; ok {
		return n.read(lines[part.Code].Need), nil
	}
	if shared {
		r, err := n.o.Forecast(forecast.Options{Rounds: rounds, Confidence: n.confidence, Workers: n.workers, Alone: true})
		if err != nil {
			return need{}, err
		}
		n.keep(key, r)
		return n.read(n.whole[key][part.Code].Need), nil
	}
	key += "/" + part.Code
	if one, ok := n.single[key]; ok {
		return n.read(one), nil
	}
	h, err := n.o.Horizon(forecast.Options{Rounds: rounds})
	if err != nil {
		return need{}, err
	}
	one, err := n.o.NeedOf(part.Code, h)
	if err != nil {
		return need{}, err
	}
	n.single[key] = one
	return n.read(one), nil
}

func (n *needs) read(of forecast.Need) need {
	step := float64(max(of.Step, 1))
	return need{at: of.AtConfidence(n.confidence), mean: of.Dist.PMF.Mean() * step, variance: of.Dist.PMF.Var() * step * step, runShort: of.RunShort}
}

func nothing() need { return need{runShort: func(have units.Quantity) float64 { return 0 }} }

// spring reports whether a part is a spring that comes back: what is wanted at once
// counts, not the sum.
func (n *needs) spring(part planner.Part) bool {
	for _, s := range n.o.Snapshot.Springs {
		if s.Part == part.Code {
			return !n.consumed[part.Code]
		}
	}
	return false
}

// atOnce returns how many of a spring must be there for the rounds of a trip: the most
// wanted at once at one of them, and for those that broke at any round so far.
func (n *needs) atOnce(part planner.Part, trip, soFar []string) (need, error) {
	rounds, ok := n.springs[part.Code]
	if !ok {
		x, err := n.o.Explain(part.Code, forecast.Options{Rounds: strings.Fields(n.rounds), Confidence: n.confidence})
		if err != nil {
			return need{}, err
		}
		rounds = map[string]forecast.SpringRound{}
		for _, r := range x.Springs {
			rounds[r.Round] = r
		}
		n.springs[part.Code] = rounds
	}
	wanted := []demand.PMF{demand.Point(0)}
	for _, code := range trip {
		if r, ok := rounds[code]; ok {
			wanted = append(wanted, r.Wanted)
		}
	}
	breaks := 0.0
	for _, code := range soFar {
		breaks += rounds[code].Breaks
	}
	most, err := demand.MaxOf(wanted...)
	if err != nil {
		return need{}, err
	}
	broken, err := demand.Poisson(breaks)
	if err != nil {
		return need{}, fmt.Errorf("breakage: %w", err)
	}
	total, err := demand.Convolve(most, broken)
	if err != nil {
		return need{}, err
	}
	return need{
		at:       units.Quantity(total.Quantile(n.confidence)),
		runShort: func(have units.Quantity) float64 { return total.Survival(int(have) + 1) },
	}, nil
}
