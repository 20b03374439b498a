// Package reorder is the command that says what to move and to order, and by when.
package reorder

import (
	"fmt"
	"io"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/order"
	"roundkit/reports/answer"
	"roundkit/reports/reorder"
	"roundkit/reports/screen"
)

// Command is "reorder".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "reorder",
		Usage: "say what to move and what to order, from whom, how much, by when; --out writes the sheets",
		Description: "Without a round or a trip it is the whole season. Moves come before buys. An order is due so long\n" +
			"before its trip is packed as the supplier takes in nineteen cases of twenty.",
		Flags:  frame.Flags(frame.Rounds, frame.Trip, frame.Season, frame.Confidence, frame.AsOf, frame.Database, frame.Out, frame.JSON),
		Action: func(c *cli.Context) error { return run(env, c) },
	}
}

func run(env *frame.Env, c *cli.Context) error {
	if _, err := frame.Arguments(c); err != nil {
		return err
	}
	o, err := frame.ReadOptions(c)
	if err != nil {
		return err
	}
	if _, err := o.Asked(); err != nil {
		return err
	}
	season, err := env.OpenSeason(c.Context, o)
	if err != nil {
		return err
	}
	const bothCores = 2
	plan, err := order.Plan(season.Outlook, order.Options{Rounds: o.Rounds, Trip: o.Trip, Confidence: o.Confidence, Workers: bothCores})
	if err != nil {
		return err
	}
	if o.Out != "" {
		if err := env.WriteFile(o.Out, func(w io.Writer) error { return reorder.Write(w, season.Snapshot, plan) }); err != nil {
			return err
		}
	}
	if o.JSON {
		return env.PrintJSON(answer.OfReorder(plan))
	}
	if err := screen.Reorder(env.Out, env.Look(), plan, season.Clock, 0); err != nil {
		return err
	}
	if o.Out != "" {
		fmt.Fprintf(env.Out, "reorder sheets written to %s\n", o.Out)
	}
	return nil
}
