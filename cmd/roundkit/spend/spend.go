// Package spend is the command that says what the season has cost and what is to come.
package spend

import (
	"fmt"
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
			"A use costs its own lot; what came under an allocation costs nothing and has its list value beside it.\n" +
			"--valued fifo (first in, first out) or average (moving weighted average) shows the same uses by another\n" +
			"cost formula. --reconcile sets, part by part, opening + purchases - used - scrapped - missing against\n" +
			"what is there. --variance says why what was used cost more or less than its price in a list or budget.",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "by", Usage: "the `VIEW`: " + views},
			&cli.StringFlag{Name: "from", Usage: "only from this `DATE` on"}, &cli.StringFlag{Name: "to", Usage: "only up to this `DATE`"},
			&cli.StringFlag{Name: "valued", Usage: "the cost `FORMULA`: lot (without it), fifo or average"},
			&cli.BoolFlag{Name: "reconcile", Usage: "each part's money: what came in, what went, what is there"},
			&cli.StringFlag{Name: "variance", Usage: "price and quantity variance of each part against its `PRICE`: list, or budget (list at the rates of the season's first day)"},
		}, frame.Flags(frame.Season, frame.AsOf, frame.Database, frame.Out, frame.JSON)...),
		Action: func(c *cli.Context) error { return run(env, c) },
	}
}

func run(env *frame.Env, c *cli.Context) error {
	_, o, err := frame.Given(c)
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
	if err := chosen(c, &ask); err != nil {
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
	switch {
	case c.Bool("reconcile"):
		return reconcile(env, c, store, ask, snapshot)
	case c.IsSet("variance"):
		return variance(env, c, store, ask, snapshot, spend.Standard(c.String("variance")))
	}
	outlook, err := forecast.New(snapshot)
	if err != nil {
		return err
	}
	facts, err := store.Spend(c.Context, ask, snapshot)
	if err != nil {
		return err
	}
	done := env.Working(c.Context, "working out what is to come")
	result, err := spend.Of(outlook, by, facts)
	done()
	if err != nil {
		return err
	}
	if o.Out != "" {
		if err := writeReview(env, c, store, ask, outlook, o.Out); err != nil {
			return err
		}
	}
	if o.JSON {
		return env.PrintJSON(answer.OfSpend(result))
	}
	if err := screen.Spend(env.Out, env.Look(), result, ""); err != nil {
		return err
	}
	if o.Out != "" {
		fmt.Fprintf(env.Out, "review written to %s\n", o.Out)
	}
	return nil
}

// chosen reads the cost formula and checks which questions go together.
func chosen(c *cli.Context, ask *db.SpendOptions) error {
	ask.Valued = spend.Lot
	if c.IsSet("valued") {
		ask.Valued = spend.Formula(c.String("valued"))
	}
	if !slices.Contains(spend.Formulas(), ask.Valued) {
		return frame.Usagef("option --valued: found %q, expected lot, fifo or average", ask.Valued)
	}
	if standard := spend.Standard(c.String("variance")); c.IsSet("variance") && !slices.Contains(spend.Standards(), standard) {
		return frame.Usagef("option --variance: found %q, expected list or budget", standard)
	}
	not := map[string][]string{"reconcile": {"by", "from", "to", "variance", "out"}, "variance": {"by", "valued", "out"}, "out": {"valued", "from", "to"}}
	for _, name := range []string{"reconcile", "variance", "out"} {
		for _, other := range not[name] {
			if c.IsSet(name) && c.IsSet(other) {
				return frame.Usagef("option --%s: found --%s with it, expected one of them", name, other)
			}
		}
	}
	return nil
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
