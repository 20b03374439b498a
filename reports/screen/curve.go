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
	if err := look.Say(w, curveAnswer(r, t)); err != nil {
		return err
	}
	if err := look.Say(w, "readiness is the product over the parts, those listed short left out; kilos are those of what is packed and what stays"); err != nil {
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

// curveAnswer sets the load as asked for beside the best one of its weight, and the
// lightest one as ready.
func curveAnswer(r *load.Result, t *load.Trade) string {
	kilos := t.Kilos.InexactFloat64()
	said := fmt.Sprintf("%s: %s kg as asked for, ready with %s", r.Trip.Code, t.Kilos.StringFixed(1), term.Percent(t.Ready))
	var best, light *load.Point
	for i, p := range t.Points {
		if p.Most <= kilos && p.Readiness > t.Ready {
			best = &t.Points[i] // the later, the more
		}
		if light == nil && p.Readiness >= t.Ready {
			light = &t.Points[i]
		}
	}
	if best != nil {
		said += fmt.Sprintf("; the best within %.1f kg: %s", best.Most, term.Percent(best.Readiness))
	}
	if light != nil && light.Most < kilos {
		said += fmt.Sprintf("; as ready with %.1f kg", light.Most)
	}
	return said
}
