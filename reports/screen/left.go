package screen

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"roundkit/planner/day"
	"roundkit/planner/left"
	"roundkit/reports/term"
)

// nextShown is how many of the parts that come next are named.
const nextShown = 3

// JobsLeft prints how many more of each service can be done with what is somewhere (in words)
// as of a day.
func JobsLeft(w io.Writer, look term.Look, rows []left.Jobs, where string, asOf day.Day, clock string) error {
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
	for _, g := range alike(rows, said) {
		row := said(g[0])
		row[1] = assemblies(g)
		if g[0].Left != nil && *g[0].Left == 0 {
			row[2] = look.Warn(row[2])
		}
		t.Rows = append(t.Rows, row)
	}
	return look.Print(w, t)
}

// said is a row as it is shown, but for the assembly.
func said(r left.Jobs) []string {
	var next []string
	for _, p := range r.Next[:min(nextShown, len(r.Next))] {
		next = append(next, p.Part+" "+strconv.Itoa(p.Left))
	}
	stopper := r.LimitedBy
	if r.Left == nil {
		stopper = "(nothing)" // an empty row would look forgotten
	}
	return []string{r.Service, "", number(r.Left), number(r.LeftAfterPlan), stopper, strings.Join(next, ", ")}
}

// alike takes rows together that follow each other and say the same: a phone has few lines.
func alike(rows []left.Jobs, said func(left.Jobs) []string) (groups [][]left.Jobs) {
	for _, r := range rows {
		if n := len(groups); n > 0 && slices.Equal(said(groups[n-1][0]), said(r)) {
			groups[n-1] = append(groups[n-1], r)
			continue
		}
		groups = append(groups, []left.Jobs{r})
	}
	return groups
}

// assemblies names those of a group: three or more in a row by the first and the last.
func assemblies(g []left.Jobs) string {
	const few = 2
	names := make([]string, len(g))
	for i, r := range g {
		names[i] = r.Assembly
	}
	if len(names) > few {
		return names[0] + ".." + names[len(names)-1]
	}
	return strings.Join(names, " ")
}

// stoppedLine names the services of which no more can be done.
func stoppedLine(rows []left.Jobs) string {
	var stopped []string
	none := slices.DeleteFunc(slices.Clone(rows), func(r left.Jobs) bool { return r.Left == nil || *r.Left > 0 })
	for _, g := range alike(none, func(r left.Jobs) []string { return []string{r.Service, r.LimitedBy} }) {
		name := g[0].Service
		if on := assemblies(g); on != "" {
			name += " on " + on
		}
		stopped = append(stopped, name+" ("+g[0].LimitedBy+")")
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
