package oil

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/near"
	"roundkit/planner/oil"
	"roundkit/planner/units"
	"roundkit/reports/answer"
	"roundkit/reports/term"
)

// bookC is the temperature of the book: a ml in it is a ml at 20 C.
const bookC = 20

// density is what turns grams into millilitres.
type density struct {
	part string
	gML  float64 // at 20 C
	c    float64 // of the oil
}

func convert(env *frame.Env, c *cli.Context) error {
	args, o, err := frame.Given(c, "VALUE", "FROM", "TO")
	if err != nil {
		return err
	}
	value, ok := new(big.Rat).SetString(strings.Replace(strings.TrimSpace(args[0]), ",", ".", 1))
	if !ok {
		return frame.Usagef("oil convert: found %q for VALUE, expected a number such as 250", args[0])
	}
	for _, unit := range args[1:] {
		switch low := strings.ToLower(unit); {
		case low == "wt" || low == "w" || low == "weight" || strings.HasPrefix(low, "sae"):
			return frame.Usagef("oil convert: found %q, expected a unit: the weight on a label is a name, and one maker's 7 is thinner than another's 5; the data sheet has the cSt at 40 C", unit)
		case slices.Contains([]string{"cst", "mm2/s", "sus", "ssu"}, low):
			return frame.Usagef("oil convert: found %q, expected a mass, volume, rate, torque or pressure: viscosities are compared in cSt at 40 C (1 cSt is 1 mm2/s) with oil blend", unit)
		}
	}
	d := density{c: bookC}
	if c.IsSet("celsius") {
		if d.c, err = number("celsius", c.String("celsius")); err != nil {
			return err
		}
	}
	out := answer.OilConvert{Value: args[0], From: args[1], To: args[2]}
	plain, refused := units.ConvertTyped(value, args[1], args[2])
	if refused == nil {
		out.Result, _ = plain.Float64()
		return printed(env, o, out, "")
	}
	grams, ml, isMass, ok := either(value, args[1], args[2])
	if !ok {
		return fmt.Errorf("oil convert: %w", refused)
	}
	switch {
	case c.IsSet("part") && c.IsSet("density"):
		return frame.Usagef("oil convert: found --part and --density, expected one of them")
	case c.IsSet("part"):
		d.part = strings.TrimSpace(c.String("part"))
		if d.gML, err = densityOf(env, c, o, d.part); err != nil {
			return err
		}
	case c.IsSet("density"):
		if d.gML, err = number("density", c.String("density")); err != nil {
			return err
		}
		if d.gML <= 0 {
			return frame.Usagef("option --density: found %v, expected g/ml above 0, such as 0.85", d.gML)
		}
	default:
		return frame.WithHint(frame.Usagef("oil convert: found %s and %s, expected an oil's density to go from mass to volume", args[1], args[2]), "add --part OIL, or --density 0.85")
	}
	at, err := d.at()
	if err != nil {
		return fmt.Errorf("oil convert: %w", err)
	}
	result, unit := grams/at, "ml"
	if !isMass {
		result, unit = ml*at, "g"
	}
	back, err := units.ConvertTyped(new(big.Rat).SetFloat64(result), unit, args[2])
	if err != nil {
		return fmt.Errorf("oil convert: %w", err)
	}
	out.Result, _ = back.Float64()
	out.Part, out.Density, out.Celsius = d.part, &at, &d.c
	return printed(env, o, out, fmt.Sprintf("at %s C, %s g/ml", term.Number(d.c, 1), term.Number(at, 5)))
}

// either reads the value as grams or as millilitres where the units are a mass and a volume.
func either(value *big.Rat, from, to string) (grams, ml float64, isMass, ok bool) {
	one := big.NewRat(1, 1)
	if g, err := units.ConvertTyped(value, from, "g"); err == nil {
		if _, err := units.ConvertTyped(one, to, "ml"); err == nil {
			grams, _ = g.Float64()
			return grams, 0, true, true
		}
	}
	if v, err := units.ConvertTyped(value, from, "ml"); err == nil {
		if _, err := units.ConvertTyped(one, to, "g"); err == nil {
			ml, _ = v.Float64()
			return 0, ml, false, true
		}
	}
	return 0, 0, false, false
}

// at returns g/ml at the oil's temperature: as given at 20 C, else by table 54D.
func (d density) at() (float64, error) {
	if d.c == bookC {
		return d.gML, nil
	}
	known, err := oil.ObservedDensity(d.gML*1000, bookC)
	if err != nil {
		return 0, err
	}
	kgM3, _, err := known.At(d.c)
	return kgM3 / 1000, err
}

// densityOf reads the density of a part of the season.
func densityOf(env *frame.Env, c *cli.Context, o frame.Options, part string) (float64, error) {
	season, err := env.OpenSeason(c.Context, o)
	if err != nil {
		return 0, err
	}
	var names []string
	for _, l := range season.Snapshot.Liquids {
		names = append(names, l.Part)
		if l.Part == part {
			if l.DensityGML == nil || !l.DensityGML.IsPositive() {
				return 0, fmt.Errorf("%s has no density at 20 C in the liquids sheet", part)
			}
			return l.DensityGML.InexactFloat64(), nil
		}
	}
	if _, err := season.Part(part); err == nil {
		return 0, errors.New(part + " stands in no row of the liquids sheet: its density is not known")
	}
	return 0, near.Miss("liquid", part, names)
}

func printed(env *frame.Env, o frame.Options, out answer.OilConvert, how string) error {
	if o.JSON {
		return env.PrintJSON(out)
	}
	line := fmt.Sprintf("%s %s = %s %s", out.Value, out.From, term.Number(out.Result, 6), out.To)
	if out.Part != "" {
		line += " of " + out.Part
	}
	if how != "" {
		line += " (" + how + ")"
	}
	return env.Look().Say(env.Out, line)
}
