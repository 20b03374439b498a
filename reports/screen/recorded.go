package screen

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

// Recorded is what a record did and what a person must know of it.
type Recorded struct {
	Answer  string   // the first line
	Lines   []string // what it concerns, where no movements say so
	Entries []ledger.Entry
	PartOf  map[string]string // lot -> part
	Parts   map[string]planner.Part
	// LeftAt is what a place holds of a part after it, and what of that is in the tag; nil:
	// not asked.
	LeftAt   func(part, place, tag string) (all, inTag units.Quantity, ok bool)
	Warnings []string
	Notes    []string
}

// Print prints it: the answer, what went from where to where and what is left there, what
// is in doubt, and the caution.
func (r Recorded) Print(w io.Writer, look term.Look) error {
	if err := look.Say(w, r.Answer); err != nil {
		return err
	}
	for _, line := range r.Lines {
		if err := look.Say(w, "- "+line); err != nil {
			return err
		}
	}
	const toColumn = 4
	t := term.Table{Columns: []term.Column{{Title: "part"}, {Title: "name", Wrap: true, Drop: 1}, {Title: "quantity", Right: true}, {Title: "from"}, {Title: "to"},
		{Title: "tag or lot"}, {Title: "left there", Right: true, Wrap: true, Least: 8}}}
	went := false
	for _, e := range r.Entries {
		for _, m := range e.Moves {
			p := r.Parts[r.PartOf[m.Lot]]
			to := beyond(m.To, "missing", p.Unit)
			if e.Job != nil && m.To == ledger.Used {
				to = "" // what a job takes is used: only what goes elsewhere is worth a word
			}
			went = went || to != ""
			t.Rows = append(t.Rows, []string{p.Code, p.Name, units.Say(m.Quantity, p.Unit), beyond(m.From, "found", p.Unit), to, lotName(m), r.left(p, m)})
		}
	}
	if r.LeftAt == nil { // a dry run leaves all as it is
		t.Columns = t.Columns[:len(t.Columns)-1]
		for k, row := range t.Rows {
			t.Rows[k] = row[:len(row)-1]
		}
	}
	if !went {
		t.Columns = slices.Delete(t.Columns, toColumn, toColumn+1)
		for k, row := range t.Rows {
			t.Rows[k] = slices.Delete(row, toColumn, toColumn+1)
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
	var rest []string
	for _, note := range r.Notes { // what may hurt somebody stands before what is only good to know
		if !strings.HasPrefix(note, "caution: ") {
			rest = append(rest, note)
			continue
		}
		if err := look.Say(w, look.Warn(note)); err != nil {
			return err
		}
	}
	return notes(w, look, rest)
}

// left says what is left where a part was taken, of a bottle also in the bottle; of what
// came from beyond, what is there now.
func (r Recorded) left(p planner.Part, m ledger.Move) string {
	if r.LeftAt == nil {
		return ""
	}
	all, bottle, ok := r.LeftAt(p.Code, m.From, m.Tag)
	if !ok {
		if all, bottle, ok = r.LeftAt(p.Code, m.To, m.Tag); !ok {
			return ""
		}
	}
	text := units.Say(all, p.Unit)
	if m.Tag != "" && p.Unit != units.PC && bottle != all {
		text = units.Say(bottle, p.Unit) + " of " + text
	}
	return text
}

// lotName is the tag, which is of one lot, else the lot; a lot of a record made here has a
// code that says nothing to anybody.
func lotName(m ledger.Move) string { return tagOrLot(m.Tag, m.Lot) }

func tagOrLot(tag, lot string) string {
	switch {
	case tag != "":
		return tag
	case strings.HasPrefix(lot, "lot "):
		return "new lot"
	}
	return lot
}

// beyond is a word in brackets for what is no place of anybody, and the place itself for one
// that is. What is opened is a kit, and poured from a bottle to another where it is an oil.
func beyond(code, difference string, unit units.Unit) string {
	switch code {
	case ledger.CountDifference:
		return "(" + difference + ")"
	case ledger.OpenedKit:
		if unit == units.ML {
			return "(poured)"
		}
		return "(" + code + ")"
	case ledger.Supplier, ledger.Used, ledger.Scrap, ledger.Opening, ledger.Relabelled:
		return "(" + code + ")"
	}
	return code
}
