// Package pack is the command that says what goes on a trip.
package pack

import (
	"fmt"
	"io"
	"slices"
	"strconv"
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
		Description: "Without a trip it is the one under way, else the next. What the trips before it use of the same stock is\n" +
			"taken off first, as a distribution (--alone leaves that out). The load is the lightest (by truck the\n" +
			"cheapest, then the lightest) with which every job of the trip can be done with a chance of 90 %, in whole\n" +
			"containers, from stock that exists. --confidence packs part by part instead. What cannot reach the\n" +
			"confidence is listed short, with the reason.\n" +
			"By air the lines of a case are in the order of putting in, from the bottom to the top.\n" +
			"Once it is packed, say so with --packed: each line is moved into its case or drawer, and the load is\n" +
			"away from leaving to coming back. What went otherwise: move PART QUANTITY --to PLACE --trip TRIP.",
		Flags: slices.Concat(limitFlags(), []cli.Flag{
			&cli.BoolFlag{Name: "curve", Usage: "what each kilo buys: the readiness against the kilos, on the screen, and as a chart with --out"},
			&cli.BoolFlag{Name: "alone", Usage: "plan the trip by itself: leave out what the trips before it use of the same stock"},
			&cli.BoolFlag{Name: "packed", Usage: "record that the list is packed as it stands; asks nothing"},
			&cli.StringFlag{Name: "note", Usage: "`WORDS` kept with that record"},
		}, frame.Flags(frame.By, frame.When, frame.Season, frame.Confidence, frame.AsOf, frame.Database, frame.Out, frame.DryRun, frame.JSON, frame.All)),
		Action:      func(c *cli.Context) error { return run(env, c) },
		Subcommands: []*cli.Command{diffCommand(env)},
	}
}

// limitFlags are what a load may weigh, fill and cost, and what must go or stay, fresh for
// one run of the program.
func limitFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "limit-kg", Usage: "gross `KILOS` the load may weigh, with the cases it needs: it caps the load asked for"},
		&cli.StringFlag{Name: "limit-l", Usage: "`LITRES` it may take"},
		&cli.StringFlag{Name: "limit-spend", Usage: "`MONEY` it may cost, in the season's currency"},
		&cli.StringFlag{Name: "readiness", Usage: "the `CHANCE` wanted that every job of the trip can be done: the lightest load that reaches it, else refused"},
		&cli.BoolFlag{Name: "best", Usage: "the greatest readiness within the limits: fills them on purpose"},
		&cli.StringFlag{Name: "seconds", Usage: "after so many `SECONDS` of search the best so far is taken, with its bound", DefaultText: "10"},
		&cli.StringFlag{Name: "least", Usage: "what that load makes least: kilos, litres or money (`WHAT`; kilos where none is named)"},
		&cli.StringSliceFlag{Name: "carry", Usage: "what must be with the trip, such as `PART=2` or \"OIL-B68=1 l\" (may be repeated)"},
		&cli.StringSliceFlag{Name: "leave", Usage: "a `PART` that stays at home (may be repeated)"},
	}
}

// mostSeconds is a day.
const mostSeconds = 86_400

func run(env *frame.Env, c *cli.Context) error {
	args, o, err := frame.Given(c, "[TRIP]")
	if err != nil {
		return err
	}
	ask := load.Options{Confidence: o.Confidence, Alone: c.Bool("alone")}
	if err := limits(env, c, &ask); err != nil {
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
	done := env.Working(c.Context, "choosing the load")
	plan, err := load.Plan(c.Context, season.Outlook, ask)
	done()
	if err != nil {
		return err
	}
	var trade *load.Trade
	if c.Bool("curve") {
		if trade, err = load.CurveOf(c.Context, season.Outlook, ask, load.CurvePoints); err != nil {
			return err
		}
	}
	if o.Out != "" && strings.HasSuffix(strings.ToLower(o.Out), ".svg") {
		if trade == nil {
			return frame.Usagef("option --out: found %q, expected --curve with it: the picture is of the curve", o.Out)
		}
		if err := env.WriteFile(o.Out, func(w io.Writer) error { return packlist.Picture(w, plan, trade) }); err != nil {
			return err
		}
	} else if o.Out != "" {
		lists, err := papers.For(season.Outlook, plan)
		if err != nil {
			return err
		}
		if err := env.WriteFile(o.Out, func(w io.Writer) error { return packlist.WriteCurve(w, plan, lists, trade) }); err != nil {
			return err
		}
	}
	if o.JSON && trade != nil {
		return env.PrintJSON(answer.OfCurve(plan, trade))
	}
	if o.JSON {
		return env.PrintJSON(answer.OfPack(plan))
	}
	if trade != nil {
		err = screen.Curve(env.Out, env.Look(), plan, trade)
	} else {
		err = screen.Pack(env.Out, env.Look(), plan, season.Clock)
	}
	if err != nil {
		return err
	}
	if o.Out != "" {
		what := "pack list"
		if strings.HasSuffix(strings.ToLower(o.Out), ".svg") {
			what = "picture"
		}
		fmt.Fprintf(env.Out, "%s written to %s\n", what, o.Out)
	}
	return nil
}

// limits reads what the load may weigh, fill and cost, and the readiness wanted.
func limits(env *frame.Env, c *cli.Context, ask *load.Options) error {
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
	for _, text := range c.StringSlice("carry") {
		part, quantity, ok := strings.Cut(text, "=")
		if !ok || strings.TrimSpace(part) == "" || strings.TrimSpace(quantity) == "" {
			return frame.Usagef("option --carry: found %q, expected PART=QUANTITY such as CRW-10=12", text)
		}
		if ask.Carry == nil {
			ask.Carry = map[string]string{}
		}
		ask.Carry[strings.TrimSpace(part)] = strings.TrimSpace(quantity)
	}
	ask.Leave, ask.Best, ask.Seconds = c.StringSlice("leave"), c.Bool("best"), env.Searches()
	if ask.Best && (c.IsSet("readiness") || ask.Confidence > 0) {
		return frame.Usagef("option --best: found it with --readiness or --confidence, expected one of them")
	}
	if c.IsSet("seconds") {
		v, err := strconv.ParseFloat(strings.TrimSpace(c.String("seconds")), 64)
		if err != nil || !(v > 0) || v > mostSeconds {
			return frame.Usagef("option --seconds: found %q, expected a number above 0 and at most %d, such as 10", c.String("seconds"), mostSeconds)
		}
		ask.Seconds = v
	}
	if ask.Least = c.String("least"); ask.Least != "" {
		if !slices.Contains([]string{load.WhyKilos, load.WhyLitres, load.WhyMoney}, ask.Least) {
			return frame.Usagef("option --least: found %q, expected kilos, litres or money", ask.Least)
		}
		if !c.IsSet("readiness") {
			return frame.Usagef("option --least: it goes with --readiness: the least load that reaches it")
		}
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
