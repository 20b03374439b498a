// Package stock is the commands that say what is where.
package stock

import (
	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/stock"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// Command is "stock".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:      "stock",
		Usage:     "say what is where, in which bottle or lot, and whether it is still good",
		ArgsUsage: "[PART...]",
		Description: "Without a place it lists everything of ours and what is lent; with --at what is in that place\n" +
			"and below it. The book says it: a count or the scale says what is there.",
		Flags:  frame.Flags(frame.At, frame.Season, frame.AsOf, frame.Database, frame.JSON),
		Action: func(c *cli.Context) error { return list(env, c) },
	}
}

func list(env *frame.Env, c *cli.Context) error {
	parts, err := frame.Arguments(c, "[PART...]")
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
	rows, err := stock.Rows(season.Snapshot, stock.Options{At: o.At, Parts: parts})
	if err != nil {
		return err
	}
	if o.JSON {
		return env.PrintJSON(answer.OfStock(rows))
	}
	return screen.Stock(env.Out, env.Look(), rows, o.At, season.When(o))
}
