// Package pack is the command that says what goes on a trip.
package pack

import (
	"fmt"
	"io"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/load"
	"roundkit/reports/answer"
	"roundkit/reports/packlist"
	"roundkit/reports/screen"
)

// Command is "pack".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:      "pack",
		Usage:     "say what to pack for a trip, from where and into which case; --out writes the pack list",
		ArgsUsage: "[TRIP]",
		Description: "Without a trip it is the one under way, else the next. Each part is packed to the confidence in\n" +
			"whole containers, from stock that exists; what cannot reach it is listed short, with the reason.",
		Flags:  frame.Flags(frame.Season, frame.Confidence, frame.AsOf, frame.Database, frame.Out, frame.JSON),
		Action: func(c *cli.Context) error { return run(env, c) },
	}
}

func run(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "[TRIP]")
	if err != nil {
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
	ask := load.Options{Confidence: o.Confidence}
	if len(args) == 1 {
		ask.Trip = args[0]
	}
	plan, err := load.Plan(season.Outlook, ask)
	if err != nil {
		return err
	}
	if o.Out != "" {
		if err := env.WriteFile(o.Out, func(w io.Writer) error { return packlist.Write(w, plan) }); err != nil {
			return err
		}
	}
	if o.JSON {
		return env.PrintJSON(answer.OfPack(plan))
	}
	if err := screen.Pack(env.Out, env.Look(), plan, season.Clock); err != nil {
		return err
	}
	if o.Out != "" {
		fmt.Fprintf(env.Out, "pack list written to %s\n", o.Out)
	}
	return nil
}
