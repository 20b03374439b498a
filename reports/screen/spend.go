package screen

import (
	"fmt"
	"io"
	"math/big"

	"roundkit/planner/spend"
	"roundkit/reports/term"
)

// Spend prints what the season has cost and what is still to come, by one view.
func Spend(w io.Writer, look term.Look, r spend.Result, clock string) error {
	total := spend.Total(r.Rows)
	cents := func(v *big.Rat) string { return v.FloatString(2) }
	said := fmt.Sprintf("used %s %s so far at the lots' cost, charges %s; ordered and not here %s; still to come at list price %s, of it %s of parts with an allocation",
		cents(total.Used), r.Currency, cents(total.Charges), cents(total.Committed), cents(total.ExpectedList), cents(total.ExpectedAllocationList))
	when := "by " + r.By + ", as of " + r.AsOf.String()
	if clock != "" {
		when += "; " + clock
	}
	for _, line := range []string{said, when} {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	fmt.Fprintln(w)
	t := term.Table{Columns: []term.Column{{Title: r.By}, {Title: "used", Right: true}, {Title: "free, at list", Right: true}, {Title: "scrapped", Right: true},
		{Title: "missing", Right: true}, {Title: "charges", Right: true}, {Title: "ordered", Right: true, Drop: 1}, {Title: "to come at list", Right: true},
		{Title: "of it with allocation", Right: true, Drop: 2}, {Title: "budget", Right: true, Drop: 3}}}
	line := func(name string, x spend.Row) []string {
		return []string{name, cents(x.Used), cents(x.AllocationList), cents(x.Scrapped), cents(x.Difference), cents(x.Charges), cents(x.Committed),
			cents(x.ExpectedList), cents(x.ExpectedAllocationList), cents(x.Budget)}
	}
	for _, x := range r.Rows {
		name := x.Key
		if name == "" {
			name = "(none)"
		}
		t.Rows = append(t.Rows, line(name, x))
	}
	t.Foot = line("in all", total)
	if err := look.Print(w, t); err != nil {
		return err
	}
	if err := allocations(w, look, r); err != nil {
		return err
	}
	var said2 []string
	for _, n := range r.NotValued {
		said2 = append(said2, fmt.Sprintf("not valued: %s (%d times)", n.Reason, n.Rows))
	}
	return notes(w, look, said2)
}

func allocations(w io.Writer, look term.Look, r spend.Result) error {
	t := term.Table{Columns: []term.Column{{Title: "allocation"}, {Title: "from"}, {Title: "free", Right: true}, {Title: "used", Right: true},
		{Title: "expected", Right: true}, {Title: "over", Right: true}, {Title: "over, in cash", Right: true}}}
	for _, a := range r.Allocations {
		if a.Over.Sign() == 0 && a.Used.Sign() == 0 {
			continue
		}
		cash, over := "", ""
		if a.Over.Sign() > 0 {
			over = look.Warn(a.Over.FloatString(2))
			if a.OverCash != nil {
				cash = a.OverCash.FloatString(2)
			}
		}
		t.Rows = append(t.Rows, []string{a.Part.Code, a.Supplier, a.Free.FloatString(0), a.Used.FloatString(0), a.Expected.FloatString(2), over, cash})
	}
	if len(t.Rows) == 0 {
		return nil
	}
	fmt.Fprintln(w)
	return look.Print(w, t)
}
