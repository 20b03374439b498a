package review

import (
	"math/big"
	"slices"
	"strings"

	"roundkit/planner/spend"
	"roundkit/planner/units"
)

// riderSheet is the report to the suppliers that support the team: of each allocation what
// each rider used, is expected to use, and has of the overrun.
func (b *book) riderSheet() error {
	v, used := b.r.Views[0], b.usedByRider()
	text, q := b.look.text, b.look.quantity
	columns := []column{{"from", 8, text, false}, {"part", 12, text, false}, {"name", 30, text, false}, {"rider", 12, text, false}, {"unit", 6, text, false}, {"used", 10, q, true},
		{"to come", 10, q, true}, {"in all", 10, q, true}, {"free, all riders", 10, q, true}, {"over", 10, q, true}, {"over, in cash", 11, b.look.money, true}}
	var table [][]any
	over := new(big.Rat)
	for _, a := range v.Allocations {
		for _, r := range spend.ByRider(a, used[a.Part.Code], v.ByRider[a.Part.Code]) {
			if r.Used.Sign() == 0 && r.ToCome.Sign() == 0 {
				continue
			}
			rider := r.Rider
			if rider == "" {
				rider = "not named"
			}
			table = append(table, []any{a.Supplier, a.Part.Code, a.Part.Name, rider, string(a.Part.Unit), plain(r.Used), plain(r.ToCome), plain(new(big.Rat).Add(r.Used, r.ToCome)),
				plain(a.Free), plain(r.Over), money(r.OverCash)})
			if r.OverCash != nil {
				over.Add(over, r.OverCash)
			}
		}
	}
	foot, err := b.foot("in all", len(columns), len(table), map[int]float64{11: cash(over)})
	if err != nil {
		return err
	}
	return b.table("allocation by rider", "Allocations by rider", "The report to the suppliers: counted by use from any lot. The overrun is that of all riders, shared in proportion to what each is "+
		"expected to use in all; a job planned on no fork or shock names no rider.", columns, table, foot)
}

// usedByRider sums what each rider's jobs used of each part.
func (b *book) usedByRider() map[string]map[string]units.Quantity {
	used := map[string]map[string]units.Quantity{}
	for _, t := range b.r.Traces {
		if t.Outside != spend.Used || t.Service == "" { // an allocation is counted by the jobs' use
			continue
		}
		if used[t.Part] == nil {
			used[t.Part] = map[string]units.Quantity{}
		}
		used[t.Part][t.Rider] += t.Quantity
	}
	return used
}

// stopperSheet lists the parts that stopped a job, and those that stop the next.
func (b *book) stopperSheet() error {
	var table [][]any
	for _, r := range spend.RanOuts(b.r.Traces) {
		p := b.r.Parts[r.Part]
		table = append(table, []any{"ran out on a job", r.Part, p.Name, float64(r.Times), "jobs took " + units.Format(r.Quantity, p.Unit) + " " + string(p.Unit) + " more than the book had", strings.Join(r.Records, ", ")})
	}
	for _, n := range b.nextStops() {
		table = append(table, []any{"stops the next", n.part, b.r.Parts[n.part].Name, float64(n.left), "jobs of " + n.service + " left with all that is on hand" + n.on(), ""})
	}
	words := "Parts of which a job took more than the book had: it stood still, or a count was wrong. Then the parts that stop the next jobs, where few are left."
	if len(table) == 0 {
		words = "No job took more than the book had, and no part stops the next jobs soon."
	}
	return b.table("stoppers", "What stopped a job, and what stops the next", words, []column{{"what", 18, b.look.text, false}, {"part", 12, b.look.text, false}, {"name", 30, b.look.text, false},
		{"times or left", 9, b.look.quantity, true}, {"how", 78, b.look.text, false}, {"records", 40, b.look.text, false}}, table, nil)
}

// nextStop is a part that stops the next jobs of a service, on some forks and shocks.
type nextStop struct {
	service, part string
	left          int
	assemblies    []string
}

func (n nextStop) on() string {
	if len(n.assemblies) == 0 {
		return ""
	}
	return ", on any of " + strings.Join(n.assemblies, ", ")
}

// nextStops are those of services of which few jobs are left, or none after the plan.
func (b *book) nextStops() []nextStop {
	var out []nextStop
	for _, n := range b.r.Next {
		if n.Left == nil || *n.Left > fewLeft && (n.LeftAfterPlan == nil || *n.LeftAfterPlan > 0) {
			continue
		}
		i := slices.IndexFunc(out, func(x nextStop) bool { return x.service == n.Service && x.part == n.LimitedBy && x.left == *n.Left })
		if i < 0 {
			i, out = len(out), append(out, nextStop{service: n.Service, part: n.LimitedBy, left: *n.Left})
		}
		if n.Assembly != "" {
			out[i].assemblies = append(out[i].assemblies, n.Assembly)
		}
	}
	return out
}

// fewLeft is how many jobs more are worth a line.
const fewLeft = 10
