package ledger

import (
	"errors"
	"fmt"
	"slices"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/near"
	"roundkit/planner/units"
)

// Amount is how much of a part somebody says was used.
type Amount struct {
	Part     string
	Quantity units.Quantity
}

// JobParts returns the rows of a job as it is logged: what the service usually uses (fixed
// lines, ranges at typical with the allowance, the assembly's own oil), with what was really used put in its
// place and what was not used left out. Chance lines count only when they are said to
// have been used. All faults come at once. A job that used nothing, though something is
// usual, is one row without a part.
func JobParts(b *planner.Book, service, assembly string, used []Amount, not []string) ([]planner.JobPart, error) {
	var faults []error
	kind, err := serviceOn(b, service, assembly)
	if err != nil {
		faults = append(faults, err)
	}
	var rows []Amount
	own := damperOil(b, assembly)
	for _, l := range b.ServiceLines {
		if l.Service != service || l.OnSite != nil && *l.OnSite {
			continue
		}
		part := l.Part
		if l.OwnPart == "damper oil" {
			part = own
			if part == "" && assembly == "" {
				faults = append(faults, fmt.Errorf("found no %s, expected which one: %s uses its own oil", kind, service))
			}
		}
		if q, ok := Usual(l); ok && part != "" && l.OwnPart != "fork spring" && l.OwnPart != "shock spring" {
			rows = append(rows, Amount{part, q})
		}
	}
	usual := len(rows)
	for _, n := range not {
		i := slices.IndexFunc(rows, func(r Amount) bool { return r.Part == n })
		if i < 0 {
			faults = append(faults, fmt.Errorf("not used: %w", near.Miss("usual part of "+service, n, names(rows))))
			continue
		}
		rows = slices.Delete(rows, i, i+1)
	}
	for _, u := range used {
		if _, err := b.Part(u.Part); err != nil {
			faults = append(faults, err)
			continue
		}
		if i := slices.IndexFunc(rows, func(r Amount) bool { return r.Part == u.Part }); i >= 0 {
			rows[i].Quantity = u.Quantity
		} else {
			rows = append(rows, u)
		}
	}
	if len(faults) > 0 {
		return nil, errors.Join(faults...)
	}
	var out []planner.JobPart
	for _, r := range rows {
		if r.Quantity > 0 {
			out = append(out, planner.JobPart{Part: r.Part, Quantity: &r.Quantity})
		}
	}
	if len(out) == 0 && usual > 0 {
		out = []planner.JobPart{{}}
	}
	return out, nil
}

func names(rows []Amount) []string {
	out := make([]string, len(rows))
	for i, r := range rows {
		out[i] = r.Part
	}
	return out
}

// serviceOn checks that a service is known and done on that kind of assembly; it returns
// the kind.
func serviceOn(b *planner.Book, service, assembly string) (kind string, err error) {
	var services []string
	found := false
	for _, s := range b.Services {
		services = append(services, s.Code)
		if s.Code == service {
			kind, found = s.ModelKind, true
		}
	}
	if !found {
		return "", near.Miss("service", service, services)
	}
	if assembly == "" {
		return kind, nil
	}
	kinds := map[string]string{}
	for _, m := range b.Models {
		kinds[m.Code] = m.Kind
	}
	var fitting []string
	for _, a := range b.Assemblies {
		if kind == "" || kinds[a.Model] == kind {
			fitting = append(fitting, a.Code)
		}
		if a.Code == assembly && kind != "" && kinds[a.Model] != kind {
			return kind, fmt.Errorf("found %s, a %s, expected a %s: %s is done on one", assembly, kinds[a.Model], kind, service)
		}
	}
	if !slices.Contains(fitting, assembly) {
		return kind, near.Miss(kind, assembly, fitting)
	}
	return kind, nil
}

// RoundOn returns the round that is on on a day, or "" between rounds.
func RoundOn(b *planner.Book, on day.Day) string {
	for _, r := range b.Rounds {
		if r.FirstOn <= on && on <= r.LastOn {
			return r.Code
		}
	}
	return ""
}
