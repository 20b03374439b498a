package screen

import (
	"fmt"
	"io"
	"strings"

	"roundkit/planner/stock"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

// Here is where people are, in words, and which places are there.
type Here struct {
	Says  string
	Holds func(place string) bool
}

// Stock prints what is where; of everything of ours also how much of each part is here.
func Stock(w io.Writer, look term.Look, rows []stock.Row, at string, here Here, when string) error {
	where := "everywhere of ours"
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
	shares := map[string][2]units.Quantity{} // part -> here, everywhere
	if at == "" {
		for _, r := range rows {
			share := shares[r.Part.Code]
			if share[1] += r.Quantity; here.Holds(r.Place) {
				share[0] += r.Quantity
			}
			shares[r.Part.Code] = share
		}
		text += "; \"here\" is " + here.Says
	}
	if err := look.Say(w, text+"."); err != nil {
		return err
	}
	if len(rows) == 0 {
		return nil
	}
	t := term.Table{Columns: []term.Column{{Title: "part"}, {Title: "name", Wrap: true, Drop: 2}, {Title: "place"}, {Title: "quantity", Right: true},
		{Title: "here of all", Right: true, Wrap: true, Drop: 1}, {Title: "tag or lot"}, {Title: "good until"}, {Title: "", Wrap: true}}}
	told := map[string]bool{}
	for _, r := range rows {
		share, name := "", ""
		if !told[r.Part.Code] { // once, where the part begins
			name = r.Part.Name
		}
		if x, ok := shares[r.Part.Code]; ok && name != "" {
			share = units.Say(x[0], r.Part.Unit) + " of " + units.Say(x[1], r.Part.Unit)
		}
		told[r.Part.Code] = true
		t.Rows = append(t.Rows, []string{r.Part.Code, name, r.Place, units.Say(r.Quantity, r.Part.Unit), share, tagOrLot(r.Tag, r.Lot),
			optional(r.LastGoodOn), stockState(look, r, here)})
	}
	return look.Print(w, t)
}

// stockState is what a person must know of a row beside how much and where.
func stockState(look term.Look, r stock.Row, here Here) string {
	var marks []string
	switch {
	case r.Overdue:
		marks = append(marks, "lent, overdue since "+r.DueBackOn.String())
	case r.Lent && r.DueBackOn != nil:
		marks = append(marks, "lent, back "+r.DueBackOn.String())
	case r.Lent:
		marks = append(marks, "lent")
	case r.OnAFork:
		marks = append(marks, "fitted")
	}
	if r.Past {
		marks = append(marks, "past date: ask")
	}
	if r.OpenedOn != nil {
		marks = append(marks, "open "+r.OpenedOn.String())
	}
	if r.For != "" && !here.Holds(r.Place) { // what is here is with the trip, all of it
		marks = append(marks, "for "+r.For)
	}
	text := strings.Join(marks, ", ")
	if r.Past || r.Overdue {
		return look.Warn(text)
	}
	return text
}
