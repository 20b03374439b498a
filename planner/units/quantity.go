package units

import (
	"errors"
	"fmt"
	"math/big"
)

// Quantity is how much of a part, in whole base units of that part: pieces,
// microlitres or milligrams. Which of them is settled by the part's Unit.
type Quantity int64

// Milligrams is a mass: of a container, a case, a load. It does not add to a Quantity.
type Milligrams int64

// Unit is the unit people see of a part. It settles the base unit too.
type Unit string

const (
	PC Unit = "pc" // pieces; base unit one piece
	ML Unit = "ml" // millilitres; base unit the microlitre
	G  Unit = "g"  // grams; base unit the milligram
)

// MaxQuantity is the largest size of a quantity, in base units: a thousand tonnes or a
// thousand cubic metres. It keeps every sum of nine thousand of them inside an int64,
// and every one of them exact as a float64.
const MaxQuantity Quantity = 1_000_000_000_000_000

// ErrQuantity is what errors.Is finds when a text is not a quantity of the part.
var ErrQuantity = errors.New("quantity")

// Valid reports whether u is one of PC, ML, G.
func (u Unit) Valid() bool { return u == PC || u == ML || u == G }

// Base returns how many base units one u is: 1 for PC, 1000 for ML and G.
func (u Unit) Base() int64 {
	if u == PC {
		return 1
	}
	return 1000
}

// BaseName returns the name of the base unit: pc, ul or mg.
func (u Unit) BaseName() string {
	switch u {
	case ML:
		return "ul"
	case G:
		return "mg"
	}
	return "pc"
}

// kind returns what the unit measures; pieces have none.
func (u Unit) kind() kind {
	switch u {
	case ML:
		return volume
	case G:
		return mass
	}
	return ""
}

// ToFloat returns q in u as a number for a machine: 475917 ul is 475.917 ml, the
// nearest float64.
func ToFloat(q Quantity, u Unit) float64 { return float64(q) / float64(u.Base()) }

// FromFloat returns value, a number of u, in base units, rounded half to even where it
// is finer. It is for what was computed (a need, a forecast), not for what people type.
// It returns ErrQuantity when value is no number or over MaxQuantity.
func FromFloat(value float64, u Unit) (Quantity, error) {
	exact := new(big.Rat).SetFloat64(value)
	if exact == nil {
		return 0, fmt.Errorf("%w: found %v, expected a number", ErrQuantity, value)
	}
	q := roundHalfEven(exact.Mul(exact, new(big.Rat).SetInt64(u.Base())))
	if !q.IsInt64() || q.Int64() > int64(MaxQuantity) || q.Int64() < -int64(MaxQuantity) {
		return 0, fmt.Errorf("%w: found %v %s, expected at most %s %s", ErrQuantity, value, u, Format(MaxQuantity, u), u)
	}
	return Quantity(q.Int64()), nil
}

// roundHalfEven rounds to the nearest whole number, a tie to the even one.
func roundHalfEven(r *big.Rat) *big.Int {
	down, rest := new(big.Int).DivMod(r.Num(), r.Denom(), new(big.Int)) // rest >= 0
	switch twice := rest.Lsh(rest, 1); twice.Cmp(r.Denom()) {
	case 1:
		down.Add(down, big.NewInt(1))
	case 0:
		if down.Bit(0) == 1 {
			down.Add(down, big.NewInt(1))
		}
	}
	return down
}
