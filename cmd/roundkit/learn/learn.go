// Package learn is the command that says what the log teaches of the plan.
package learn

import (
	"fmt"
	"math"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/learn"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// Command is "learn".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "learn",
		Usage: "what the log says of the plan's chances: planned, logged, learned, and which have drifted",
		Flags: frame.Flags(frame.Season, frame.Database, frame.JSON),
		Action: func(c *cli.Context) error {
			_, o, store, err := env.StoreFor(c)
			if err != nil {
				return err
			}
			defer store.Close()
			b, err := store.Book(c.Context, o.Season)
			if err != nil {
				return err
			}
			worth, err := b.Season[0].JobsWorth()
			if err != nil {
				return err
			}
			if math.IsInf(worth, 1) {
				if o.JSON {
					return env.PrintJSON(answer.OfLearned(nil))
				}
				fmt.Fprintln(env.Out, "the season's chances are known: nothing is learned of them")
				return nil
			}
			all, err := learn.Chances(b, worth)
			if err != nil {
				return err
			}
			if o.JSON {
				return env.PrintJSON(answer.OfLearned(all))
			}
			return screen.Learned(env.Out, env.Look(), all)
		},
	}
}
