package forecast

import (
	"fmt"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/demand"
)

// use is one line of a service over the rounds of a horizon, on one part.
type use struct {
	service string
	row     int // of the service's lines
	line    line
	jobs    []int             // planned jobs a round; nil for an unplanned service
	crash   *demand.Unplanned // an unplanned service
}

// work is all that is left to do over a horizon.
type work struct {
	rounds []planner.Round
	wet    []float64
	uses   map[string][]use // of a part, in the order of the services and their lines
	onSite map[string][]use
	notes  []string // what could not be counted, and why
}

// workOf lays what is left at each round against the lines of its services.
func (o *Outlook) workOf(h Horizon) work {
	w := work{rounds: h.Rounds, uses: map[string][]use{}, onSite: map[string][]use{}}
	for _, r := range h.Rounds {
		w.wet = append(w.wet, o.wet[r.Code])
	}
	for _, s := range o.Snapshot.Services {
		o.addPlanned(&w, s.Code)
		for _, rate := range o.rates {
			if rate.service == s.Code {
				o.addUnplanned(&w, h, rate)
			}
		}
	}
	return w
}

func (o *Outlook) addPlanned(w *work, service string) {
	jobs := make([]int, len(w.rounds))
	total := 0
	for i, r := range w.rounds {
		for _, l := range o.left[r.Code] {
			if l.Service == service {
				jobs[i] += l.Jobs
				total += l.Jobs
			}
		}
	}
	if total == 0 {
		return
	}
	for row, l := range o.lines[service] {
		u := use{service: service, row: row, line: l, jobs: jobs}
		switch {
		case l.spring(): // a swap uses nothing; springs are counted at once
		case l.OwnPart == damperOil:
			o.addOwnOil(w, u)
		case l.onSite:
			w.onSite[l.Part] = append(w.onSite[l.Part], u)
		default:
			w.add(l.Part, u)
		}
	}
}

// add puts a use of a part to the others; its line says which part, for readiness.
func (w *work) add(part string, u use) {
	u.line.use.Part = part
	w.uses[part] = append(w.uses[part], u)
}

// addOwnOil counts the jobs of a line on each assembly's own oil.
func (o *Outlook) addOwnOil(w *work, u use) {
	ofOil := map[string][]int{}
	var oils []string
	for i, r := range w.rounds {
		for _, l := range o.left[r.Code] {
			if l.Service != u.service {
				continue
			}
			oil := o.assembly[l.Assembly].DamperOil
			switch {
			case l.Assembly == "":
				w.notes = append(w.notes, fmt.Sprintf("%s at %s: %d jobs name no fork or shock, so their damper oil is not counted", u.service, r.Code, l.Jobs))
				continue
			case oil == "":
				w.notes = append(w.notes, fmt.Sprintf("%s at %s: %s has no damper oil named, so it is not counted", u.service, r.Code, l.Assembly))
				continue
			}
			if ofOil[oil] == nil {
				ofOil[oil] = make([]int, len(w.rounds))
				oils = append(oils, oil)
			}
			ofOil[oil][i] += l.Jobs
		}
	}
	for _, oil := range oils {
		own := u
		own.jobs = ofOil[oil]
		w.add(oil, own)
	}
}

func (o *Outlook) addUnplanned(w *work, h Horizon, r rate) {
	u := &demand.Unplanned{Exposure: make([]float64, len(w.rounds)), Rate: r.rate, WetFactor: r.wetFactor}
	total := 0.0
	for i, round := range w.rounds {
		u.Exposure[i] = calendar.Exposure(round, h.tripOf(round), o.Snapshot.AsOf, o.Snapshot.Assemblies, o.kindOf)
		total += u.Exposure[i]
	}
	if total == 0 || r.rate.Mean() == 0 {
		return
	}
	for row, l := range o.lines[r.service] {
		l.use = meanChances(l.use)
		x := use{service: r.service, row: row, line: l, crash: u}
		switch {
		case l.spring():
		case l.OwnPart == damperOil:
			w.notes = append(w.notes, fmt.Sprintf("%s: nobody knows which fork or shock it will be, so its damper oil is not counted", r.service))
		case l.onSite:
			w.onSite[l.Part] = append(w.onSite[l.Part], x)
		default:
			w.add(l.Part, x)
		}
	}
}

// meanChances replaces unknown chances by their means: inside an unplanned job
// chances are numbers.
func meanChances(l demand.Line) demand.Line {
	if l.Kind == demand.Chanced {
		l.Dry = demand.Chance{P: l.Dry.Mean()}
		if l.Wet != nil {
			l.Wet = &demand.Chance{P: l.Wet.Mean()}
		}
	}
	return l
}

// need is the uses as planner/demand takes them: only the rounds in which something
// may be used; all lines of an unplanned service together, since each of its jobs
// brings them all.
func (w work) need(uses []use, step float64) demand.Need {
	var at []int // rounds that matter
	for i := range w.rounds {
		for _, u := range uses {
			if u.jobs != nil && u.jobs[i] > 0 || u.crash != nil && u.crash.Exposure[i] > 0 {
				at = append(at, i)
				break
			}
		}
	}
	n := demand.Need{Step: step}
	for _, i := range at {
		n.Wet = append(n.Wet, w.wet[i])
	}
	unplanned := map[*demand.Unplanned]int{} // index of its service
	for _, u := range uses {
		if i, ok := unplanned[u.crash]; ok && u.crash != nil {
			n.Services[i].Lines = append(n.Services[i].Lines, u.line.use)
			continue
		}
		s := demand.Service{Lines: []demand.Line{u.line.use}}
		if u.crash != nil {
			unplanned[u.crash] = len(n.Services)
			c := *u.crash
			c.Exposure = pick(u.crash.Exposure, at)
			s.Unplanned = &c
		} else {
			s.Jobs = pick(u.jobs, at)
		}
		n.Services = append(n.Services, s)
	}
	return n
}

// pick returns the entries at the places given.
func pick[T any](of []T, at []int) []T {
	out := make([]T, len(at))
	for k, i := range at {
		out[k] = of[i]
	}
	return out
}

// only returns the use in one round alone.
func (u use) only(round int) use {
	if u.crash != nil {
		c := *u.crash
		c.Exposure = make([]float64, len(c.Exposure))
		c.Exposure[round] = u.crash.Exposure[round]
		u.crash = &c
		return u
	}
	jobs := make([]int, len(u.jobs))
	jobs[round] = u.jobs[round]
	u.jobs = jobs
	return u
}
