package screen

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"roundkit/planner/day"
	"roundkit/planner/left"
	"roundkit/reports/term"
)

// nextShown is how many of the parts that come next are named.
const nextShown = 3

// JobsLeft prints how many more of each service can be done with what is at a place
// ("": anywhere of ours) as of a day.
func JobsLeft(w io.Writer, look term.Look, rows []left.Jobs, at string, asOf day.Day, clock string) error {
	where := "anywhere of ours"
	if at != "" {
		where = "at " + at
	}
	asked := "with what is " + where + ", as of " + asOf.String()
	if clock != "" {
		asked += "; " + clock
	}
	for _, line := range []string{stoppedLine(rows), asked} {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	if len(rows) == 0 {
		return nil
	}
	fmt.Fprintln(w)
	t := term.Table{Columns: []term.Column{
		{Title: "service"}, {Title: "on"}, {Title: "left", Right: true}, {Title: "after plan", Right: true, Drop: 2},
		{Title: "stopped by"}, {Title: "next", Wrap: true, Drop: 1},
	}}
	for _, r := range rows {
		var next []string
		for _, p := range r.Next[:min(nextShown, len(r.Next))] {
			next = append(next, p.Part+" "+strconv.Itoa(p.Left))
		}
		count := number(r.Left)
		if r.Left != nil && *r.Left == 0 {
			count = look.Warn(count)
		}
		t.Rows = append(t.Rows, []string{r.Service, r.Assembly, count, number(r.LeftAfterPlan), r.LimitedBy, strings.Join(next, ", ")})
	}
	return look.Print(w, t)
}

// stoppedLine names the services of which no more can be done.
func stoppedLine(rows []left.Jobs) string {
	var stopped []string
	for _, r := range rows {
		if r.Left != nil && *r.Left == 0 {
			name := r.Service
			if r.Assembly != "" {
				name += " on " + r.Assembly
			}
			stopped = append(stopped, name+" ("+r.LimitedBy+")")
		}
	}
	if len(stopped) == 0 {
		return "at least one more of every service can be done"
	}
	return "no more can be done of " + strings.Join(stopped, ", ")
}

// number is blank where nothing that is counted limits a service.
func number(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}
