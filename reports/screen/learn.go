package screen

import (
	"fmt"
	"io"
	"strconv"

	"roundkit/planner/learn"
	"roundkit/reports/term"
)

// Learned is the page of what the log says of the plan's chances.
func Learned(w io.Writer, look term.Look, all []learn.Chance) error {
	t := term.Table{Columns: []term.Column{{Title: "service"}, {Title: "part"}, {Title: "weather"}, {Title: "planned", Right: true}, {Title: "worth", Right: true, Drop: 2},
		{Title: "log", Right: true}, {Title: "learned", Right: true}, {Title: "80 % range", Right: true, Drop: 1}, {Title: ""}}}
	percent := func(p float64) string { return strconv.FormatFloat(100*p, 'f', 0, 64) + " %" }
	for _, c := range all {
		weather, drift := c.Weather, ""
		if weather == "" {
			weather = "any"
		}
		if c.Drifted {
			drift = "drifted"
		}
		t.Rows = append(t.Rows, []string{c.Service, c.Part, weather, percent(c.Planned), strconv.FormatFloat(c.Worth, 'g', 4, 64), fmt.Sprintf("%d of %d", c.Used, c.Jobs),
			percent(c.Learned), fmt.Sprintf("%.0f to %s", 100*c.Low, percent(c.High)), drift})
	}
	if err := look.Print(w, t); err != nil {
		return err
	}
	return look.Say(w, "note: a planned chance is a guess worth so many jobs beside the log (the season's \"chances worth jobs\"); drifted: so many uses, or so few, were foreseen with less than 2.5 %. Nothing is planned with what is learned: the plan stays as it is typed.")
}
