package workbook

import (
	"errors"
	"strings"

	"roundkit/planner/units"
)

// measureKey is a unit word beside a part's unit.
type measureKey struct {
	word string
	unit units.Unit
}

// example words what a quantity of the unit looks like.
func example(u units.Unit) string {
	switch u {
	case units.ML:
		return "a number with ml or L, such as 1.5 L"
	case units.G:
		return "a number with g or kg, such as 1.2 kg"
	}
	return "a whole number of pieces, such as 3"
}

// perWord returns how many base units of u one of the unit word is, 0 where that is no
// whole number (an ounce), and whether the word is a unit for u at all.
func (p *parser) perWord(word string, u units.Unit) (factor int64, ok bool) {
	if word == "" || word == string(u) {
		return u.Base(), true
	}
	key := measureKey{word, u}
	if f, known := p.factors[key]; known {
		return f, f >= 0
	}
	f := int64(-1)
	if q, err := units.ParseQuantity("1 "+word, u); err == nil {
		f = int64(q)
		// 1 oz is 28349.523125 mg: rounded, so no factor.
		if ten, err := units.ParseQuantity("1000 "+word, u); err != nil || int64(ten) != 1000*f {
			f = 0
		}
	}
	if len(p.factors) < 1000 {
		p.factors[key] = f
	}
	return f, f >= 0
}

// quantity reads a quantity of a part counted in u; word is the unit of the row, "" for
// the part's. A unit in the cell itself goes before it.
func (p *parser) quantity(text, word string, u units.Unit) (units.Quantity, string) {
	if factor, ok := p.perWord(word, u); ok && factor > 0 {
		if digits, decimals, plain := small(text); plain && digits < 1_000_000_000 {
			if q, exact := scale(digits, factor, decimals); exact {
				return units.Quantity(q), ""
			}
		}
	}
	typed := text
	if _, own := splitNumber(text); own == "" && word != "" {
		typed = text + " " + word
	}
	q, err := units.ParseQuantity(typed, u)
	if err == nil {
		return q, ""
	}
	return 0, expectedOf(err, u)
}

// scale returns digits x factor / 10^decimals, and whether that is whole.
func scale(digits, factor int64, decimals int) (int64, bool) {
	n := digits * factor // < 1e9 x 1e6
	for range decimals {
		if n%10 != 0 {
			return 0, false
		}
		n /= 10
	}
	return n, true
}

// mass reads a mass in the unit of the column's heading (g), or with a unit of its own.
func (p *parser) mass(text string) (units.Milligrams, string) {
	q, expected := p.quantity(text, "", units.G)
	return units.Milligrams(q), expected
}

// expectedOf returns what a refusal of package units expected, in the words of a cell.
func expectedOf(err error, u units.Unit) string {
	_, expected, ok := strings.Cut(err.Error(), ", expected ")
	if !ok || errors.Is(err, units.ErrUnit) && !strings.HasPrefix(expected, "US ") {
		return example(u)
	}
	return expected
}

// unitOf turns the word in the unit column of a part into the unit it is counted in.
func unitOf(word string) (units.Unit, bool) {
	for _, u := range []units.Unit{units.PC, units.ML, units.G} {
		if _, err := units.ParseQuantity("1 "+word, u); err == nil {
			return u, true
		}
	}
	return "", false
}
