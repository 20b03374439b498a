package units

import (
	"fmt"
	"math/big"
	"strings"
)

// maxText is the longest text taken for a quantity or a rate; longer is no number a
// person typed, and would only cost time.
const maxText = 64

// ParseQuantity reads what a person typed as a quantity of a part counted in u: a plain
// number and, if wanted, a unit word ("1.5 L", "1,5 l", "250 ml", "12 cc", "3", "3 pc").
// Without a word the number is in u. The mark of decimals is a point or a comma, there
// is no mark of thousands. The result is exact in base units; a unit of another system
// (oz, lb, US and UK measures) is rounded once, half to even. It returns ErrQuantity, or
// ErrUnit, for anything else: a part of a base unit, a negative, a mass of a liquid, more
// than MaxQuantity, or a comma that could be either mark (1,500).
func ParseQuantity(text string, u Unit) (Quantity, error) {
	q, err := ParseChange(text, u)
	if err != nil {
		return 0, err
	}
	if q < 0 || strings.HasPrefix(strings.TrimSpace(text), "-") {
		return 0, fmt.Errorf("%w: found %q, expected nothing below zero", ErrQuantity, text)
	}
	return q, nil
}

// ParseChange is ParseQuantity for a difference, which may be below zero.
func ParseChange(text string, u Unit) (Quantity, error) {
	if !u.Valid() {
		return 0, fmt.Errorf("%w: found %q, expected a part counted in pc, ml or g", ErrUnit, string(u))
	}
	number, word, err := split(text, u.example())
	if err != nil {
		return 0, err
	}
	per, whole, err := u.perWord(word)
	if err != nil {
		return 0, err
	}
	exact := number.Mul(number, per)
	if whole && !exact.IsInt() {
		if u == PC {
			return 0, fmt.Errorf("%w: found %q, expected whole pieces", ErrQuantity, text)
		}
		return 0, fmt.Errorf("%w: found %q, expected nothing finer than 1 %s (0.001 %s)", ErrQuantity, text, u.BaseName(), u)
	}
	q := roundHalfEven(exact)
	if q.CmpAbs(big.NewInt(int64(MaxQuantity))) > 0 {
		return 0, fmt.Errorf("%w: found %q, expected at most %s %s", ErrQuantity, text, Format(MaxQuantity, u), u)
	}
	return Quantity(q.Int64()), nil
}

// ParseMass reads what a person typed as a mass ("1.2 kg", "742 g"); without a unit
// word it is in grams, as a workshop scale shows it. Errors as ParseQuantity.
func ParseMass(text string) (Milligrams, error) {
	q, err := ParseQuantity(text, G)
	return Milligrams(q), err
}

// perWord returns how many base units of u the unit word stands for, and whether it
// must come out whole (it is a decimal multiple of the base unit).
func (u Unit) perWord(word string) (per *big.Rat, whole bool, err error) {
	if word == "" {
		return new(big.Rat).SetInt64(u.Base()), true, nil
	}
	if u == PC {
		switch strings.ToLower(word) {
		case "pc", "pcs", "piece", "pieces":
			return new(big.Rat).SetInt64(1), true, nil
		}
		return nil, false, fmt.Errorf("%w: found %q, expected pieces (pc)", ErrUnit, word)
	}
	m, err := typed(word, u.kind())
	if err != nil {
		return nil, false, err
	}
	return m.factor(), m.decimal(), nil
}

// example words what a quantity of u looks like, for errors.
func (u Unit) example() string {
	switch u {
	case ML:
		return "a number with ml or L, such as 1.5 L"
	case G:
		return "a number with g or kg, such as 1.2 kg"
	}
	return "a whole number of pieces, such as 3"
}

// split takes a text apart into an exact number and the unit word behind it.
func split(text, expected string) (*big.Rat, string, error) {
	if len(text) > maxText {
		return nil, "", fmt.Errorf("%w: found a text of %d bytes, expected at most %d", ErrQuantity, len(text), maxText)
	}
	t := strings.TrimSpace(text)
	end := strings.IndexFunc(t, func(r rune) bool {
		return !(r >= '0' && r <= '9' || r == '.' || r == ',' || r == '-' || r == '+')
	})
	if end < 0 {
		end = len(t)
	}
	digits, word := t[:end], strings.TrimSpace(t[end:])
	refuse := func() (*big.Rat, string, error) {
		return nil, "", fmt.Errorf("%w: found %q, expected %s", ErrQuantity, text, expected)
	}
	plain := strings.TrimLeft(digits, "+-")
	whole, part, marked := strings.Cut(strings.Replace(plain, ",", ".", 1), ".")
	if len(digits)-len(plain) > 1 || whole == "" && part == "" || marked && part == "" ||
		strings.ContainsAny(whole+part, ".,+-") {
		return refuse()
	}
	if word != "" && word[0] >= '0' && word[0] <= '9' {
		return refuse() // "1 000 ml": no mark of thousands
	}
	// 1,500 is 1.5 to half of Europe and 1500 to the other readers; a wrong guess is a
	// thousandfold error in an oil list, so neither is guessed.
	if strings.Contains(plain, ",") && len(part) == 3 && len(whole) <= 3 && whole != "" && whole[0] != '0' {
		return nil, "", fmt.Errorf("%w: found %q, expected %s.%s or %s%s: a comma before three digits could mean either",
			ErrQuantity, text, whole, part, whole, part)
	}
	number, ok := new(big.Rat).SetString(strings.Replace(digits, ",", ".", 1))
	if !ok {
		return refuse()
	}
	return number, word, nil
}
