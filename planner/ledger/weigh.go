package ledger

import (
	"math/big"

	"github.com/shopspring/decimal"

	"roundkit/planner/units"
)

// Misfit is an amount that cannot be: what was found, and what was expected.
type Misfit struct{ Found, Expected string }

func (m Misfit) Error() string { return "found " + m.Found + ", expected " + m.Expected }

// Weigh returns what is in a bottle: gross less tare over the density at 20 C. A ml
// in the book is a ml at 20 C, so the bench's temperature does not matter. A part
// counted in grams needs no density. The result is rounded once, half to even, to
// the base unit. It returns a Misfit where the bottle weighs less than its tare, and for a
// density that is not above 0.
func Weigh(grossMG, tareMG units.Milligrams, densityGML *decimal.Decimal) (units.Quantity, error) {
	net := grossMG - tareMG
	if net < 0 {
		return 0, Misfit{units.SayMass(grossMG) + " gross", "at least the empty bottle's " + units.SayMass(tareMG)}
	}
	if densityGML == nil {
		return units.Quantity(net), nil
	}
	if densityGML.Sign() <= 0 {
		return 0, Misfit{"density " + densityGML.String() + " g/ml", "more than 0"}
	}
	// mg / (g/ml) = ul: the thousands cancel.
	r := new(big.Rat).SetInt64(int64(net))
	r.Quo(r, densityGML.Rat())
	return roundHalfEven(r), nil
}

func roundHalfEven(r *big.Rat) units.Quantity {
	q, rem := new(big.Int).QuoRem(r.Num(), r.Denom(), new(big.Int))
	switch twice := rem.Lsh(rem, 1); twice.CmpAbs(r.Denom()) {
	case 1:
		q.Add(q, big.NewInt(int64(r.Sign())))
	case 0:
		if q.Bit(0) == 1 {
			q.Add(q, big.NewInt(int64(r.Sign())))
		}
	}
	return units.Quantity(q.Int64())
}
