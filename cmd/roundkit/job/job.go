// Package job is the commands about jobs: how many more can be done.
package job

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/left"
	"roundkit/reports/answer"
	"roundkit/reports/term"
)

// nextShown is how many of the parts that come next are named.
const nextShown = 3

// Command is "job".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "job",
		Usage: "say how many more jobs can be done",
		Subcommands: []*cli.Command{{
			Name:  "left",
			Usage: "say how many more of each service can be done with what is here, and what stops the next",
			Description: `Counted are lines that are used each time, ranges at their typical amount with its
allowance; what is replaced only when inspection says so, and springs, count nothing.`,
			Flags: frame.Flags(frame.At, frame.Season, frame.AsOf, frame.Database, frame.JSON),
			Action: func(c *cli.Context) error {
				if _, err := frame.Arguments(c); err != nil {
					return err
				}
				o, err := frame.ReadOptions(c)
				if err != nil {
					return err
				}
				season, err := env.OpenSeason(c.Context, o)
				if err != nil {
					return err
				}
				rows, err := left.At(season.Outlook, o.At)
				if err != nil {
					return err
				}
				if o.JSON {
					return env.PrintJSON(answer.OfLeft(rows))
				}
				return say(env, season, o, rows)
			},
		}},
	}
}

func say(env *frame.Env, season frame.SeasonView, o frame.Options, rows []left.Jobs) error {
	look := env.Look()
	where := "anywhere of ours"
	if o.At != "" {
		where = "at " + o.At
	}
	asked := "with what is " + where + ", as of " + season.Snapshot.AsOf.String()
	if season.Clock != "" {
		asked += "; " + season.Clock
	}
	for _, line := range []string{stoppedLine(rows), asked} {
		if err := look.Say(env.Out, line); err != nil {
			return err
		}
	}
	if len(rows) == 0 {
		return nil
	}
	fmt.Fprintln(env.Out)
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
	return look.Print(env.Out, t)
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
