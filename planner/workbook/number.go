package workbook

import (
	"math"
	"math/big"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner/units"
)

// Limits of a number that a person types: beyond them it is a slip, and the database has
// no room for it.
const (
	longestNumber = 64
	maxWhole      = 1_000_000_000
	maxDecimals   = 12
)

var maxDecimal = decimal.New(1, 15)

// numberText returns the raw text of a number cell as people see it. Spreadsheets store
// the nearest binary fraction and may write all its 17 digits, 63.200000000000003 for
// 63.2; 15 digits are what they show and what was typed. It is "" for no number.
func numberText(raw string) string {
	if plainNumber(raw) {
		return raw
	}
	f, err := strconv.ParseFloat(raw, 64)
	if err != nil || math.IsInf(f, 0) || math.IsNaN(f) {
		return ""
	}
	short, err := strconv.ParseFloat(strconv.FormatFloat(f, 'g', 15, 64), 64)
	if err != nil {
		return ""
	}
	return strconv.FormatFloat(short, 'f', -1, 64)
}

// plainNumber reports whether the text is digits with at most one point and at most 15
// digits, so that it needs no rounding.
func plainNumber(text string) bool {
	digits, points := 0, 0
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c >= '0' && c <= '9':
			digits++
		case c == '.' && i > 0 && i < len(text)-1:
			points++
		case c == '-' && i == 0:
		default:
			return false
		}
	}
	return digits > 0 && digits <= 15 && points <= 1
}

// whole drops a trailing ".0" of a number cell: code 101 may be stored as 101.0.
func wholeText(number string) string {
	head, tail, ok := strings.Cut(number, ".")
	if ok && head != "" && tail != "" && strings.Trim(tail, "0") == "" {
		return head
	}
	return number
}

// small splits a plain number into an integer and its decimals: "1,5" is 15 and 1. It is
// the quick way for the many cells that are such numbers; ok is false for any other text.
func small(text string) (digits int64, decimals int, ok bool) {
	if len(text) == 0 || len(text) > 16 {
		return 0, 0, false
	}
	mark := -1
	for i := 0; i < len(text); i++ {
		c := text[i]
		switch {
		case c >= '0' && c <= '9':
			digits = digits*10 + int64(c-'0')
		case (c == '.' || c == ',') && mark < 0 && i > 0 && i < len(text)-1:
			mark = i
		default:
			return 0, 0, false
		}
	}
	if mark < 0 {
		return digits, 0, true
	}
	decimals = len(text) - 1 - mark
	if text[mark] == ',' && decimals == 3 {
		return 0, 0, false // could be either mark: the slow way refuses it
	}
	return digits, decimals, true
}

// splitNumber takes a number and the word behind it apart.
func splitNumber(text string) (number, word string) {
	end := strings.IndexFunc(text, func(r rune) bool {
		return !(r >= '0' && r <= '9' || r == '.' || r == ',' || r == '-' || r == '+')
	})
	if end < 0 {
		return text, ""
	}
	return text[:end], strings.TrimSpace(text[end:])
}

// parseDecimal reads a number with a point or a comma as its mark of decimals. expected is
// "" when it is right, else what would have been.
func parseDecimal(text string) (d decimal.Decimal, expected string) {
	if digits, decimals, ok := small(text); ok && decimals <= maxDecimals && len(text) <= 15 {
		return decimal.New(digits, int32(-decimals)), ""
	}
	const number = "a number such as 12.5"
	if len(text) > longestNumber {
		return d, number
	}
	plain := strings.TrimLeft(text, "+-")
	if len(text)-len(plain) > 1 || plain == "" || strings.Count(plain, ",")+strings.Count(plain, ".") > 1 ||
		strings.Trim(plain, "0123456789.,") != "" || strings.Trim(plain, ".,") != plain {
		return d, number
	}
	if head, tail, ok := strings.Cut(plain, ","); ok && len(tail) == 3 && len(head) <= 3 && head[0] != '0' {
		return d, head + "." + tail + " or " + head + tail + ": a comma before three digits could mean either"
	}
	d, err := decimal.NewFromString(strings.Replace(text, ",", ".", 1))
	if err != nil {
		return d, number
	}
	if d.Abs().GreaterThanOrEqual(maxDecimal) || d.Exponent() < -maxDecimals {
		return decimal.Decimal{}, "a number below 1000000000000000 with at most 12 decimals"
	}
	return d, ""
}

// inUnit reads a number that may carry a unit word, for a column that counts in unit
// ("kg", "N/mm", ...): the value is converted exactly, and rounded to nine decimals only
// where the other unit does not come out even.
func inUnit(text, unit string) (d decimal.Decimal, expected string) {
	number, word := splitNumber(text)
	d, expected = parseDecimal(number)
	if word == "" {
		return d, expected
	}
	example := "a number such as 12.5"
	if unit != "" {
		example = "a number in " + unit + ", such as 12.5 " + unit
	}
	if expected != "" || unit == "" {
		return d, example
	}
	if strings.EqualFold(word, unit) {
		return d, ""
	}
	exact, err := units.ConvertTyped(new(big.Rat).Set(d.Rat()), word, unit)
	if err != nil {
		return d, example
	}
	d, err = decimal.NewFromString(units.FormatRat(exact, 9))
	if err != nil {
		return d, example
	}
	return d, ""
}

// unitOfHeading returns the unit that a heading ends with: "limit kg" counts in kg.
func unitOfHeading(heading string) string {
	switch last := heading[strings.LastIndexByte(heading, ' ')+1:]; last {
	case "kg", "l", "g", "ml", "cSt", "g/ml", "N/mm", "C":
		return last
	}
	return ""
}
