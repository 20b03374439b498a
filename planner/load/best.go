package load

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"roundkit/planner/demand"
	"roundkit/planner/load/solve"
)

// Supply is one part of a load to choose: its need in pieces and what there is.
type Supply struct {
	Need      demand.PMF
	Available int // containers
	Container int // pieces in one, 1 or more
	Must      int // containers that must be carried
	Uses      map[string]float64
}

// Wish is what a load to choose is asked for. Without Target: the greatest readiness
// within the limits. With it: the least total of Least among the loads within the limits
// that reach it.
type Wish struct {
	Supplies []Supply
	Limits   map[string]float64
	Target   *float64
	Least    string
	States   int // partial choices kept at one time, and looked at from both ends; 0: the usual
}

// Chosen is a load: containers of each part, and the readiness, the product of the
// chances that each need is met.
type Chosen struct {
	Quantity  []int
	Readiness float64
	Uses      map[string]float64
	Gap       float64   // proven: in log readiness, or in Least where a target is given
	Worth     []float64 // of one more of each limit, by name: log readiness, or Least
}

// Errors of Choose.
var (
	ErrMust   = errors.New("what must be carried is over a limit")
	ErrTarget = errors.New("no load within the limits reaches the target")
)

// mostLimits is one more than the most limits of a wish.
const mostLimits = 16

// reachSlack is how far a readiness may stay below the target: the rounding of products.
const reachSlack = 1e-12

// Choose returns the best load of independent parts, whole containers, must <= quantity
// <= available. It returns ErrMust where what must be carried breaks a limit and ErrTarget
// where no load reaches the target.
func Choose(ctx context.Context, w Wish) (Chosen, error) {
	if err := w.validate(); err != nil {
		return Chosen{}, err
	}
	names := slices.Sorted(maps.Keys(w.Limits))
	levels := make([][]level, len(w.Supplies))
	must := map[string]float64{}
	for i, s := range w.Supplies {
		levels[i] = s.levels()
		for name, u := range s.Uses {
			must[name] += u * float64(s.Must)
		}
	}
	for _, name := range names {
		if must[name] > w.Limits[name]+solve.Slack {
			return Chosen{}, fmt.Errorf("%w: found %v of %s, expected at most %v", ErrMust, must[name], name, w.Limits[name])
		}
	}
	forward, err := w.forward(ctx, levels, names)
	if err != nil || w.Target == nil {
		return forward, err
	}
	if forward.Readiness < *w.Target-reachSlack {
		return Chosen{}, fmt.Errorf("%w: found at most %v, expected %v", ErrTarget, forward.Readiness, *w.Target)
	}
	return w.inverse(ctx, levels, names, forward)
}

// level is a number of containers and the logarithm of the chance that it is enough.
type level struct {
	quantity int
	log      float64
}

// levels returns the numbers of containers worth carrying: from must on, each with a
// better chance than the one before.
func (s Supply) levels() []level {
	out := []level{{s.Must, math.Log(s.Need.CDF(s.pieces(s.Must)))}}
	cum := s.Need.Cumulative()
	most := s.Available
	if full := s.Need.Max() / s.Container; full < most {
		most = max(s.Must, full+1)
	}
	for q := s.Must + 1; q <= most; q++ {
		k := s.pieces(q) - s.Need.From
		if k < 0 {
			continue
		}
		f := cum[min(k, len(cum)-1)]
		log := math.Log(f)
		if f > 0.5 { // the tail has more digits
			log = math.Log1p(-s.Need.Survival(s.pieces(q) + 1))
		}
		if log > out[len(out)-1].log {
			out = append(out, level{q, log})
		}
		if k >= len(cum)-1 {
			break
		}
	}
	return out
}

// pieces of so many containers; a product over any need is as good as enough.
func (s Supply) pieces(q int) int {
	if q > 0 && s.Container > math.MaxInt32/q {
		return math.MaxInt32
	}
	return q * s.Container
}

