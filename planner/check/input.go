package check

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// largest is the size beyond which any number is refused.
const largest = 1e15

// A bound is the range of a number, both ends in it unless open says otherwise.
type bound struct {
	least, most float64
	openLow     bool // least itself is not in it
	openHigh    bool // most itself is not in it
	whole       bool
}

// The ranges that inputs share. count is "n", chance "p", above "+", amount "0+".
var (
	anyNumber = bound{least: -largest, most: largest}
	anyWhole  = bound{least: -largest, most: largest, whole: true}
	count     = bound{least: 0, most: 1e6, whole: true}
	chance    = bound{least: 0, most: 1}
	between   = bound{least: 0, most: 1, openLow: true, openHigh: true}
	above     = bound{least: 0, most: 1e9, openLow: true}
	amount    = bound{least: 0, most: 1e9}
)

// from returns the whole numbers of a range.
func from(least, most float64) bound { return bound{least: least, most: most, whole: true} }

// String words the bound for an error.
func (b bound) String() string {
	what := "a number"
	if b.whole {
		what = "a whole number"
	}
	low, high := fmt.Sprintf(" from %v", b.least), fmt.Sprintf(" to %v", b.most)
	if b.openLow {
		low = fmt.Sprintf(" above %v", b.least)
	}
	if b.openHigh {
		high = fmt.Sprintf(" to below %v", b.most)
	}
	if b.least == -largest {
		return fmt.Sprintf("%s of at most %v in size", what, b.most)
	}
	return what + low + high
}

func (b bound) holds(x float64) bool {
	if b.whole && x != math.Trunc(x) {
		return false
	}
	return (x > b.least || !b.openLow && x == b.least) && (x < b.most || !b.openHigh && x == b.most)
}

// An input is an object of a case while it is read. Each field is asked for by name; what
// is wrong is noted and reading goes on with a harmless value, so that one refusal names
// all faults. close must be called when every field has been asked for.
type input struct {
	path   string // of this object, "" or ending in a point
	node   node
	asked  map[string]bool
	faults *faults
	budget *budget // of the case
}

// faults collects what is wrong with the inputs of one case.
type faults struct{ lines []string }

func (f *faults) add(field, found, expected string) {
	f.lines = append(f.lines, fmt.Sprintf("%s: found %s, expected %s", field, found, expected))
}

// err returns all faults as one line, nil for none.
func (f *faults) err() error {
	const most = 5
	if len(f.lines) == 0 {
		return nil
	}
	shown, rest := f.lines, ""
	if len(shown) > most {
		shown, rest = shown[:most], fmt.Sprintf("; and %d more", len(f.lines)-most)
	}
	return fmt.Errorf("%s%s", strings.Join(shown, "; "), rest)
}

func newInput(n node, f *faults, b *budget) *input {
	return &input{node: n, asked: map[string]bool{}, faults: f, budget: b}
}

// close notes every field that nobody asked for, and every one given twice.
func (in *input) close() {
	if in.node.dict == nil {
		return
	}
	for _, name := range in.node.dict.twice {
		in.faults.add(in.path+short(name), "it twice", "it once")
	}
	for _, name := range in.node.dict.names {
		if !in.asked[name] {
			in.faults.add(in.path+short(name), "an unknown field", "one of "+in.expected())
		}
	}
}

// expected lists the fields that were asked for.
func (in *input) expected() string { return strings.Join(sortedKeys(in.asked), ", ") }

// refuse notes a fault of a field that was read, for what only the calculation knows.
func (in *input) refuse(name, found, expected string) { in.faults.add(in.path+name, found, expected) }

// has reports whether the field is given, so that null counts as given and is refused.
func (in *input) has(name string) bool {
	in.asked[name] = true
	_, ok := in.node.get(name)
	return ok
}

// take returns a field of a kind; ok is false, and the fault noted, when it is missing or
// of another kind.
func (in *input) take(name string, want nodeKind) (n node, ok bool) {
	if !in.has(name) {
		in.faults.add(in.path+name, "nothing", want.String())
		return node{}, false
	}
	n, _ = in.node.get(name)
	return n, in.is(name, n, want)
}

func (in *input) is(name string, n node, want nodeKind) bool {
	if n.kind != want {
		in.faults.add(in.path+name, n.shown(), want.String())
		return false
	}
	return true
}

// number reads a number of a range.
func (in *input) number(name string, b bound) float64 {
	n, ok := in.take(name, number)
	if !ok {
		return b.harmless()
	}
	return in.numberOf(name, n, b)
}

// numberOr is number for a field that may be left out.
func (in *input) numberOr(name string, b bound, usual float64) float64 {
	if !in.has(name) {
		return usual
	}
	return in.number(name, b)
}

