package units

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
)

// ErrUnit is what errors.Is finds when a unit is unknown, ambiguous, or of another kind
// than what was expected.
var ErrUnit = errors.New("unit")

// A kind is what a unit measures; units of one kind convert into one another.
type kind string

const (
	length   kind = "length"
	mass     kind = "mass"
	volume   kind = "volume"
	force    kind = "force"
	rate     kind = "spring rate"
	torque   kind = "torque"
	pressure kind = "pressure"
)

// measure is one unit: its name and how many base units of its kind it is, as
// num/den so that no digit is lost.
type measure struct {
	name     string
	kind     kind
	num, den string
	words    []string // other ways people write it, lower case, single spaces
}

// lbf is 0.45359237 kg x 9.80665 m/s2, exact.
const lbf = "4.4482216152605"

// measures lists every unit of the program, the base of each kind first (factor 1).
// The order is the order in which an error lists what would fit.
var measures = []measure{
	{"mm", length, "1", "1", []string{"millimetre", "millimeter"}},
	{"in", length, "25.4", "1", []string{"inch", "\""}},

	{"mg", mass, "1", "1", []string{"milligram", "milligrams"}},
	{"g", mass, "1000", "1", []string{"gram", "grams", "gr"}},
	{"kg", mass, "1000000", "1", []string{"kilo", "kilos", "kilogram", "kilograms"}},
	{"oz", mass, "453592.37", "16", []string{"ounce", "ounces"}},
	{"lb", mass, "453592.37", "1", []string{"lbs", "pound", "pounds"}},

	{"ul", volume, "1", "1", []string{"µl", "μl", "microlitre", "microlitres", "microliter", "microliters"}},
	{"ml", volume, "1000", "1", []string{"millilitre", "millilitres", "milliliter", "milliliters"}},
	{"cc", volume, "1000", "1", []string{"ccm", "cm3", "cm³"}},
	{"l", volume, "1000000", "1", []string{"ltr", "litre", "litres", "liter", "liters"}},
	// 231 cubic inches of 16387.064 ul.
	{"US fl oz", volume, "3785411.784", "128", []string{"us fluid ounce", "us fluid ounces"}},
	{"US qt", volume, "3785411.784", "4", []string{"us quart", "us quarts"}},
	{"US gal", volume, "3785411.784", "1", []string{"us gallon", "us gallons"}},
	{"UK fl oz", volume, "4546090", "160", []string{"uk fluid ounce", "uk fluid ounces"}},
	{"UK gal", volume, "4546090", "1", []string{"uk gallon", "uk gallons"}},

	{"N", force, "1", "1", nil},
	{"kgf", force, "9.80665", "1", nil},
	{"lbf", force, lbf, "1", nil},

	{"N/mm", rate, "1", "1", []string{"n per mm"}},
	{"kgf/mm", rate, "9.80665", "1", []string{"kg/mm", "kg per mm"}},
	{"lbf/in", rate, lbf, "25.4", []string{"lb/in", "lbs/in", "lb/inch", "lbs/inch", "lb per in", "lb per inch"}},

	{"N m", torque, "1", "1", []string{"nm", "n*m", "n·m"}},
	// 25.4 mm and 12 x 25.4 mm of a metre of 1000 mm.
	{"lbf in", torque, "0.11298482902761670", "1", []string{"in lb", "in lbf", "lb in"}},
	{"lbf ft", torque, "1.3558179483314004", "1", []string{"ft lb", "ft lbf", "lb ft"}},

	{"kPa", pressure, "1", "1", nil},
	{"bar", pressure, "100", "1", nil},
	// lbf on 25.4 x 25.4 mm: N/mm2 is 1000 kPa.
	{"psi", pressure, "4448.2216152605", "645.16", nil},
}

// factor returns how many base units of its kind one m is.
func (m measure) factor() *big.Rat {
	num, _ := new(big.Rat).SetString(m.num)
	den, _ := new(big.Rat).SetString(m.den)
	return num.Quo(num, den)
}

// decimal reports whether one m is a whole number of base units, so that what people
// type in it can be held exactly.
func (m measure) decimal() bool { return m.factor().IsInt() }

// named finds a unit by its exact name.
func named(name string) (measure, error) {
	for _, m := range measures {
		if m.name == name {
			return m, nil
		}
	}
	if err := ambiguous(name); err != nil {
		return measure{}, err
	}
	return measure{}, fmt.Errorf("%w: found %q, expected one of %s", ErrUnit, name, fitting(""))
}

// typed finds a unit of one kind by what a person typed: any case, any spacing, the
// usual words.
func typed(text string, want kind) (measure, error) {
	word := strings.ToLower(strings.Join(strings.Fields(text), " "))
	for _, m := range measures {
		if m.kind != want {
			continue
		}
		if strings.ToLower(m.name) == word {
			return m, nil
		}
		for _, w := range m.words {
			if w == word {
				return m, nil
			}
		}
	}
	if err := ambiguous(word); err != nil && want == volume {
		return measure{}, err
	}
	return measure{}, fmt.Errorf("%w: found %q, expected a %s in %s", ErrUnit, text, want, fitting(want))
}

// ambiguous refuses the measures that differ between the two sides of the Atlantic.
func ambiguous(name string) error {
	switch strings.ToLower(name) {
	case "fl oz", "floz", "fluid ounce", "fluid ounces":
		return fmt.Errorf("%w: found %q, expected US fl oz (29.57 ml) or UK fl oz (28.41 ml)", ErrUnit, name)
	case "gal", "gallon", "gallons":
		return fmt.Errorf("%w: found %q, expected US gal (3.785 l) or UK gal (4.546 l)", ErrUnit, name)
	case "qt", "quart", "quarts":
		return fmt.Errorf("%w: found %q, expected US qt (946.4 ml)", ErrUnit, name)
	}
	return nil
}

// fitting lists the names of the units of a kind, or of all kinds for "".
func fitting(want kind) string {
	var names []string
	for _, m := range measures {
		if want == "" || m.kind == want {
			names = append(names, m.name)
		}
	}
	return strings.Join(names, ", ")
}
