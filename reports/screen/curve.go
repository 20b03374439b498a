package screen

import (
	"fmt"
	"io"
	"math"
	"strings"

	"roundkit/planner/load"
	"roundkit/reports/term"
)

// curveWidth is how many characters a readiness of 1 is wide.
const curveWidth = 40

// Curve prints what each kilo buys: the best readiness within so many kilos.
func Curve(w io.Writer, look term.Look, r *load.Result, t *load.Trade) error {
	head := fmt.Sprintf("%s: readiness (product over the parts, those listed short left out) against the kilos of what is packed and what stays", r.Trip.Code)
	if err := look.Say(w, head); err != nil {
		return err
	}
	if err := look.Say(w, fmt.Sprintf("the load as asked for: %s kg, %s", t.Kilos.StringFixed(1), term.Percent(t.Ready))); err != nil {
		return err
	}
	fmt.Fprintln(w)
	table := term.Table{Columns: []term.Column{{Title: "up to kg", Right: true}, {Title: "readiness", Right: true}, {Title: "at most", Right: true, Drop: 2}, {Title: "", Drop: 1}}}
	for _, p := range t.Points {
		bar := strings.Repeat("#", int(math.Round(p.Readiness*curveWidth)))
		table.Rows = append(table.Rows, []string{fmt.Sprintf("%.2f", p.Most), term.Percent(p.Readiness), term.Percent(p.Bound), bar})
	}
	if err := look.Print(w, table); err != nil {
		return err
	}
	return notes(w, look, t.Notes)
}