// numberOf reads the value of a number node.
func (in *input) numberOf(name string, n node, b bound) float64 {
	x, err := strconv.ParseFloat(n.text, 64)
	if err != nil || math.Abs(x) > largest {
		in.faults.add(in.path+name, n.shown(), fmt.Sprintf("a number of at most %v in size", float64(largest)))
		return b.harmless()
	}
	if !b.holds(x) {
		in.faults.add(in.path+name, n.shown(), b.String())
		return b.harmless()
	}
	return x
}

// harmless is a value inside the bound, to go on reading with.
func (b bound) harmless() float64 {
	if !b.openLow && b.least != -largest {
		return b.least
	}
	return min(1, b.most/2)
}

// count reads a whole number of a range.
func (in *input) count(name string, b bound) int { return int(in.number(name, b)) }

// countOr is count for a field that may be left out.
func (in *input) countOr(name string, b bound, usual int) int {
	return int(in.numberOr(name, b, float64(usual)))
}

// exact reads a number of a range with its literal kept: a plain decimal as written.
func (in *input) exact(name string, b bound) string {
	x := in.number(name, b)
	n, _ := in.node.get(name)
	// A long literal or one with an exponent is taken as the nearest float64, so that
	// 1e-999999999 costs no more than any other number.
	if n.kind != number || len(n.text) > 40 || strings.ContainsAny(n.text, "eE") {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	return n.text
}

// word reads a text.
func (in *input) word(name string) string {
	n, ok := in.take(name, text)
	if !ok {
		return ""
	}
	return n.text
}

// oneOf reads a text that is one of several, "" after a fault.
func (in *input) oneOf(name string, of ...string) string {
	n, ok := in.take(name, text)
	if !ok {
		return ""
	}
	for _, w := range of {
		if n.text == w {
			return w
		}
	}
	in.faults.add(in.path+name, n.shown(), "one of "+strings.Join(of, ", "))
	return ""
}

// flagOr reads true or false.
func (in *input) flagOr(name string, usual bool) bool {
	if !in.has(name) {
		return usual
	}
	n, ok := in.take(name, boolean)
	return ok && n.text == "true"
}

// list reads a list and returns its entries.
func (in *input) list(name string) []node {
	n, _ := in.take(name, list)
	return n.list
}

// numbers reads a list of numbers of a range.
func (in *input) numbers(name string, b bound) []float64 {
	entries := in.list(name)
	out := make([]float64, len(entries))
	for i, n := range entries {
		out[i] = b.harmless()
		if at := fmt.Sprintf("%s[%d]", name, i); in.is(at, n, number) {
			out[i] = in.numberOf(at, n, b)
		}
	}
	return out
}

// numbersOr is numbers for a list that may be left out: nil then, never nil otherwise.
func (in *input) numbersOr(name string, b bound) []float64 {
	if !in.has(name) {
		return nil
	}
	return in.numbers(name, b)
}

// counts reads a list of whole numbers of a range.
func (in *input) counts(name string, b bound) []int {
	numbers := in.numbers(name, b)
	out := make([]int, len(numbers))
	for i, x := range numbers {
		out[i] = int(x)
	}
	return out
}

// countsOr is counts for a list that may be left out.
func (in *input) countsOr(name string, b bound) []int {
	if !in.has(name) {
		return nil
	}
	return in.counts(name, b)
}

// inside reads an object. The caller closes it.
func (in *input) inside(name string) *input {
	n, ok := in.take(name, object)
	return in.enter(name, n, ok)
}

// insides reads a list of objects. The caller closes each.
func (in *input) insides(name string) []*input {
	entries := in.list(name)
	out := make([]*input, len(entries))
	for i, n := range entries {
		at := fmt.Sprintf("%s[%d]", name, i)
		out[i] = in.enter(at, n, in.is(at, n, object))
	}
	return out
}

// enter starts reading an object. After a fault it is an object whose own missing fields
// are not worth a line, so their faults go nowhere.
func (in *input) enter(name string, n node, ok bool) *input {
	f := in.faults
	if !ok {
		f = &faults{}
	}
	return &input{path: in.path + name + ".", node: n, asked: map[string]bool{}, faults: f, budget: in.budget}
}

// sameLength notes a fault when a list does not have the length of another.
func (in *input) sameLength(name string, got, want int, of string) {
	if got != want {
		in.refuse(name, fmt.Sprintf("a list of %d", got), fmt.Sprintf("%d, one for each of %s", want, of))
	}
}

// named puts the field in front of an error of the planner that does not name it.
func named(field string, err error) error { return fmt.Errorf("%s: %w", field, err) }

// numberText words a number for an error.
func numberText(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
