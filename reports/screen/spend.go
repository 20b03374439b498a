package screen

import (
	"fmt"
	"io"

	"github.com/shopspring/decimal"

	"roundkit/planner/spend"
	"roundkit/reports/term"
)

// cents is how finely money is shown to people.
const cents = 2

// Spend prints what the season has cost and what is still to come, by one view.
func Spend(w io.Writer, look term.Look, r spend.Result, clock string) error {
	rows, total := spend.PrintRows(r.Rows, r.Total, cents)
	said := fmt.Sprintf("spent %s %s so far: used %s %s, charges %s, scrapped %s, missing %s; ordered and not here %s",
		coin(total.Used.Add(total.Charges).Add(total.Scrapped).Add(total.Difference)), r.Currency, coin(total.Used), FormulaName(r.Valued), coin(total.Charges), coin(total.Scrapped),
		coin(total.Difference), coin(total.Committed))
	end := fmt.Sprintf("at the season's end %s, one season in ten below %s, one in ten above %s; budget %s. To come at list price %s, of it %s of parts with an allocation",
		coin(total.P50), coin(total.P10), coin(total.P90), coin(total.Budget), coin(total.ExpectedList), coin(total.ExpectedAllocationList))
	when := "by " + r.By + ", as of " + r.AsOf.String()
	if clock != "" {
		when += "; " + clock
	}
	for _, line := range []string{said, end, when} {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	fmt.Fprintln(w)
	if err := spendTable(w, look, r.By, rows, &total); err != nil {
		return err
	}
	if r.By != spend.ByLine {
		lines, _ := spend.PrintRows(r.Lines, r.Total, cents)
		fmt.Fprintln(w)
		if err := spendTable(w, look, "budget line", lines, nil); err != nil {
			return err
		}
	}
	if err := allocations(w, look, r); err != nil {
		return err
	}
	return notes(w, look, spendNotes(r))
}

// coin writes an amount with its cents.
func coin(d decimal.Decimal) string { return d.StringFixed(cents) }

func spendTable(w io.Writer, look term.Look, by string, rows []spend.Printed, total *spend.Printed) error {
	t := term.Table{Columns: []term.Column{{Title: by}, {Title: "used", Right: true}, {Title: "free, at list", Right: true, Drop: 2}, {Title: "scrapped", Right: true, Drop: 5},
		{Title: "missing", Right: true, Drop: 4}, {Title: "charges", Right: true}, {Title: "ordered", Right: true, Drop: 3}, {Title: "to come at list", Right: true, Drop: 1},
		{Title: "10 %", Right: true, Drop: 6}, {Title: "at the end", Right: true}, {Title: "90 %", Right: true, Drop: 7}, {Title: "budget", Right: true}}}
	line := func(name string, x spend.Printed) []string {
		return []string{name, coin(x.Used), coin(x.AllocationList), coin(x.Scrapped), coin(x.Difference), coin(x.Charges), coin(x.Committed),
			coin(x.ExpectedList), coin(x.P10), coin(x.P50), coin(x.P90), coin(x.Budget)}
	}
	for _, x := range rows {
		name := x.Key
		if name == "" {
			name = "(none)"
		}
		t.Rows = append(t.Rows, line(name, x))
	}
	if total != nil {
		t.Foot = line("in all", *total)
	}
	return look.Print(w, t)
}

// spendNotes says what is late, what was valued anew and what could not be valued.
func spendNotes(r spend.Result) []string {
	var said []string
	for _, l := range r.Late {
		said = append(said, fmt.Sprintf("%s is of %s, which was closed: it stands in %s", l.What, l.Month, l.In))
	}
	for _, c := range r.Corrections {
		said = append(said, fmt.Sprintf("price correction in %s: lot %s (%s) costs %s %s more than when its uses were closed (%s)", c.In, c.Lot, c.Part, coin(spend.PrintOne(c.Amount, cents)),
			r.Currency, c.Source))
	}
	for _, n := range r.NotValued {
		said = append(said, fmt.Sprintf("not valued, %s: %s", times(n.Rows), n.Reason))
	}
	return said
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
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
			over = look.Warn(a.Over.FloatString(cents))
			if a.OverCash != nil {
				cash = a.OverCash.FloatString(cents)
			}
		}
		t.Rows = append(t.Rows, []string{a.Part.Code, a.Supplier, a.Free.FloatString(0), a.Used.FloatString(0), a.Expected.FloatString(cents), over, cash})
	}
	if len(t.Rows) == 0 {
		return nil
	}
	fmt.Fprintln(w)
	return look.Print(w, t)
}
