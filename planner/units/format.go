package units

import (
	"math/big"
	"strconv"
	"strings"
)

// Format returns q in u as the shortest exact decimal, without the unit: 475917 ul in
// ml is "475.917". ParseQuantity reads it back to the same q.
func Format(q Quantity, u Unit) string {
	return decimalText(int64(q), u.Base())
}

// Say returns q as a mechanic says it: "3" for pieces, "475.9 ml", "1.28 l" from a
// litre on, "74 g", "1.2 kg" from a kilogram on. It is rounded (to 0.1 ml or g, 0.01 l
// or kg, half to even) and is for reading only; what is less than 1 ml or g is exact.
func Say(q Quantity, u Unit) string {
	large := map[Unit]string{ML: "l", G: "kg"}[u]
	if large == "" {
		return Format(q, u)
	}
	size := q
	if size < 0 {
		size = -size
	}
	if size < 1000 {
		return Format(q, u) + " " + string(u)
	}
	// What rounds to a full 1000 is said in the larger unit: 999.96 ml is 1 l.
	if tenths := roundTo(int64(q), 100); tenths > -10_000 && tenths < 10_000 {
		return decimalText(tenths, 10) + " " + string(u)
	}
	return decimalText(roundTo(int64(q), 10_000), 100) + " " + large
}

// SayMass is Say for a mass: "742 g", "1.2 kg".
func SayMass(m Milligrams) string { return Say(Quantity(m), G) }

// FormatRat returns r as a decimal with at most places digits behind the point, rounded
// half to even, without trailing zeros.
func FormatRat(r *big.Rat, places int) string {
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
	scaled := roundHalfEven(new(big.Rat).Mul(r, new(big.Rat).SetInt(scale)))
	text := new(big.Rat).SetFrac(scaled, scale).FloatString(places)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}

// roundTo returns how often step goes into n, to the nearest, a tie to the even one.
func roundTo(n, step int64) int64 {
	return roundHalfEven(big.NewRat(n, step)).Int64()
}

// decimalText writes n/scale (a power of ten) without trailing zeros.
func decimalText(n, scale int64) string {
	sign := ""
	size := uint64(n)
	if n < 0 {
		sign, size = "-", -uint64(n) // also right for the smallest int64
	}
	whole := sign + strconv.FormatUint(size/uint64(scale), 10)
	rest := size % uint64(scale)
	if rest == 0 {
		return whole
	}
	digits := strconv.FormatUint(uint64(scale)+rest, 10)[1:]
	return whole + "." + strings.TrimRight(digits, "0")
}
