// Package difference is the commands about what book and count did not agree on: list it,
// say why.
package difference

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/day"
	"roundkit/planner/difference"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// Command is "difference".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "difference",
		Usage: "list where count or scale and book differed, and say why",
		Subcommands: []*cli.Command{
			{Name: "list", Usage: "list the differences, with the reason chosen or what the log speaks for", ArgsUsage: "[PART...]",
				Description: "What count, scale or a job showed is booked at once; the reason may follow. It points at records,\n" +
					"never at people.",
				Flags: append([]cli.Flag{&cli.StringFlag{Name: "since", Usage: "only from this `DATE` on"},
					&cli.BoolFlag{Name: "open", Usage: "only those without a reason"}}, frame.Flags(frame.Season, frame.AsOf, frame.Database, frame.JSON)...),
				Action: func(c *cli.Context) error { return list(env, c) }},
			{Name: "because", Usage: "choose the reason of a difference", ArgsUsage: "PART|TAG|RECORD CAUSE",
				Description: "The usual causes: " + strings.Join(difference.Causes(), ", ") + ".\nOther words go behind one of them in --note.",
				Flags:       frame.RecordFlags(),
				Action:      func(c *cli.Context) error { return because(env, c) }},
		},
	}
}

func list(env *frame.Env, c *cli.Context) error {
	parts, o, err := frame.Given(c, "[PART...]")
	if err != nil {
		return err
	}
	var since *day.Day
	if c.IsSet("since") {
		on, err := day.Parse(c.String("since"))
		if err != nil {
			return frame.Usagef("option --since: %s", err)
		}
		since = &on
	}
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	for _, part := range parts {
		if _, err := store.Part(c.Context, o.Season, part); err != nil {
			return err
		}
	}
	found, err := store.Differences(c.Context, since, db.SnapshotOptions{Season: o.Season, AsOf: o.AsOf})
	if err != nil {
		return err
	}
	open := 0
	found = slices.DeleteFunc(found, func(d difference.Difference) bool {
		return len(parts) > 0 && !slices.Contains(parts, d.Part.Code) || c.Bool("open") && !d.Open()
	})
	for _, d := range found {
		if d.Open() {
			open++
		}
	}
	if o.JSON {
		return env.PrintJSON(answer.OfDifferences(found))
	}
	look := env.Look()
	if err := look.Say(env.Out, fmt.Sprintf("%d differences, %d without a reason", len(found), open)); err != nil || len(found) == 0 {
		return err
	}
	fmt.Fprintln(env.Out)
	return screen.Differences(env.Out, look, found)
}

func because(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "PART|TAG|RECORD", "CAUSE")
	if err != nil {
		return err
	}
	cause, err := difference.Cause(args[1])
	if err != nil {
		return frame.Usagef("difference because: %s", err)
	}
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	if r.Act.Notes != "" {
		cause += ": " + r.Act.Notes
	}
	d, done, err := r.Store.ExplainDifference(c.Context, r.Act, args[0], cause)
	if err != nil {
		return err
	}
	name := d.Part.Code
	if d.Tag != "" {
		name += " " + d.Tag
	}
	return r.Print(c.Context, fmt.Sprintf("%s, %s on %s: %s", name, screen.Signed(d), d.On, cause), done)
}
