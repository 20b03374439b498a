package screen

import (
	"fmt"
	"io"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

// Recorded is what a record did and what a person must know of it.
type Recorded struct {
	Answer   string // the first line
	Entries  []ledger.Entry
	PartOf   map[string]string // lot -> part
	Parts    map[string]planner.Part
	LeftAt   func(part, place string) (units.Quantity, bool) // after it; nil: not asked
	Warnings []string
	Notes    []string
}

// Print prints it: the answer, what went from where to where and what is left there, what
// is in doubt, and the caution.
func (r Recorded) Print(w io.Writer, look term.Look) error {
	if err := look.Say(w, r.Answer); err != nil {
		return err
	}
	t := term.Table{Columns: []term.Column{{Title: "part"}, {Title: "name", Wrap: true, Drop: 1}, {Title: "quantity", Right: true}, {Title: "from"}, {Title: "to"},
		{Title: "tag"}, {Title: "lot", Drop: 2}, {Title: "left there", Right: true}}}
	for _, e := range r.Entries {
		for _, m := range e.Moves {
			p := r.Parts[r.PartOf[m.Lot]]
			left := ""
			if r.LeftAt != nil {
				if q, ok := r.LeftAt(p.Code, m.From); ok {
					left = units.Say(q, p.Unit)
				}
			}
			t.Rows = append(t.Rows, []string{p.Code, p.Name, units.Say(m.Quantity, p.Unit), m.From, m.To, m.Tag, m.Lot, left})
		}
	}
	if len(t.Rows) > 0 {
		fmt.Fprintln(w)
		if err := look.Print(w, t); err != nil {
			return err
		}
	}
	for _, s := range r.Warnings {
		if err := look.Say(w, look.Warn("look: "+s)); err != nil {
			return err
		}
	}
	return notes(w, look, r.Notes)
}
