package screen

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"roundkit/planner/difference"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

// Differences prints where book and count differed, and what usually causes it.
func Differences(w io.Writer, look term.Look, found []difference.Difference) error {
	t := term.Table{Columns: []term.Column{{Title: "day"}, {Title: "part"}, {Title: "tag"}, {Title: "at"}, {Title: "quantity", Right: true}, {Title: "last count", Drop: 1},
		{Title: "reason, or what the log says", Wrap: true, Least: 30}, {Title: "record"}}}
	open := 0
	for _, d := range found {
		why := d.Reason
		switch {
		case why != "":
		case d.Small:
			why = "small, no reason is asked for"
		default:
			open++
			var likely []string
			for _, l := range d.Likely {
				likely = append(likely, l.Cause+"? "+l.Why)
			}
			if why = strings.Join(likely, "; "); why == "" {
				why = "the log says nothing"
			}
		}
		since := ""
		if d.Since != nil {
			since = d.Since.Format("2006-01-02")
		}
		t.Rows = append(t.Rows, []string{d.On.String(), d.Part.Code, d.Tag, d.Place, Signed(d), since, why, RecordName(d.Code, d.Record)})
	}
	if len(found) == 0 {
		return nil
	}
	if err := look.Print(w, t); err != nil || open == 0 {
		return err
	}
	first := found[slices.IndexFunc(found, difference.Difference.Open)]
	name := first.Part.Code
	if first.Tag != "" {
		name = first.Tag
	}
	if d, err := difference.Named(found, name); err != nil || d.Record != first.Record {
		name = RecordName(first.Code, first.Record)
	}
	return look.Say(w, fmt.Sprintf("choose a reason: roundkit difference because %s CAUSE, one of: %s", name, strings.Join(difference.Causes(), ", ")))
}

// Signed writes a difference with its sign: below 0 is missing.
func Signed(d difference.Difference) string {
	if d.Quantity > 0 {
		return "+" + units.Say(d.Quantity, d.Part.Unit)
	}
	return units.Say(d.Quantity, d.Part.Unit)
}
