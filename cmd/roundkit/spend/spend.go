// Package spend is the command that says what the season has cost and what is to come.
package spend

import (
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/spend"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// Command is "spend".
func Command(env *frame.Env) *cli.Command {
	views := strings.Join(spend.Views(), ", ")
	return &cli.Command{
		Name:  "spend",
		Usage: "say what the season has cost so far and what is still to come at list price",
		Description: "Grouped --by " + views + " (without it round).\n" +
			"A use costs its own lot; what came under an allocation costs nothing and has its list value beside it.",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "by", Usage: "the `VIEW`: " + views},
			&cli.StringFlag{Name: "from", Usage: "only from this `DATE` on"}, &cli.StringFlag{Name: "to", Usage: "only up to this `DATE`"},
		}, frame.Flags(frame.Season, frame.AsOf, frame.Database, frame.JSON)...),
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
	by := "round"
	if c.IsSet("by") {
		by = c.String("by")
	}
	if !slices.Contains(spend.Views(), by) {
		return frame.Usagef("option --by: found %q, expected one of %s", by, strings.Join(spend.Views(), ", "))
	}
	ask := db.SpendOptions{SnapshotOptions: db.SnapshotOptions{Season: o.Season, AsOf: o.AsOf}, View: by}
	if ask.From, err = date(c, "from"); err != nil {
		return err
	}
	if ask.To, err = date(c, "to"); err != nil {
		return err
	}
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	snapshot, err := store.Snapshot(c.Context, ask.SnapshotOptions)
	if err != nil {
		return err
	}
	outlook, err := forecast.New(snapshot)
	if err != nil {
		return err
	}
	moves, charges, err := store.Spend(c.Context, ask)
	if err != nil {
		return err
	}
	result, err := spend.Of(outlook, by, moves, charges)
	if err != nil {
		return err
	}
	if o.JSON {
		return env.PrintJSON(answer.OfSpend(result))
	}
	return screen.Spend(env.Out, env.Look(), result, "")
}

func date(c *cli.Context, name string) (*day.Day, error) {
	if !c.IsSet(name) {
		return nil, nil
	}
	on, err := day.Parse(c.String(name))
	if err != nil {
		return nil, frame.Usagef("option --%s: %s", name, err)
	}
	return &on, nil
}
