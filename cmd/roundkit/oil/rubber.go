package oil

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/day"
	"roundkit/planner/oil"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// Rubber is "rubber".
func Rubber(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:      "rubber",
		Usage:     "say how long a stored seal of a rubber is good, by ISO 2230 and SAE ARP5316",
		ArgsUsage: "RUBBER",
		Description: "RUBBER is such as NBR, FKM or EPDM. Rubber ages from its cure date, not from receipt; a cure date that\n" +
			"is not known stays unknown. The book keeps the day you decide on as the lot's last good day.",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "made", Usage: "the `QUARTER` on the bag such as 2016-Q3, or a date"},
		}, frame.Flags(frame.AsOf, frame.JSON)...),
		Action: func(c *cli.Context) error { return rubber(env, c) },
	}
}

func rubber(env *frame.Env, c *cli.Context) error {
	args, o, err := frame.Given(c, "RUBBER")
	if err != nil {
		return err
	}
	cured, err := madeIn(c.String("made"))
	if err != nil {
		return err
	}
	asOf := day.At(env.Now(), env.Now().Location())
	if o.AsOf != nil {
		asOf = *o.AsOf
	}
	out := answer.Rubber{Rubber: strings.ToUpper(strings.TrimSpace(args[0])), Cured: fmt.Sprintf("%04d-Q%d", cured.Year, cured.Number), AsOf: asOf, Cautions: screen.RubberCautions}
	shelf, isoErr := oil.ShelfLife(out.Rubber, cured)
	if isoErr == nil {
		out.ISO2230 = &answer.RubberISO{Group: shelf.Group, Years: shelf.Years, Extension: shelf.Extension, InspectBy: shelf.InspectBy, DiscardBy: shelf.DiscardBy}
		switch {
		case asOf > shelf.DiscardBy:
			out.State = answer.RubberDiscard
		case asOf > shelf.InspectBy:
			out.State = answer.RubberInspect
		default:
			out.State = answer.RubberGood
		}
	}
	years, useBy, limited, arpErr := oil.SealLife(out.Rubber, cured)
	if arpErr == nil {
		out.ARP5316 = &answer.RubberARP{Years: years}
		if limited {
			out.ARP5316.UseBy = &useBy
		}
	}
	if isoErr != nil && arpErr != nil {
		return isoErr
	}
	if o.JSON {
		return env.PrintJSON(out)
	}
	return screen.Rubber(env.Out, env.Look(), out)
}

// madeIn reads the quarter of the cure, or the quarter a date lies in.
func madeIn(text string) (oil.Quarter, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return oil.Quarter{}, frame.Usagef("rubber: found nothing for --made, expected the quarter on the bag such as 2016-Q3, or a date; a cure date that is not known stays unknown")
	}
	q, err := oil.ParseQuarter(strings.ToUpper(text))
	if err == nil {
		return q, nil
	}
	d, dateErr := day.Parse(text)
	if dateErr != nil {
		return oil.Quarter{}, frame.Usagef("option --made: found %q, expected a quarter such as 2016-Q3, or a date such as 2016-08-20", text)
	}
	t := d.UTC()
	return oil.ParseQuarter(fmt.Sprintf("%04d-Q%d", t.Year(), (int(t.Month())+2)/3))
}
