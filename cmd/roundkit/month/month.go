// Package month is the command that closes a month of the books.
package month

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/day"
	"roundkit/planner/spend"
)

// Command is "month".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "month",
		Usage: "close a month of the books",
		Subcommands: []*cli.Command{{
			Name:      "close",
			Usage:     "freeze a month: what is recorded later stands in the open one",
			ArgsUsage: "MONTH",
			Description: "MONTH is such as 2027-05. It stands for ever: a later bill is a price correction in the open\n" +
				"month, and a later record stands there with its reference. Months are closed in their order.",
			Flags:  frame.Flags(frame.By, frame.Season, frame.Database, frame.DryRun),
			Action: func(c *cli.Context) error { return closeMonth(env, c) },
		}},
	}
}

func closeMonth(env *frame.Env, c *cli.Context) error {
	args, o, err := frame.Given(c, "MONTH")
	if err != nil {
		return err
	}
	first, err := day.Parse(args[0] + "-01")
	if err != nil {
		return frame.Usagef("month close: found %q, expected a month such as 2027-05", args[0])
	}
	if o.By == "" {
		o.By = env.Variable("ROUNDKIT_PERSON")
	}
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	done, err := store.CloseMonth(c.Context, db.MonthClose{Season: o.Season, Month: first, Person: o.By, DryRun: o.DryRun})
	if err != nil {
		return err
	}
	word := "closed: it stands from now on"
	if !o.DryRun {
		env.Recorded("the close of " + args[0])
	} else {
		word = "would be closed (only looked: nothing is written)"
	}
	fmt.Fprintf(env.Out, "%s %s\n", args[0], word)
	for _, t := range done.Totals {
		if t.Figure == spend.FigureNotValued {
			fmt.Fprintf(env.Out, "  not valued, %s times: %s\n", t.Amount.FloatString(0), t.Key)
			continue
		}
		fmt.Fprintf(env.Out, "  %s, %s: %s\n", t.Key, t.Figure, spend.PrintOne(t.Amount, 2).StringFixed(2))
	}
	return nil
}
