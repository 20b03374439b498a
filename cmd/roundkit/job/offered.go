package job

import (
	"fmt"
	"slices"
	"strings"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

// offered says where more lies of each part that the book no longer had, and where its
// alternatives are, first choice first.
func offered(r *frame.Recording, done db.Recorded, snap *planner.Snapshot) (notes []string) {
	out, used := map[string]bool{}, map[string]bool{}
	for _, e := range done.Entries {
		for _, m := range e.Moves {
			if m.From == ledger.CountDifference && m.To == ledger.Used {
				out[done.Parts[m.Lot]] = true
			}
			used[m.From+" "+m.Lot+" "+m.Tag] = true
		}
	}
	tree, err := place.New(snap.Places, snap.Assemblies)
	if len(out) == 0 || err != nil {
		return nil
	}
	lies := func(part string) string {
		var at []string
		for _, h := range snap.Stock {
			if h.Part == part && tree.Ours(h.Place) && !used[h.Place+" "+h.Lot+" "+h.Tag] {
				at = append(at, strings.TrimSpace(fmt.Sprintf("%s in %s %s", units.Say(h.Quantity, r.Parts[part].Unit), h.Place, h.Tag)))
			}
		}
		return strings.Join(at, ", ")
	}
	for _, p := range snap.Parts {
		if at := lies(p.Code); out[p.Code] && at != "" {
			notes = append(notes, fmt.Sprintf("more of %s: %s", p.Code, at))
		}
	}
	alternatives := slices.Clone(snap.Alternatives)
	slices.SortStableFunc(alternatives, func(a, b planner.Alternative) int { return preference(a) - preference(b) })
	for _, a := range alternatives {
		if !out[a.Part] {
			continue
		}
		at := lies(a.Alternative)
		if at == "" {
			at = "none in the book"
		}
		notes = append(notes, fmt.Sprintf("%s, %s: %s", a.Alternative, r.Parts[a.Alternative].Name, at))
	}
	return notes
}

func preference(a planner.Alternative) int {
	if a.Preference == nil {
		return 1
	}
	return *a.Preference
}
