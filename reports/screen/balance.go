package screen

import (
	"fmt"
	"io"

	"roundkit/planner/day"
	"roundkit/planner/spend"
	"roundkit/reports/term"
)

// FormulaName says a cost formula in words.
func FormulaName(f spend.Formula) string {
	switch f {
	case spend.FIFO:
		return "first in, first out"
	case spend.Average:
		return "at the moving weighted average"
	}
	return "at the lots' own cost"
}

// Balances prints what each part took in against what it gave and what is there, in money.
func Balances(w io.Writer, look term.Look, asOf day.Day, currency string, formula spend.Formula, all []spend.Balance) error {
	printed, total := spend.PrintBalances(all, cents)
	said := fmt.Sprintf("opening %s + purchases %s - used %s - scrapped %s - missing %s = closing %s %s, %s", coin(total.Opening), coin(total.Purchases), coin(total.Used),
		coin(total.Scrapped), coin(total.Difference), coin(total.Closing), currency, FormulaName(formula))
	if !total.OpenedKits.IsZero() {
		said += fmt.Sprintf(" (%s from opened kits in between)", coin(total.OpenedKits))
	}
	var said2 []string
	apart := 0
	for i, b := range all {
		if b.Apart() {
			apart++
			said2 = append(said2, fmt.Sprintf("%s does not balance: %s %s and %d base units are left over; db verify says more", b.Part, coin(printed[i].Remainder), currency, b.Left))
		}
		for _, why := range b.NotValued {
			said2 = append(said2, "not valued: "+why)
		}
	}
	balance := fmt.Sprintf("as of %s; all %d parts balance", asOf, len(all))
	if apart > 0 {
		balance = fmt.Sprintf("as of %s; %s", asOf, look.Warn(fmt.Sprintf("%d of %d parts do not balance", apart, len(all))))
	}
	for _, line := range []string{said, balance} {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	fmt.Fprintln(w)
	t := term.Table{Columns: []term.Column{{Title: "part"}, {Title: "opening", Right: true}, {Title: "+ purchases", Right: true}, {Title: "+ opened kits", Right: true, Drop: 2},
		{Title: "- used", Right: true}, {Title: "- scrapped", Right: true}, {Title: "- missing", Right: true}, {Title: "= closing", Right: true}}}
	line := func(name string, p spend.PrintedBalance) []string {
		return []string{name, coin(p.Opening), coin(p.Purchases), coin(p.OpenedKits), coin(p.Used), coin(p.Scrapped), coin(p.Difference), coin(p.Closing)}
	}
	for _, p := range printed {
		t.Rows = append(t.Rows, line(p.Part, p))
	}
	t.Foot = line("in all", total)
	if err := look.Print(w, t); err != nil {
		return err
	}
	return notes(w, look, said2)
}
