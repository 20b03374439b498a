// Package charge is the command that records money without a lot: carnet, agent, freight,
// excess mass, gas hire, waste, courier.
package charge

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/day"
	"roundkit/planner/spend"
)

// Command is "charge".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "charge",
		Usage: "record money that bought no part",
		Subcommands: []*cli.Command{{
			Name:      "add",
			Usage:     "record a charge: left standing, or spread over the parts of an order",
			ArgsUsage: "LINE AMOUNT",
			Description: "LINE is a budget line: " + strings.Join(spend.Lines(), ", ") + ".\n" +
				"AMOUNT is without tax that can be reclaimed, such as 85.50 or \"85.50 GBP\"; below 0 it is a credit.\n" +
				"Spread over an order it becomes part of what its lots cost, by value or with --by-mass by mass.",
			Flags: append([]cli.Flag{
				&cli.StringFlag{Name: "date", Usage: "the `DATE` of the charge; without it today"},
				&cli.StringFlag{Name: "round", Usage: "the `ROUND` it belongs to"},
				&cli.StringFlag{Name: "supplier", Usage: "the `SUPPLIER` it is paid to"},
				&cli.StringFlag{Name: "over", Usage: "the `ORDER` whose lots bear it"},
				&cli.BoolFlag{Name: "by-mass", Usage: "with --over: share it by mass, not by value"},
				&cli.StringFlag{Name: "note", Usage: "`WORDS` kept with the record"},
			}, frame.Flags(frame.By, frame.Season, frame.Database, frame.DryRun)...),
			Action: func(c *cli.Context) error { return add(env, c) },
		}},
	}
}

func add(env *frame.Env, c *cli.Context) error {
	args, o, err := frame.Given(c, "LINE", "AMOUNT")
	if err != nil {
		return err
	}
	in := db.ChargeAdd{Season: o.Season, Line: args[0], Round: c.String("round"), Supplier: c.String("supplier"), Order: c.String("over"),
		ByMass: c.Bool("by-mass"), Notes: c.String("note"), DryRun: o.DryRun}
	amount, currency, _ := strings.Cut(strings.TrimSpace(args[1]), " ")
	if in.Amount, err = decimal.NewFromString(strings.Replace(amount, ",", ".", 1)); err != nil {
		return frame.Usagef("charge add: found %q, expected an amount such as 85.50 or \"85.50 GBP\"", args[1])
	}
	in.Currency = strings.ToUpper(strings.TrimSpace(currency))
	if text := c.String("date"); text != "" {
		on, err := day.Parse(text)
		if err != nil {
			return frame.Usagef("option --date: %s", err)
		}
		in.On = &on
	}
	if in.ByMass && in.Order == "" {
		return frame.Usagef("option --by-mass: found no --over, expected the order whose lots bear it")
	}
	change, err := env.Change(o)
	if err != nil {
		return err
	}
	in.ID, in.Person = change.ID, change.Person
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	done, err := store.AddCharge(c.Context, in)
	if err != nil {
		return err
	}
	if !o.DryRun {
		env.Recorded("charge " + done.Code)
	}
	if in.Order == "" {
		fmt.Fprintf(env.Out, "%s: %s recorded as %s%s\n", in.Line, args[1], done.Code, onlyLooked(o))
		doubles(env, done)
		return env.SayTakeBack(change)
	}
	how := "value"
	if in.ByMass {
		how = "mass"
	}
	fmt.Fprintf(env.Out, "%s: %s spread by %s over the lots of %s, and part of what they cost%s\n", in.Line, args[1], how, in.Order, onlyLooked(o))
	for _, s := range done.Shares {
		fmt.Fprintf(env.Out, "  %s  %s\n", s.Lot, s.Amount.StringFixed(2))
	}
	doubles(env, done)
	return env.SayTakeBack(change)
}

// doubles names the charges that are likely this one.
func doubles(env *frame.Env, done db.ChargeDone) {
	for _, code := range done.Doubles {
		fmt.Fprintf(env.Out, "  likely the same again: charge %s says as much; if it is one, take it back: roundkit undo %s\n", code, done.Code)
	}
}

func onlyLooked(o frame.Options) string {
	if o.DryRun {
		return " (only looked: nothing is written)"
	}
	return ""
}
