package term

import (
	"math"
	"strconv"
	"strings"

	"roundkit/planner/units"
)

// Percent says a chance with at most two digits behind the point. Only what is certain
// is "100 %" and only what is impossible is "0 %": between them it is at most
// "> 99.99 %" and at least "< 0.01 %".
func Percent(chance float64) string {
	switch {
	case math.IsNaN(chance):
		return "?"
	case chance >= 1:
		return "100 %"
	case chance <= 0:
		return "0 %"
	case chance > 0.99995:
		return "> 99.99 %"
	case chance < 0.00005:
		return "< 0.01 %"
	}
	return Number(100*chance, 2) + " %"
}

// PercentBut is Percent of 1 - but, for a chance so near 1 that only the rest says so.
func PercentBut(but float64) string {
	if but > 0 && 1-but == 1 {
		return "> 99.99 %"
	}
	return Percent(1 - but)
}

// Number says a number with at most places digits behind the point.
func Number(value float64, places int) string {
	text := strconv.FormatFloat(value, 'f', places, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}

// Mean says an expected amount, given in its unit: of pieces with two digits behind the
// point, of liquids and greases as they are measured.
func Mean(amount float64, unit units.Unit) string {
	if unit == units.PC {
		return Number(amount, 2)
	}
	q, err := units.FromFloat(amount, unit)
	if err != nil {
		return Number(amount, 2) + " " + string(unit)
	}
	return units.Say(q, unit)
}

// Bar draws a share of a whole as a bar of at most width letters: blocks on a terminal,
// # elsewhere. What is above 0 shows.
func (l Look) Bar(share float64, width int) string {
	letter := "#"
	if l.Terminal {
		letter = "█"
	}
	n := int(math.Round(share * float64(width)))
	if n == 0 && share > 0 {
		letter, n = ".", 1
	}
	return strings.Repeat(letter, max(0, min(n, width)))
}
