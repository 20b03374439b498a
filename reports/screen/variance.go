package screen

import (
	"fmt"
	"io"
	"math/big"

	"roundkit/planner/day"
	"roundkit/planner/spend"
	"roundkit/reports/term"
)

// StandardName says a standard price in words.
func StandardName(s spend.Standard) string {
	if s == spend.Budgeted {
		return "list price at the rates of the season's first day"
	}
	return "list price"
}

// Variances prints why what was used cost more or less than its standard: the price, and
// the quantity.
func Variances(w io.Writer, look term.Look, asOf day.Day, currency string, standard spend.Standard, all []spend.Variance, not []spend.NotValued) error {
	printed, sum := spend.PrintVariances(all, cents)
	total := spend.TotalVariance(all)
	free := spend.PrintOne(total.Free, cents)
	for _, line := range []string{
		fmt.Sprintf("used for %s %s: %s against the %s, of it price %s (came free: %s) and quantity %s; above 0 is more", coin(spend.PrintOne(total.Cost, cents)), currency,
			coin(sum.Total), StandardName(standard), coin(sum.Price), coin(free), coin(sum.Quantity)),
		fmt.Sprintf("as of %s; planned is what the service lines foresee for the jobs that were done, in the weather that was", asOf),
	} {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	fmt.Fprintln(w)
	t := term.Table{Columns: []term.Column{{Title: "part"}, {Title: "used", Right: true}, {Title: "planned", Right: true}, {Title: "unit"}, {Title: "cost each", Right: true, Drop: 2},
		{Title: "standard", Right: true, Drop: 3}, {Title: "price", Right: true}, {Title: "of it free", Right: true, Drop: 1}, {Title: "quantity", Right: true}, {Title: "together", Right: true}}}
	number := func(r *big.Rat) string { return spend.PrintOne(r, cents).String() }
	for i, v := range all {
		each := ""
		if price := v.ActualPrice(); price != nil {
			each = spend.PrintOne(price, 4).StringFixed(4)
		}
		t.Rows = append(t.Rows, []string{v.Part.Code, number(v.Used), number(v.Planned), string(v.Part.Unit), each, spend.PrintOne(v.StandardPrice, 4).StringFixed(4), coin(printed[i].Price),
			coin(spend.PrintOne(v.Free, cents)), coin(printed[i].Quantity), coin(printed[i].Total)})
	}
	t.Foot = []string{"in all", "", "", "", "", "", coin(sum.Price), coin(free), coin(sum.Quantity), coin(sum.Total)}
	if err := look.Print(w, t); err != nil {
		return err
	}
	var said []string
	for _, n := range not {
		said = append(said, "not valued: "+n.Reason)
	}
	return notes(w, look, said)
}
