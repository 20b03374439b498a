// Package pack is the command that says what goes on a trip.
package pack

import (
	"fmt"
	"io"
	"strings"

	"github.com/shopspring/decimal"
	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/load"
	"roundkit/planner/papers"
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
			"whole containers, from stock that exists; what cannot reach it is listed short, with the reason.\n" +
			"Once it is packed, say so with --packed: each line is moved into its case or drawer, and the load is\n" +
			"away from leaving to coming back. What went otherwise: move PART QUANTITY --to PLACE --trip TRIP.",
		Flags:       append(limitFlags(), frame.Flags(frame.Season, frame.Confidence, frame.AsOf, frame.Database, frame.Out, frame.JSON)...),
		Action:      func(c *cli.Context) error { return run(env, c) },
		Subcommands: []*cli.Command{diffCommand(env)},
	}
}

// limitFlags are what a load may weigh, fill and cost, fresh for one run of the program.
func limitFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "limit-kg", Usage: "gross `KILOS` the trip may weigh: the best load within them"},
		&cli.StringFlag{Name: "limit-l", Usage: "`LITRES` it may take"},
		&cli.StringFlag{Name: "limit-spend", Usage: "`MONEY` it may cost, in the season's currency"},
		&cli.StringFlag{Name: "readiness", Usage: "the `CHANCE` wanted that every job of the trip can be done: the lightest load that reaches it"},
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
	ask := load.Options{Confidence: o.Confidence}
	if err := limits(c, &ask); err != nil {
		return err
	}
	if len(args) == 1 {
		ask.Trip = args[0]
	}
	if c.Bool("packed") {
		return packed(env, c, o, ask)
	}
	for _, name := range []string{"by", "when", "note", "dry-run"} {
		if c.IsSet(name) {
			return frame.Usagef("option --%s: it goes with --packed only", name)
		}
	}
	season, err := env.OpenSeason(c.Context, o)
	if err != nil {
		return err
	}
	plan, err := load.Plan(season.Outlook, ask)
	if err != nil {
		return err
	}
	if o.Out != "" {
		lists, err := papers.For(season.Outlook, plan)
		if err != nil {
			return err
		}
		if err := env.WriteFile(o.Out, func(w io.Writer) error { return packlist.Write(w, plan, lists) }); err != nil {
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

// limits reads what the load may weigh, fill and cost, and the readiness wanted.
func limits(c *cli.Context, ask *load.Options) error {
	for _, l := range []struct {
		name string
		to   **decimal.Decimal
	}{{"limit-kg", &ask.LimitKG}, {"limit-l", &ask.LimitL}, {"limit-spend", &ask.LimitSpend}} {
		if !c.IsSet(l.name) {
			continue
		}
		v, err := decimal.NewFromString(strings.Replace(strings.TrimSpace(c.String(l.name)), ",", ".", 1))
		if err != nil || v.IsNegative() {
			return frame.Usagef("option --%s: found %q, expected a number such as 23", l.name, c.String(l.name))
		}
		*l.to = &v
	}
	if c.IsSet("readiness") {
		chance, err := frame.ParseChance(c.String("readiness"))
		if err != nil {
			return frame.Usagef("option --readiness: %s", err)
		}
		ask.Readiness = chance
	}
	return nil
}
