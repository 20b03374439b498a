// Package oil is the commands about oils and rubber: what to mix when one is short, what
// an amount is in other units, how long a seal may lie on the shelf.
package oil

import (
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/mix"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// usualML is what is mixed where nothing is said: a figure that reads as percent.
const usualML = 100

// Command is "oil".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "oil",
		Usage: "say what to mix when an oil is short, and what an amount is in other units",
		Subcommands: []*cli.Command{
			{
				Name:  "blend",
				Usage: "propose mixes of the oils at a place that make the one wanted",
				Description: "--want is an oil of the catalogue, or its viscosity at 40 C such as 22.4cSt. What is left of the oil\n" +
					"itself is used first. Mix only what the makers allow: only viscosities are known here.",
				Flags: append([]cli.Flag{
					&cli.StringFlag{Name: "want", Usage: "the `OIL`, or cSt at 40 C such as 22.4cSt"},
					&cli.StringFlag{Name: "ml", Usage: "how many `MILLILITRES`; without it 100"},
				}, frame.Flags(frame.At, frame.Season, frame.AsOf, frame.Database, frame.JSON)...),
				Action: func(c *cli.Context) error { return blend(env, c) },
			},
			{
				Name:      "mixed",
				Usage:     "log a blend that was mixed: what each bottle gave, and the new labelled bottle",
				ArgsUsage: "LABEL OIL BOTTLE=AMOUNT BOTTLE=AMOUNT...",
				Description: "LABEL is the new bottle's, OIL what the blend stands for in the catalogue; an AMOUNT is ml, or grams\n" +
					"such as 60g. It is one record: its cost is that of what was poured, it is good until the first of the\n" +
					"bottles is past its date, and one undo takes it back. Mix only what the makers allow.",
				Flags: frame.RecordFlags(&cli.StringFlag{Name: "to", Usage: "the `PLACE` of the new bottle; without it where the first bottle is"},
					&cli.StringFlag{Name: "tare", Usage: "what the new bottle weighs empty, in `GRAMS`"}),
				Action: func(c *cli.Context) error { return mixed(env, c) },
			},
			{
				Name:      "convert",
				Usage:     "convert an amount: ml, l, US fl oz, g, kg, lb/in, N/mm, bar, psi and more; g to ml by density",
				ArgsUsage: "VALUE FROM TO",
				Description: "Grams and millilitres convert by the density of --part, or of --density in g/ml at 20 C; at another\n" +
					"temperature with --celsius. The weight on a label is a name, and converts to nothing.",
				Flags: append([]cli.Flag{
					&cli.StringFlag{Name: "part", Usage: "the `OIL` whose density counts"},
					&cli.StringFlag{Name: "density", Usage: "`G/ML` at 20 C"},
					&cli.StringFlag{Name: "celsius", Usage: "the oil's `TEMPERATURE`; without it 20"},
				}, frame.Flags(frame.Season, frame.Database, frame.JSON)...),
				Action: func(c *cli.Context) error { return convert(env, c) },
			},
		},
	}
}

func blend(env *frame.Env, c *cli.Context) error {
	_, o, err := frame.Given(c)
	if err != nil {
		return err
	}
	typed := strings.TrimSpace(c.String("want"))
	if typed == "" {
		return frame.Usagef("oil blend: found nothing for --want, expected an oil or its viscosity at 40 C such as 22.4cSt")
	}
	want := mix.Want{ML: usualML}
	if c.IsSet("ml") {
		if want.ML, err = number("ml", strings.TrimSuffix(strings.TrimSpace(c.String("ml")), "ml")); err != nil {
			return err
		}
	}
	if err := notAWeight("--want", typed); err != nil {
		return err
	}
	cst, isCSt := viscosity(typed)
	switch at := strings.Index(typed, "@"); {
	case isCSt && !(cst >= 0.3 && cst <= 1e6):
		return frame.Usagef("--want: found %q, expected 0.3 to 1000000 cSt at 40 C", typed)
	case !isCSt && at > 0:
		return frame.Usagef("--want: found %q, expected cSt at 40 C: oils are compared at 40 C", typed)
	}
	season, err := env.OpenSeason(c.Context, o)
	if err != nil {
		return err
	}
	if isCSt {
		want.CSt40 = cst
	} else {
		oil, err := mix.Wanted(season.Snapshot, typed)
		if err != nil {
			return err
		}
		want.Part, want.CSt40 = oil.Part, oil.CSt40
	}
	here, err := mix.Here(season.Snapshot, o.At)
	if err != nil {
		return err
	}
	a, err := mix.Propose(want, here)
	if err != nil {
		return err
	}
	if o.JSON {
		return env.PrintJSON(answer.OfOilBlend(a, season.Snapshot.AsOf, o.At, screen.OilCautions))
	}
	var own *mix.Oil
	for i := range here {
		if here[i].Part == want.Part {
			own = &here[i]
		}
	}
	return screen.OilBlend(env.Out, env.Look(), a, own, season.When(o), o.At)
}

// viscosity reads "22.4", "22.4cSt", "22.4 cSt@40": false for anything else.
func viscosity(text string) (float64, bool) {
	text = strings.ToLower(strings.ReplaceAll(text, " ", ""))
	text = strings.TrimSuffix(strings.TrimSuffix(text, "c"), "@40")
	text = strings.TrimSuffix(strings.TrimSuffix(text, "cst"), "mm2/s")
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	return v, err == nil
}

// notAWeight refuses 5wt, 10W, SAE 30: they say how thick nothing is.
func notAWeight(where, text string) error {
	low := strings.ToLower(strings.ReplaceAll(text, " ", ""))
	digits := strings.TrimRight(low, "wteighsa")
	_, err := strconv.ParseFloat(digits, 64)
	if err == nil && digits != low || strings.HasPrefix(low, "sae") || low == "wt" || low == "weight" || low == "w" {
		return frame.Usagef("%s: found %q, expected an oil or its viscosity in cSt at 40 C: the weight on a label is a name, and one maker's 7 is thinner than another's 5; the data sheet has the cSt", where, text)
	}
	return nil
}

func number(option, text string) (float64, error) {
	v, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(text), ",", ".", 1), 64)
	if err != nil || v != v {
		return 0, frame.Usagef("option --%s: found %q, expected a number", option, text)
	}
	return v, nil
}
