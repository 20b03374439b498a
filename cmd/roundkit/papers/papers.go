// Package papers is the command that says which papers a trip needs.
package papers

import (
	"context"
	"fmt"
	"io"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/calendar"
	"roundkit/planner/forecast"
	"roundkit/planner/load"
	"roundkit/planner/papers"
	"roundkit/reports/answer"
	"roundkit/reports/packlist"
	"roundkit/reports/screen"
)

// Command is "papers".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:      "papers",
		Usage:     "say which papers a trip needs: road points or what must not fly, customs lists; --out writes them as sheets",
		ArgsUsage: "[TRIP]",
		Description: "Without a trip it is the one under way, else the next. Until pack day the lists are of what is with the\n" +
			"trip and of what pack would add; from pack day on, and with --there, of what is with it already.\n" +
			"Aids only, never a clearance: the safety data sheet, the carrier, the customs agent and a qualified\n" +
			"adviser decide.",
		Flags: append([]cli.Flag{
			&cli.BoolFlag{Name: "there", Usage: "only of what is with the trip already"},
		}, frame.Flags(frame.Season, frame.Confidence, frame.AsOf, frame.Database, frame.Out, frame.JSON)...),
		Action: func(c *cli.Context) error { return run(env, c) },
	}
}

func run(env *frame.Env, c *cli.Context) error {
	args, o, season, err := env.SeasonFor(c, "[TRIP]")
	if err != nil {
		return err
	}
	done := env.Working(c.Context, "choosing the load")
	p, err := of(c.Context, season.Outlook, args, c.Bool("there"), o.Confidence, env.Searches())
	done()
	if err != nil {
		return err
	}
	if o.Out != "" {
		if err := env.WriteFile(o.Out, func(w io.Writer) error { return packlist.WritePapers(w, p) }); err != nil {
			return err
		}
	}
	if o.JSON {
		return env.PrintJSON(answer.OfPapers(p))
	}
	if err := screen.Papers(env.Out, env.Look(), p, season.Clock); err != nil {
		return err
	}
	if o.Out != "" {
		fmt.Fprintf(env.Out, "papers written to %s\n", o.Out)
	}
	return nil
}

// of makes the papers; what is still to be packed counts until the end of pack day's eve.
func of(ctx context.Context, o *forecast.Outlook, args []string, there bool, confidence, seconds float64) (*papers.Papers, error) {
	var trip calendar.Trip
	var err error
	if len(args) == 1 {
		trip, err = o.Calendar.Trip(args[0])
	} else {
		trip, err = o.Calendar.Current(o.Snapshot.AsOf)
	}
	if err != nil {
		return nil, err
	}
	if there || o.Snapshot.AsOf >= trip.PackOn || trip.GoesBy == calendar.Home {
		return papers.Of(o, trip, nil)
	}
	plan, err := load.Plan(ctx, o, load.Options{Trip: trip.Code, Confidence: confidence, Seconds: seconds, Draws: -1})
	if err != nil {
		return nil, err
	}
	return papers.Of(o, trip, plan)
}
