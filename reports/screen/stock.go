package screen

import (
	"fmt"
	"io"

	"roundkit/planner/stock"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

// Stock prints what is where.
func Stock(w io.Writer, look term.Look, rows []stock.Row, at, when string) error {
	where := "everywhere"
	if at != "" {
		where = "in " + at
	}
	parts, past, lent, late := map[string]bool{}, 0, 0, 0
	for _, r := range rows {
		parts[r.Part.Code] = true
		if r.Past {
			past++
		}
		if r.Lent {
			lent++
		}
		if r.Overdue {
			late++
		}
	}
	text := fmt.Sprintf("Stock %s, %s: %s in %s", where, when, plural(len(parts), "part"), plural(len(rows), "line"))
	if past > 0 {
		text += fmt.Sprintf("; %d past their date", past)
	}
	if lent > 0 {
		text += fmt.Sprintf("; %d lent", lent)
	}
	if late > 0 {
		text += fmt.Sprintf(", %d of them overdue", late)
	}
	if err := look.Say(w, text+"."); err != nil {
		return err
	}
	if len(rows) == 0 {
		return nil
	}
	t := term.Table{Columns: []term.Column{{Title: "part"}, {Title: "name", Wrap: true, Drop: 1}, {Title: "place"}, {Title: "quantity", Right: true},
		{Title: "tag"}, {Title: "lot", Drop: 2}, {Title: "good until"}, {Title: "opened", Drop: 3}, {Title: "trip", Drop: 4}, {Title: ""}}}
	for _, r := range rows {
		mark := ""
		switch {
		case r.Past:
			mark = look.Warn("past date: ask")
		case r.Overdue:
			mark = look.Warn("lent, overdue since " + r.DueBackOn.String())
		case r.Lent && r.DueBackOn != nil:
			mark = "lent, back " + r.DueBackOn.String()
		case r.Lent:
			mark = "lent"
		case r.OnAFork:
			mark = "fitted"
		}
		t.Rows = append(t.Rows, []string{r.Part.Code, r.Part.Name, r.Place, units.Say(r.Quantity, r.Part.Unit), r.Tag, r.Lot,
			optional(r.LastGoodOn), optional(r.OpenedOn), r.For, mark})
	}
	return look.Print(w, t)
}
