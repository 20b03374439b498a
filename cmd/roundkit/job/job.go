// Package job is the commands about jobs: log one, list them, how many more can be done.
package job

import (
	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/left"
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
				return screen.JobsLeft(env.Out, env.Look(), rows, o.At, season.Snapshot.AsOf, season.Clock)
			},
		}},
	}
}
