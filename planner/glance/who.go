package glance

import (
	"time"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

// Done is a job of the log that stands.
type Done struct {
	Service, Assembly string
	At                time.Time
	Person            string
}

// Rider is one rider with all that is theirs; a blank one has what is nobody's.
type Rider struct {
	Code, Name string
	Things     []Thing
}

// Thing is a fork, shock or bike, what is fitted to it and what was done to it last.
type Thing struct {
	Code, Kind, OnBike, DamperOil string
	Spring, SpringTag, SpringRate string
	Last                          *Done // nil: nothing in the log
}

// Who lists riders with bikes, forks and shocks, in the order of the sheets. Jobs are the
// latest first.
func Who(s *planner.Snapshot, jobs []Done) []Rider {
	kind := map[string]string{}
	for _, m := range s.Models {
		kind[m.Code] = m.Kind
	}
	rate := map[string]string{}
	for _, x := range s.Springs {
		rate[x.Part] = x.Rate.String() + " " + x.RateUnit
	}
	fitted := map[string]planner.Holding{}
	for _, h := range s.Stock {
		if rate[h.Part] != "" {
			fitted[h.Place] = h
		}
	}
	last := map[string]*Done{}
	for i := range jobs {
		if last[jobs[i].Assembly] == nil {
			last[jobs[i].Assembly] = &jobs[i]
		}
	}
	things := map[string][]Thing{}
	for _, a := range s.Assemblies {
		h := fitted[a.Code]
		things[a.Rider] = append(things[a.Rider], Thing{Code: a.Code, Kind: kind[a.Model], OnBike: a.OnBike, DamperOil: a.DamperOil,
			Spring: h.Part, SpringTag: h.Tag, SpringRate: rate[h.Part], Last: last[a.Code]})
	}
	var out []Rider
	for _, r := range append(s.Riders, planner.Rider{}) {
		if r.Code != "" || len(things[""]) > 0 {
			out = append(out, Rider{r.Code, r.Name, things[r.Code]})
		}
	}
	return out
}

// Service is what a service uses.
type Service struct {
	planner.Service
	Lines []Line
}

// Line is one part of a service: what it usually takes, or that it is replaced on
// inspection only. A part of the fork's own (its oil, its spring) has no code.
type Line struct {
	planner.ServiceLine
	Part  planner.Part
	Usual *units.Quantity // nil: on inspection only, or a spring
}

// What lists services with their lines, in the order of the sheets.
func What(s *planner.Snapshot, only ...string) []Service {
	parts := map[string]planner.Part{}
	for _, p := range s.Parts {
		parts[p.Code] = p
	}
	var out []Service
	for _, v := range s.Services {
		if len(only) > 0 && only[0] != v.Code {
			continue
		}
		found := Service{Service: v}
		for _, l := range s.ServiceLines {
			if l.Service != v.Code {
				continue
			}
			line := Line{ServiceLine: l, Part: parts[l.Part]}
			if l.OwnPart == "damper oil" {
				line.Part.Unit = units.ML
			}
			if q, ok := ledger.Usual(l); ok && (l.OwnPart == "" || l.OwnPart == "damper oil") && (l.OnSite == nil || !*l.OnSite) {
				line.Usual = &q
			}
			found.Lines = append(found.Lines, line)
		}
		out = append(out, found)
	}
	return out
}

// Lie is where some of a part is, and who last had it in hand.
type Lie struct {
	stock.Row
	Last *stock.Moved // nil: no movement is known
}

// Where lists every place, lot and tag of a part with the last hand. Moved are the part's
// movements in the order of time; what was counted or taken back is a hand too.
func Where(rows []stock.Row, moved []stock.Moved) []Lie {
	var out []Lie
	for _, r := range rows {
		l := Lie{Row: r}
		for i := range moved {
			if m := &moved[i]; m.Lot == r.Lot && m.Tag == r.Tag && (m.From == r.Place || m.To == r.Place) {
				l.Last = m
			}
		}
		out = append(out, l)
	}
	return out
}
