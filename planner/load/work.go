package load

import (
	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/units"
)

// work is what is left to do on the trip, row by row of the plan. The exact needs come
// from planner/forecast; this is what the drawn readiness repeats and what says which
// parts stop a job.
type work struct {
	tasks   []task
	stops   map[string]bool // parts that some job left cannot be done without
	used    map[string]bool // parts that some job left uses up
	onSite  map[string]bool // parts that must only be there
	springs map[string]bool
}

// task is the jobs of one service at one round that share their parts.
type task struct {
	round     int // of the trip
	service   string
	jobs      int
	exposure  float64 // of an unplanned service: bike-days
	unplanned *planner.UnplannedRate
	lines     []workLine
}

// workLine is a row of what a service uses, on a part. Amounts are in the part's unit.
type workLine struct {
	planner.ServiceLine
	row   int // of the service lines: unknown chances are shared by it
	part  string
	unit  units.Unit
	stops bool
	drawn drawn // the same once more, ready to be drawn many thousand times
}

// drawn is what a draw needs of a line, worked out once. Amounts are in the part's unit.
type drawn struct {
	part             int     // among the packing's
	base             float64 // base units in one of the part's unit
	ranged, triangle bool    // from lo to hi, with a typical amount
	lo, typical, hi  float64
	factor           float64 // 1 and the allowance
	amount           float64 // of a line without a range
	certain          bool    // it is always used
}

func (l workLine) ready(part int) drawn {
	d := drawn{part: part, base: float64(l.unit.Base()), ranged: l.Min != nil && l.Max != nil, triangle: l.Typical != nil,
		certain: l.DryPercent == nil && l.BetaDryA == nil, factor: 1 + number(l.AllowancePercent, 0)/100}
	for to, q := range map[*float64]*units.Quantity{&d.lo: l.Min, &d.typical: l.Typical, &d.hi: l.Max, &d.amount: l.Quantity} {
		if q != nil {
			*to = units.ToFloat(*q, l.unit)
		}
	}
	return d
}

// readWork lists what is left of the trip.
func (p *packing) readWork() { p.work = p.workOn(p.trip) }

// workOn lists what is left of a trip. The outlook has checked every row.
func (p *packing) workOn(trip calendar.Trip) work {
	s := p.o.Snapshot
	w := work{stops: map[string]bool{}, used: map[string]bool{}, onSite: map[string]bool{}, springs: map[string]bool{}}
	for _, sp := range s.Springs {
		w.springs[sp.Part], w.stops[sp.Part] = true, true
	}
	kindOf, oil := map[string]string{}, map[string]string{}
	for _, m := range s.Models {
		kindOf[m.Code] = m.Kind
	}
	for _, a := range s.Assemblies {
		oil[a.Code] = a.DamperOil
	}
	for r, round := range trip.Rounds {
		for _, left := range p.o.LeftAt(round.Code) {
			w.add(p, task{round: r, service: left.Service, jobs: left.Jobs}, oil[left.Assembly])
		}
		exposure := calendar.Exposure(round, trip, s.AsOf, s.Assemblies, kindOf)
		for i := range s.UnplannedRates {
			if exposure > 0 {
				w.add(p, task{round: r, service: s.UnplannedRates[i].Service, exposure: exposure, unplanned: &s.UnplannedRates[i]}, "")
			}
		}
	}
	return w
}

// add fills in a task's lines and notes what they say of their parts.
func (w *work) add(p *packing, t task, oil string) {
	for row, l := range p.o.Snapshot.ServiceLines {
		code := l.Part
		if l.OwnPart == "damper oil" {
			code = oil
		}
		at, ok := p.at[code]
		if l.Service != t.service || !ok || t.jobs == 0 && t.unplanned == nil {
			continue
		}
		part := &p.o.Snapshot.Parts[at]
		line := workLine{ServiceLine: l, row: row, part: code, unit: part.Unit, stops: l.StopsJob == nil || *l.StopsJob}
		if l.OnSite != nil && *l.OnSite {
			w.onSite[code] = true
			continue
		}
		w.used[code] = true
		w.stops[code] = w.stops[code] || line.stops
		line.drawn = line.ready(at)
		t.lines = append(t.lines, line)
	}
	w.tasks = append(w.tasks, t)
}
