package screen

import (
	"fmt"
	"io"
	"strings"

	"roundkit/planner"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

// Below prints the parts of which less is had than the rounds need, and where more lies.
func Below(w io.Writer, look term.Look, r forecast.Result, s *planner.Snapshot, when string) error {
	where := "everywhere"
	if r.At != "" {
		where = "at " + r.At
	}
	said := fmt.Sprintf("%s below what %s needs at %s, with what is ours %s, %s", plural(len(r.Parts), "part"), strings.Join(r.Horizon.Codes(), ", "),
		term.Percent(r.Confidence), where, when)
	if err := look.Say(w, said); err != nil || len(r.Parts) == 0 {
		return err
	}
	fmt.Fprintln(w)
	t := term.Table{Columns: []term.Column{{Title: "part"}, {Title: "name", Wrap: true, Drop: 1}, {Title: "needs", Right: true}, {Title: "has", Right: true},
		{Title: "on order", Right: true}, {Title: "short", Right: true}, {Title: "enough", Right: true}, {Title: "lies in", Wrap: true}}}
	for _, p := range r.Parts {
		order := ""
		if p.OnOrder > 0 {
			order = units.Say(p.OnOrder, p.Unit)
		}
		t.Rows = append(t.Rows, []string{p.Code, p.Name, units.Say(p.AtConfidence, p.Unit), units.Say(p.OnHand, p.Unit), order, units.Say(p.Short, p.Unit),
			term.Percent(p.Cover), lies(s, p.Part)})
	}
	return look.Print(w, t)
}

// lies says which places hold a part, with how much, in the order of the places.
func lies(s *planner.Snapshot, p planner.Part) string {
	held := map[string]units.Quantity{}
	var order []string
	for _, h := range s.Stock {
		if h.Part != p.Code {
			continue
		}
		if _, ok := held[h.Place]; !ok {
			order = append(order, h.Place)
		}
		held[h.Place] += h.Quantity
	}
	for i, code := range order {
		order[i] = code + " " + units.Say(held[code], p.Unit)
	}
	return strings.Join(order, ", ")
}