func (w Wish) validate() error {
	var faults []error
	for i, s := range w.Supplies {
		if s.Container < 1 {
			faults = append(faults, fmt.Errorf("part %d: container: found %d, expected 1 or more", i+1, s.Container))
		}
		if s.Must < 0 || s.Must > s.Available {
			faults = append(faults, fmt.Errorf("part %d: must: found %d, expected 0 to what is available, %d", i+1, s.Must, s.Available))
		}
		for _, name := range slices.Sorted(maps.Keys(s.Uses)) {
			if u := s.Uses[name]; !(u >= 0) || math.IsInf(u, 0) {
				faults = append(faults, fmt.Errorf("part %d: %s: found %v, expected 0 or more", i+1, name, u))
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(w.Limits)) {
		if l := w.Limits[name]; !(l >= 0) {
			faults = append(faults, fmt.Errorf("limit of %s: found %v, expected 0 or more", name, l))
		}
	}
	if len(w.Limits) >= mostLimits {
		faults = append(faults, fmt.Errorf("limits: found %d, expected at most %d", len(w.Limits), mostLimits-1))
	}
	return errors.Join(faults...)
}

// forward maximises the readiness. A part that no load within the limits gives any chance
// makes every load worthless: then what must be carried is the answer.
func (w Wish) forward(ctx context.Context, levels [][]level, names []string) (Chosen, error) {
	p, at, hopeless := w.problem(levels, names)
	quantity := make([]int, len(levels))
	for i, s := range w.Supplies {
		quantity[i] = s.Must
	}
	if hopeless {
		return w.chosen(quantity, 0, nil), nil
	}
	s, err := p.Solve(ctx, w.effort())
	if err != nil {
		return Chosen{}, err
	}
	for i, o := range s.Choice {
		quantity[i] = levels[i][at[i][o]].quantity
	}
	return w.chosen(quantity, s.Bound-s.Value, s.Worth), nil
}

// problem makes the problem of a wish, the level of each option, and says if a part has
// none.
func (w Wish) problem(levels [][]level, names []string) (p solve.Problem, at [][]int, hopeless bool) {
	p = solve.Problem{Limit: make([]float64, len(names)), Items: make([]solve.Item, len(levels)), Start: make([]int, len(levels))}
	at = make([][]int, len(levels)) // level of each option
	for j, name := range names {
		p.Limit[j] = w.Limits[name]
	}
	for i, s := range w.Supplies {
		for k, l := range levels[i] {
			if !math.IsInf(l.log, -1) {
				p.Items[i].Add(l.log, s.row(names, l.quantity))
				at[i] = append(at[i], k)
			}
		}
		hopeless = hopeless || len(at[i]) == 0
	}
	if !hopeless {
		_, use := p.Total(p.Start)
		hopeless = !p.Within(use)
	}
	return p, at, hopeless
}

// inverse minimises a use at a target readiness: the logarithms become a row.
func (w Wish) inverse(ctx context.Context, levels [][]level, names []string, forward Chosen) (Chosen, error) {
	m := len(names)
	need := math.Inf(1)
	if *w.Target > reachSlack {
		need = -math.Log(*w.Target - reachSlack)
		m++
	}
	p := solve.Problem{Limit: make([]float64, m), Items: make([]solve.Item, len(levels)), Start: make([]int, len(levels))}
	at := make([][]int, len(levels))
	for j, name := range names {
		p.Limit[j] = w.Limits[name]
	}
	if m > len(names) {
		// the row's own rounding allowance is 1e-9: take it off, so that the target holds
		p.Limit[m-1] = need - solve.Slack
	}
	for i, s := range w.Supplies {
		for k, l := range levels[i] {
			if m > len(names) && math.IsInf(l.log, -1) {
				continue
			}
			if l.quantity == forward.Quantity[i] {
				p.Start[i] = len(at[i])
			}
			row := s.row(names, l.quantity)
			if m > len(names) {
				row = append(row, -l.log)
			}
			p.Items[i].Add(-s.Uses[w.Least]*float64(l.quantity), row)
			at[i] = append(at[i], k)
		}
	}
	s, err := p.Solve(ctx, w.effort())
	if err != nil {
		return Chosen{}, err
	}
	quantity := make([]int, len(levels))
	for i, o := range s.Choice {
		quantity[i] = levels[i][at[i][o]].quantity
	}
	return w.chosen(quantity, s.Bound-s.Value, s.Worth), nil
}

func (w Wish) effort() solve.Effort { return solve.Effort{States: w.States, Work: w.States} }

// row is what a number of containers takes of each limit.
func (s Supply) row(names []string, q int) []float64 {
	out := make([]float64, len(names), len(names)+1)
	for j, name := range names {
		out[j] = s.Uses[name] * float64(q)
	}
	return out
}

// chosen reckons a load's figures from its quantities alone.
func (w Wish) chosen(quantity []int, gap float64, worth []float64) Chosen {
	c := Chosen{Quantity: quantity, Readiness: 1, Uses: map[string]float64{}, Gap: gap, Worth: worth}
	for name := range w.Limits {
		c.Uses[name] = 0
	}
	for i, s := range w.Supplies {
		c.Readiness *= s.Need.CDF(s.pieces(quantity[i]))
		for name, u := range s.Uses {
			c.Uses[name] += u * float64(quantity[i])
		}
	}
	return c
}
