package screen

import (
	"fmt"
	"io"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner/units"
	"roundkit/planner/versus"
	"roundkit/reports/term"
)

// PackDiff prints what differs between two pack lists.
func PackDiff(w io.Writer, look term.Look, d versus.Diff) error {
	for _, line := range packDiffAnswer(d) {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	if len(d.Parts) == 0 {
		return nil
	}
	fmt.Fprintln(w)
	t := term.Table{Columns: []term.Column{{Title: "change"}, {Title: "part"}, {Title: "name", Wrap: true, Drop: 1}, {Title: "was", Right: true}, {Title: "now", Right: true},
		{Title: "by", Right: true}, {Title: "kg", Right: true}, {Title: "into", Wrap: true, Drop: 2}}}
	for _, p := range d.Parts {
		into := p.NowCase
		switch {
		case p.Change == versus.Moved:
			into = p.WasCase + " -> " + p.NowCase
		case p.Change == versus.Gone:
			into = "was in " + p.WasCase
		}
		t.Rows = append(t.Rows, []string{string(p.Change), p.Code, p.Name, none0(p.Was, p.Unit), none0(p.Now, p.Unit), signed(p.By, p.Unit), signedKilos(p.Grams), into})
	}
	t.Foot = []string{"in all", "", "", "", "", "", signedKilos(d.Grams), ""}
	return look.Print(w, t)
}

func packDiffAnswer(d versus.Diff) []string {
	head := d.Was.Trip + " to " + d.Now.Trip + ": "
	if d.Was.Trip == d.Now.Trip {
		head = d.Now.Trip + ": "
	}
	var counts []string
	for _, c := range []versus.Change{versus.New, versus.Gone, versus.More, versus.Less, versus.Moved} {
		if n := d.Count(c); n > 0 {
			counts = append(counts, fmt.Sprintf("%d %s", n, c))
		}
	}
	if len(counts) == 0 {
		head += "nothing differs"
	} else {
		head += strings.Join(counts, ", ") + "; " + signedKilos(d.Grams) + " kg"
		for _, m := range d.Money {
			if !m.By.IsZero() {
				head += ", " + plus(m.By) + m.By.StringFixed(2) + " " + m.Currency
			}
		}
	}
	asked := fmt.Sprintf("as of %s (%s) against as of %s (%s); %s the same", d.Was.AsOf, "readiness "+term.Percent(d.Was.Readiness),
		d.Now.AsOf, "readiness "+term.Percent(d.Now.Readiness), plural(d.Same, "part"))
	if d.NotValued > 0 {
		asked += "; " + plural(d.NotValued, "line") + " without a known value, not in the money"
	}
	return []string{head, asked}
}

func none0(q units.Quantity, u units.Unit) string {
	if q == 0 {
		return ""
	}
	return units.Say(q, u)
}

func signed(q units.Quantity, u units.Unit) string {
	switch {
	case q > 0:
		return "+" + units.Say(q, u)
	case q < 0:
		return "-" + units.Say(-q, u)
	}
	return ""
}

func plus(d decimal.Decimal) string {
	if d.IsPositive() {
		return "+"
	}
	return ""
}

func signedKilos(grams decimal.Decimal) string {
	return plus(grams) + grams.Shift(-3).StringFixed(3)
}
