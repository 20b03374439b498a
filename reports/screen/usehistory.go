package screen

import (
	"fmt"
	"io"
	"strconv"

	"roundkit/planner/series"
	"roundkit/reports/answer"
	"roundkit/reports/term"
)

// UseHistory is the page of what parts without a plan will use: a row a part for each period ahead
// (they are alike) and one for each total.
func UseHistory(w io.Writer, look term.Look, t *series.Table, o series.Options, rows []series.Row) error {
	fmt.Fprintf(w, "%s, known to %s: %s\n", Parts(len(t.Parts)), t.Last.Name(t.Length), howForecast(o.Method))
	table := term.Table{Columns: []term.Column{{Title: "part"}, {Title: "ahead"}}}
	for _, p := range o.Levels {
		table.Columns = append(table.Columns, term.Column{Title: "enough, " + answer.Percent(p) + " %", Right: true})
	}
	for _, r := range rows {
		ahead := "each " + string(t.Length)
		if len(r.Horizon) > 0 && !isNumber(r.Horizon) {
			ahead = string(t.Length) + "s " + r.Horizon
		} else if r.Horizon != "1" {
			continue
		}
		cells := []string{r.Part, ahead}
		for i, q := range r.Quantiles {
			cells = append(cells, fmt.Sprintf("%d (%s)", q, chance(r.Within[i])))
		}
		table.Rows = append(table.Rows, cells)
	}
	if err := look.Print(w, table); err != nil {
		return err
	}
	return look.Say(w, fmt.Sprintf("note: the smallest whole number that is enough with that chance; in brackets the forecast's own chance that it is. Every %s ahead is alike: no season of the year is known.", t.Length))
}

// howForecast says the method in words.
func howForecast(m series.Method) string {
	switch m {
	case series.Belief:
		return "each part's own past, faded"
	case series.Hurdle:
		return "whether anything is used, and how much then, over all parts"
	case series.TSB, series.SBA, series.Croston:
		return string(m) + "'s mean, with lumps around it"
	}
	return "half each part's own past, half what is seen over all parts"
}

func isNumber(text string) bool {
	_, err := strconv.Atoi(text)
	return err == nil
}

// chance is a chance in per cent, never rounded up to certainty.
func chance(p float64) string {
	switch percent := p * 100; {
	case p < 1 && percent >= 99.9:
		return "99.9+"
	default:
		return strconv.FormatFloat(percent, 'f', 1, 64)
	}
}

// Parts counts parts in words.
func Parts(n int) string {
	if n == 1 {
		return "1 part"
	}
	return strconv.Itoa(n) + " parts"
}
