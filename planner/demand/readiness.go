package demand

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
)

// Readiness is the chance that the need of every part is within its stock. The
// parts of a trip share its weather and its unplanned jobs, so the product of
// their own chances is not the answer; it is given beside it.
type Readiness struct {
	Joint   float64 // the chance itself
	Within  float64 // product over the parts within each weather pattern, then mixed
	Product float64 // product of the parts' own chances

	Exact  bool               // Joint was summed over all states; else drawn
	StdErr float64            // of a drawn Joint
	States int                // weather states summed over
	Draws  int                // draws made, 0 when exact
	Parts  map[string]float64 // each part's own chance
	// Bound tells whether Product <= Within <= Joint is sure: every chance a
	// number and at least as high in the wet, every wet factor 1 or more (Esary,
	// Proschan and Walkup 1967). Else Product is no bound.
	Bound bool
}

// ReadyOptions are the choices of Readiness; the zero value is the usual.
type ReadyOptions struct {
	Steps map[string]float64 // grid of a part where it is not the need's own
	Draws int                // draws where the exact sum is too long; 0: 20,000
	Seed  uint64             // of the draws
	By    Way                // empty: BySum where it is small enough
}

// Way is how a joint chance is found.
type Way string

// The ways: summing over every state of what is shared, or drawing from them.
const (
	BySum  Way = "sum"
	ByDraw Way = "draw"
)

// MaxReadyWork is the most products (weather states x unplanned counts x parts) of an
// exact joint readiness: about a second.
const MaxReadyWork = 1e8

const usualDraws = 20_000

// Readiness returns the chance that no part runs short with this stock (units, by
// part name). Every line names its part, and every such part is in stock.
//
// Method: given the weather and the counts of the unplanned services that touch more
// than one part, the parts are independent. So the product over the parts is
// summed over the states of these, exactly; where that takes more than
// MaxReadyWork the states are drawn instead, with the product still exact in each.
func (n Need) Readiness(stock map[string]float64, opt ReadyOptions) (Readiness, error) {
	if err := n.Validate(); err != nil {
		return Readiness{}, err
	}
	parts, err := n.readyParts(stock, opt)
	if err != nil {
		return Readiness{}, err
	}
	out := Readiness{Product: 1, Parts: map[string]float64{}, Bound: n.bounded()}
	for _, p := range parts {
		d, err := mixWeather(n.Wet, p.shares())
		if err != nil {
			return Readiness{}, fmt.Errorf("part %s: %w", p.name, err)
		}
		out.Parts[p.name] = d.CDF(p.stock)
		out.Product *= out.Parts[p.name]
	}
	w, err := newShop(n, parts)
	if err != nil {
		return Readiness{}, err
	}
	out.States = len(w.states)
	if out.Within, err = w.within(); err != nil {
		return Readiness{}, err
	}
	out.Exact = w.work() <= MaxReadyWork && opt.By != ByDraw || opt.By == BySum
	if out.Exact {
		out.Joint, err = w.sum()
		return out, err
	}
	out.Draws = opt.Draws
	if out.Draws <= 1 {
		out.Draws = usualDraws
	}
	out.Joint, out.StdErr, err = w.draw(out.Draws, opt.Seed)
	return out, err
}

// readyPart is one part of a readiness.
type readyPart struct {
	name  string
	stock int     // in steps
	step  float64 // units
	own   []share // shares of this part that are independent given the weather
	tied  []tied  // shares of unplanned services that also bring other parts
}

// shares returns all of them, the tied ones by their marginals.
func (p *readyPart) shares() []share {
	out := slices.Clone(p.own)
	for _, t := range p.tied {
		out = append(out, t.share)
	}
	return out
}

// tied is what one part needs for an unplanned service's jobs.
type tied struct {
	service          int // index into the need's services
	share            share
	drySize, wetSize PMF
	sums             map[[2]int]PMF // by dry and wet jobs, up to the stock
}

// readyParts takes the need apart by part, in the order of the names.
func (n Need) readyParts(stock map[string]float64, opt ReadyOptions) ([]*readyPart, error) {
	names := map[string]bool{}
	touched := make([]map[string]bool, len(n.Services))
	var faults []error
	for i, s := range n.Services {
		touched[i] = map[string]bool{}
		for j, l := range s.Lines {
			if l.Part == "" {
				faults = append(faults, fmt.Errorf("service %d, line %d: found no part, expected a name", i+1, j+1))
				continue
			}
			names[l.Part], touched[i][l.Part] = true, true
		}
	}
	for _, name := range slices.Sorted(maps.Keys(stock)) {
		if err := within("stock of "+name, stock[name], 0, math.MaxFloat64); err != nil {
			faults = append(faults, err)
		}
	}
	sorted := slices.Sorted(maps.Keys(names))
	for _, name := range sorted {
		if _, ok := stock[name]; !ok {
			faults = append(faults, fmt.Errorf("stock: found no entry for %s, expected a number of 0 or more", name))
		}
		if step, ok := opt.Steps[name]; ok {
			if err := within("step of "+name, step, minStep, maxStep); err != nil {
				faults = append(faults, err)
			}
		}
	}
	if len(faults) > 0 {
		return nil, errors.Join(faults...)
	}
	parts := make([]*readyPart, 0, len(sorted))
	for _, name := range sorted {
		p := &readyPart{name: name, step: n.step()}
		if step, ok := opt.Steps[name]; ok {
			p.step = step
		}
		p.stock = stockSteps(stock[name], p.step)
		if err := p.take(n, touched); err != nil {
			return nil, fmt.Errorf("part %s: %w", name, err)
		}
		parts = append(parts, p)
	}
	return parts, nil
}

// stockSteps returns the whole steps in a stock; one within onGrid of a grid point is
// on it.
func stockSteps(stock, step float64) int {
	k := min(stock/step, 1e15)
	if near := math.Round(k); math.Abs(k-near) <= onGrid {
		return int(near)
	}
	return int(math.Floor(k))
}

// take fills in the shares of the part.
func (p *readyPart) take(n Need, touched []map[string]bool) error {
	for i, s := range n.Services {
		if !touched[i][p.name] {
			continue
		}
		mine := s
		mine.Lines = nil
		for _, l := range s.Lines {
			if l.Part == p.name {
				mine.Lines = append(mine.Lines, l)
			}
		}
		list, err := Need{Wet: n.Wet, Services: []Service{mine}}.shares(p.step)
		if err != nil {
			return err
		}
		if s.Unplanned == nil || len(touched[i]) == 1 {
			p.own = append(p.own, list...)
			continue
		}
		for _, sh := range list { // at most one
			t := tied{service: i, share: sh, sums: map[[2]int]PMF{}}
			if t.drySize, err = mine.jobSize(false, p.step); err != nil {
				return err
			}
			if t.wetSize, err = mine.jobSize(true, p.step); err != nil {
				return err
			}
			p.tied = append(p.tied, t)
		}
	}
	return nil
}

// bounded tells whether every need grows with the wet.
func (n Need) bounded() bool {
	for _, s := range n.Services {
		if s.Unplanned != nil && s.Unplanned.WetFactor < 1 {
			return false
		}
		for _, l := range s.Lines {
			if l.Kind == Chanced && l.Wet != nil && (!l.Dry.Known() || !l.Wet.Known() || l.Wet.P < l.Dry.P) {
				return false
			}
		}
	}
	return true
}
