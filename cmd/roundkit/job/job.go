// Package job is the commands about jobs: log one, list them, how many more can be done.
package job

import (
	"slices"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/left"
	"roundkit/planner/mix"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// Command is "job".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "job",
		Usage: "log a job just done, list jobs, say how many more can be done",
		Subcommands: []*cli.Command{logCommand(env), listCommand(env), {
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
				if err := screen.JobsLeft(env.Out, env.Look(), rows, o.At, season.Snapshot.AsOf, season.Clock); err != nil {
					return err
				}
				return oilHints(env, season, rows, o.At)
			},
		}},
	}
}

// oilHints says, for each oil that stops a service, where to ask what could stand in.
func oilHints(env *frame.Env, season frame.SeasonView, rows []left.Jobs, at string) error {
	var said []string
	for _, r := range rows {
		if r.Left == nil || *r.Left > 0 || slices.Contains(said, r.LimitedBy) {
			continue
		}
		if _, err := mix.Wanted(season.Snapshot, r.LimitedBy); err != nil {
			continue // it is no oil of a known viscosity
		}
		said = append(said, r.LimitedBy)
		ask := "roundkit oil blend --want " + r.LimitedBy
		if at != "" {
			ask += " --at " + at
		}
		if err := env.Look().Say(env.Out, "note: "+r.LimitedBy+" is short; what the other oils here would make: "+ask); err != nil {
			return err
		}
	}
	return nil
}
