package units

import (
	"fmt"
	"math/big"
)

// Rate is a spring rate as it was typed: a number and its unit. It is kept so, and
// converted exactly when asked, because a rate rounded in one unit does not come back
// from another: 450 lbf/in shown as 78.8 N/mm comes back as 449.96.
type Rate struct {
	number *big.Rat
	unit   measure
}

// ParseRate reads what a person typed as a spring rate: "450 lb/in", "450 lbf/in",
// "9.5 N/mm", "0,95 kg/mm". Without a unit word it is in N/mm. It returns ErrQuantity or
// ErrUnit for anything else, and for a rate that is not above zero.
func ParseRate(text string) (Rate, error) {
	const expected = "a number with N/mm, lb/in or kgf/mm, such as 9.5 N/mm"
	number, word, err := split(text, expected)
	if err != nil {
		return Rate{}, err
	}
	if word == "" {
		word = "N/mm"
	}
	unit, err := typed(word, rate)
	if err != nil {
		return Rate{}, err
	}
	if number.Sign() <= 0 {
		return Rate{}, fmt.Errorf("%w: found %q, expected a rate above zero", ErrQuantity, text)
	}
	return Rate{number, unit}, nil
}

// NPerMM returns the rate in N/mm, exactly; 0 for the zero Rate.
func (r Rate) NPerMM() *big.Rat {
	if r.number == nil {
		return new(big.Rat)
	}
	return new(big.Rat).Mul(r.number, r.unit.factor())
}

// In returns the rate in N/mm, kgf/mm or lbf/in, exactly. It returns ErrUnit for
// another unit.
func (r Rate) In(unit string) (*big.Rat, error) {
	return Convert(r.NPerMM(), "N/mm", unit)
}

// String returns the rate as it was typed, in its own unit: "450 lbf/in".
func (r Rate) String() string {
	if r.number == nil {
		return ""
	}
	return FormatRat(r.number, maxText) + " " + r.unit.name
}
