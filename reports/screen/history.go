package screen

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/stock"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

// History prints who moved what of a part: the last movement is the answer.
func History(w io.Writer, look term.Look, part planner.Part, moved []stock.Moved, when string) error {
	if len(moved) == 0 {
		return look.Say(w, fmt.Sprintf("%s, %s: nothing has happened to it, %s", part.Code, part.Name, when))
	}
	last := moved[len(moved)-1]
	answer := fmt.Sprintf("%s, %s: last moved %s by %s, %s from %s to %s", part.Code, part.Name, last.At.Format("2006-01-02 15:04"), orNobody(last.Person),
		units.Say(last.Quantity, part.Unit), last.From, last.To)
	if last.Service != "" {
		answer += fmt.Sprintf(" (%s on %s)", last.Service, last.Assembly)
	}
	if err := look.Say(w, answer); err != nil {
		return err
	}
	fmt.Fprintln(w)
	t := term.Table{Columns: []term.Column{{Title: "when", Wrap: true, Least: 10}, {Title: "who"}, {Title: "what"}, {Title: "on"}, {Title: "tag", Drop: 1}, {Title: "from"}, {Title: "to"},
		{Title: "how much", Right: true}, {Title: "lot", Drop: 3}, {Title: "notes", Wrap: true, Drop: 2}, {Title: "record"}}}
	for _, m := range moved {
		what := m.Kind
		if m.Service != "" {
			what = m.Service
		}
		switch {
		case m.Undo:
			what = "undo of " + what
		case m.PutBack:
			what = look.Warn(what + ", undone, put back")
		case m.TakenBack:
			what = look.Warn(what + ", undone")
		case m.Redo:
			what += ", put back"
		}
		t.Rows = append(t.Rows, []string{m.At.Format("2006-01-02 15:04"), m.Person, what, m.Assembly, m.Tag, m.From, m.To, units.Say(m.Quantity, part.Unit), m.Lot, m.Notes, RecordName("", m.Entry)})
	}
	return look.Print(w, t)
}

func orNobody(person string) string {
	if person == "" {
		return "somebody"
	}
	return person
}

// Springs prints the board of every spring: where each one is, by model and rate.
func Springs(w io.Writer, look term.Look, c planner.Catalogue, rows []stock.Row, when string) error {
	t := term.Table{Columns: []term.Column{{Title: "spring", Drop: 1}, {Title: "rate"}, {Title: "tag"}, {Title: "measured", Right: true}, {Title: "where"}, {Title: "of"}, {Title: "", Wrap: true}}}
	springs, loose, fitted, lent := 0, 0, 0, 0
	at := map[string]int{} // loose ones of a part
	for _, s := range c.Springs {
		for _, r := range rows {
			if r.Part.Code != s.Part {
				continue
			}
			springs++
			of, state, measured := "", "", ""
			switch {
			case r.OnAFork:
				fitted++
				state = "fitted"
				i := slices.IndexFunc(c.Assemblies, func(a planner.Assembly) bool { return a.Code == r.Place })
				if i >= 0 {
					of = strings.TrimSpace(c.Assemblies[i].OnBike + " " + c.Assemblies[i].Rider)
				}
			case r.Lent:
				lent++
				state = "lent"
				switch {
				case r.Overdue:
					state = look.Warn("lent, overdue since " + r.DueBackOn.String())
				case r.DueBackOn != nil:
					state += ", back " + r.DueBackOn.String()
				}
			default:
				loose++
				at[s.Part]++
			}
			if r.MeasuredRate != nil {
				measured = r.MeasuredRate.StringFixed(2) + " N/mm"
			}
			tag := r.Tag
			if tag == "" && r.Quantity > 1 {
				tag = units.Say(r.Quantity, r.Part.Unit) + " without a tag"
			}
			t.Rows = append(t.Rows, []string{s.Part, s.Rate.String() + " " + s.RateUnit, tag, measured, r.Place, of, state})
		}
	}
	said := fmt.Sprintf("%s, %s: %d loose, %d fitted, %d lent", plural(springs, "spring"), when, loose, fitted, lent)
	var none []string
	for _, s := range c.Springs {
		if at[s.Part] == 0 {
			none = append(none, s.Part)
		}
	}
	if len(none) > 0 {
		said += "; none loose of " + strings.Join(none, ", ")
	}
	if err := look.Say(w, said); err != nil {
		return err
	}
	fmt.Fprintln(w)
	return look.Print(w, t)
}
