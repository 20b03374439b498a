// Package left answers: how many more of each service can be done with what is here?
//
// Method: what one job takes for certain (fixed lines, and ranges at their typical
// amount with the allowance) goes into what is at the place and below it, in exact
// fractions; the part that goes in the fewest times stops the next job. Oils and
// greases are pooled over bottles, pieces over drawers; what is past its date on the
// day is left out. Parts found to be needed only at inspection count nothing, nor do
// springs; what must be on site is wanted once. Source: common practice of race teams
// (from memory). Limits: each service is asked as if all stock were for it alone; a
// typical job is not the worst one.
package left

import (
	"cmp"
	"math/big"
	"slices"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/forecast"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

// Jobs is how many more jobs of a service can be done, on one assembly where its own
// damper oil counts, else on any.
type Jobs struct {
	Service, Assembly string
	Left              *int // nil: nothing that is counted limits it
	LeftAfterPlan     *int // once the jobs left of the round in progress are done
	LimitedBy         string
	Next              []PartLeft // the other parts counted, fewest first
}

// PartLeft is how many jobs one part would do.
type PartLeft struct {
	Part string
	Left int
}

// At returns the jobs left of every service with what is at some places and below them
// (a blank one: everywhere of ours). An unknown place is an error that suggests a near one.
func At(o *forecast.Outlook, at ...string) ([]Jobs, error) {
	var scopes []forecast.Scope
	for _, place := range at {
		sc, err := o.ScopeAt(place)
		if err != nil {
			return nil, err
		}
		scopes = append(scopes, sc)
	}
	s := o.Snapshot
	have := map[string]*big.Rat{}
	for _, h := range s.Stock {
		if slices.ContainsFunc(scopes, func(sc forecast.Scope) bool { return sc.Holds(h.Place) }) && o.GoodOn(h, s.AsOf) {
			add(have, h.Part, new(big.Rat).SetInt64(int64(h.Quantity)))
		}
	}
	after := planned(o, have, at)
	var out []Jobs
	for _, service := range s.Services {
		for _, assembly := range rows(s, service) {
			j := Jobs{Service: service.Code, Assembly: assembly.Code}
			takes := takesOf(s, service.Code, assembly.DamperOil, true)
			parts := count(takes, have)
			if len(parts) > 0 {
				j.Left, j.LimitedBy = &parts[0].Left, parts[0].Part
				j.LeftAfterPlan = &count(takes, after)[0].Left
				j.Next = parts[1:]
			}
			out = append(out, j)
		}
	}
	return out, nil
}

// rows returns the assemblies that a service is asked for one by one: those with
// damper oil of their own, where the service uses it; else a single blank one.
func rows(s *planner.Snapshot, service planner.Service) []planner.Assembly {
	own := slices.ContainsFunc(s.ServiceLines, func(l planner.ServiceLine) bool {
		return l.Service == service.Code && l.OwnPart == "damper oil" && stops(l)
	})
	var out []planner.Assembly
	for _, a := range s.Assemblies {
		if own && a.DamperOil != "" && (service.ModelKind == "" || kindOf(s, a) == service.ModelKind) {
			out = append(out, a)
		}
	}
	if len(out) == 0 {
		return []planner.Assembly{{}}
	}
	return out
}

func kindOf(s *planner.Snapshot, a planner.Assembly) string {
	for _, m := range s.Models {
		if m.Code == a.Model {
			return m.Kind
		}
	}
	return ""
}

// take is what one job of a service takes of a part, in base units.
type take struct {
	part   string
	each   *big.Rat
	onSite *big.Rat // wanted once, however many jobs; nil: none
}

// takesOf returns what a job takes for certain, by part in the sheet's order, with
// the damper oil of the assembly in hand; the lines that stop the job, or all.
func takesOf(s *planner.Snapshot, service, damperOil string, stoppers bool) []take {
	var out []take
	for _, l := range s.ServiceLines {
		part := l.Part
		if l.OwnPart == "damper oil" {
			part = damperOil
		}
		q := certain(l)
		if l.Service != service || part == "" || q == nil || stoppers && !stops(l) {
			continue
		}
		i := slices.IndexFunc(out, func(t take) bool { return t.part == part })
		if i < 0 {
			i = len(out)
			out = append(out, take{part: part, each: new(big.Rat)})
		}
		switch {
		case l.OnSite == nil || !*l.OnSite:
			out[i].each.Add(out[i].each, q)
		case out[i].onSite == nil || out[i].onSite.Cmp(q) < 0:
			out[i].onSite = q
		}
	}
	return out
}

func stops(l planner.ServiceLine) bool { return l.StopsJob == nil || *l.StopsJob }

// certain returns what a line takes of its part at every job: a fixed quantity, or
// a range at its typical amount (its middle, where none is given) with the allowance;
// nil for a chance line and for springs.
func certain(l planner.ServiceLine) *big.Rat {
	switch {
	case l.OwnPart != "" && l.OwnPart != "damper oil":
		return nil
	case l.DryPercent != nil || l.WetPercent != nil || l.BetaDryA != nil || l.BetaWetA != nil:
		return nil
	case l.Quantity != nil:
		return rat(*l.Quantity)
	case l.Min == nil || l.Max == nil:
		return nil
	}
	q := new(big.Rat).Quo(rat(*l.Min+*l.Max), big.NewRat(2, 1))
	if l.Typical != nil {
		q = rat(*l.Typical)
	}
	if l.AllowancePercent != nil {
		more := new(big.Rat).Quo(l.AllowancePercent.Rat(), big.NewRat(100, 1))
		q.Mul(q, more.Add(more, big.NewRat(1, 1)))
	}
	return q
}

func rat(q units.Quantity) *big.Rat { return new(big.Rat).SetInt64(int64(q)) }

func add(have map[string]*big.Rat, part string, q *big.Rat) {
	if have[part] == nil {
		have[part] = new(big.Rat)
	}
	have[part].Add(have[part], q)
}

// count returns how many jobs each part would do, fewest first; equal ones in the
// sheet's order. A part that is on site and not used up appears only when it is
// missing.
func count(takes []take, have map[string]*big.Rat) []PartLeft {
	var out []PartLeft
	for _, t := range takes {
		stock := have[t.part]
		if stock == nil {
			stock = new(big.Rat)
		}
		if t.onSite != nil {
			if stock.Cmp(t.onSite) < 0 {
				out = append(out, PartLeft{t.part, 0})
				continue
			}
			stock = new(big.Rat).Sub(stock, t.onSite)
		}
		if t.each.Sign() > 0 {
			n := new(big.Rat).Quo(stock, t.each)
			whole := new(big.Int).Quo(n.Num(), n.Denom())
			out = append(out, PartLeft{t.part, int(max(whole.Int64(), 0))})
		}
	}
	slices.SortStableFunc(out, func(a, b PartLeft) int { return cmp.Compare(a.Left, b.Left) })
	return out
}

// planned returns what is left of the stock after the jobs left of the rounds in
// progress that draw on the place, never below 0.
func planned(o *forecast.Outlook, have map[string]*big.Rat, at []string) map[string]*big.Rat {
	s := o.Snapshot
	after := map[string]*big.Rat{}
	for part, q := range have {
		after[part] = new(big.Rat).Set(q)
	}
	oil := map[string]string{}
	for _, a := range s.Assemblies {
		oil[a.Code] = a.DamperOil
	}
	for _, r := range o.Calendar.Rounds {
		if r.FirstOn > s.AsOf || calendar.Over(r, s.AsOf) || !slices.ContainsFunc(at, func(at string) bool { return draws(o, r, at) }) {
			continue
		}
		for _, l := range o.LeftAt(r.Code) {
			for _, t := range takesOf(s, l.Service, oil[l.Assembly], false) {
				jobs := new(big.Rat).SetInt64(-int64(l.Jobs))
				add(after, t.part, jobs.Mul(jobs, t.each))
			}
		}
	}
	for _, q := range after {
		if q.Sign() < 0 {
			q.SetInt64(0)
		}
	}
	return after
}

// draws reports whether a round's jobs draw on the place: its trip's truck or cases
// are there, or it is there with them; at home, whatever is away with nobody.
func draws(o *forecast.Outlook, r planner.Round, at string) bool {
	if at == "" {
		return true
	}
	trip, err := o.Calendar.Trip(r.Trip)
	if err != nil {
		return false
	}
	roots := place.Roots(trip.Trip, o.Snapshot.Packed)
	for _, root := range roots {
		if o.Places.Within(at, root) || o.Places.Within(root, at) {
			return true
		}
	}
	if trip.GoesBy != calendar.Home {
		return false
	}
	for _, root := range place.Away(o.Calendar, o.Snapshot.Packed, o.Snapshot.AsOf, o.Snapshot.AsOf, []string{trip.Code}) {
		if o.Places.Within(at, root) {
			return false
		}
	}
	return true
}
