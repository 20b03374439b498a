package forecast

import (
	"roundkit/planner/calendar"
	"roundkit/planner/demand"
)

// Ahead is jobs of one service that are left to do at one round, with what one of them
// uses. Of planned jobs Jobs is the number and Assembly says on what (blank: on any); of
// unplanned ones Exposure is the bike-days still to come, in dry terms, and Rate and
// WetFactor say how many jobs they bring.
type Ahead struct {
	Round    int // in the horizon's rounds
	Service  string
	Assembly string
	Jobs     int

	Unplanned bool
	Exposure  float64
	Rate      demand.Rate
	WetFactor float64

	Uses []Using
}

// Using is what one job uses of one part, in the part's unit. Row is the line's place
// among those of its service: an unknown chance is that of the line, one for all its jobs.
type Using struct {
	Part string
	Row  int
	demand.Line
}

// Ahead lists what is left to do over a horizon, round by round, and the chance that each
// round is wet, as known. Springs are swapped, not used up, and what must only be on site
// is not used up either: neither is listed. Damper oil is that of the assembly; where no
// assembly is named, nobody knows which.
func (o *Outlook) Ahead(h Horizon) (ahead []Ahead, wet []float64) {
	for i, r := range h.Rounds {
		wet = append(wet, o.wet[r.Code])
		for _, l := range o.left[r.Code] {
			if a := (Ahead{Round: i, Service: l.Service, Assembly: l.Assembly, Jobs: l.Jobs}); l.Jobs > 0 {
				a.Uses = o.using(l.Service, o.assembly[l.Assembly].DamperOil)
				ahead = append(ahead, a)
			}
		}
		for _, rate := range o.rates {
			a := Ahead{Round: i, Service: rate.service, Unplanned: true, Rate: rate.rate, WetFactor: rate.wetFactor,
				Exposure: calendar.Exposure(r, h.tripOf(r), o.Snapshot.AsOf, o.Snapshot.Assemblies, o.kindOf)}
			if a.Exposure == 0 || a.Rate.Mean() == 0 {
				continue
			}
			a.Uses = o.using(rate.service, "")
			for k := range a.Uses {
				a.Uses[k].Line = meanChances(a.Uses[k].Line)
			}
			ahead = append(ahead, a)
		}
	}
	return ahead, wet
}

// using lists what one job of a service uses, with the oil of its assembly.
func (o *Outlook) using(service, oil string) []Using {
	var uses []Using
	for row, l := range o.lines[service] {
		part := l.Part
		if l.OwnPart == damperOil {
			part = oil
		}
		if l.spring() || l.onSite || part == "" {
			continue
		}
		uses = append(uses, Using{Part: part, Row: row, Line: l.use})
	}
	return uses
}
