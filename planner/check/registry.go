package check

import (
	"slices"
	"strings"
)

// A Calc describes one calculation and how it is called.
type Calc struct {
	Name  string  `json:"calc"`
	About string  `json:"about"` // one line
	In    []Field `json:"in"`
	Out   []Field `json:"out"`

	run func(in *input) (output, error)
}

// A Field is one input or output of a calculation.
type Field struct {
	Name     string `json:"name"`
	What     string `json:"what"` // type, range, unit, default
	Optional bool   `json:"optional,omitempty"`
}

// An output is what a calculation gives: numbers, texts, lists, objects by field name.
type output map[string]any

// need is a required field, may an optional one.
func need(name, what string) Field { return Field{name, what, false} }
func may(name, what string) Field  { return Field{name, what, true} }

// calcs returns every calculation. To add some, write a file with a function like those
// below and name it here.
func calcs() []Calc {
	return slices.Concat(
		distributionCalcs(),
		learningCalcs(),
		needCalcs(),
		readinessCalcs(),
		stockCalcs(),
		historyCalcs(),
		oilCalcs(),
		rubberCalcs(),
		codeCalcs(),
		unitCalcs(),
		costCalcs(),
		loadCalcs(),
		orderCalcs(),
	)
}

// List returns every calculation, in the order of the handbook.
func List() []Calc { return calcs() }

// find returns the calculation of a name.
func find(name string) (Calc, bool) {
	all := calcs()
	i := slices.IndexFunc(all, func(c Calc) bool { return c.Name == name })
	if i < 0 {
		return Calc{}, false
	}
	return all[i], true
}

// names lists the calculations for the error of an unknown one.
func names() string {
	var out []string
	for _, c := range calcs() {
		out = append(out, c.Name)
	}
	return strings.Join(out, ", ")
}

func sortedKeys(set map[string]bool) []string {
	out := make([]string, 0, len(set))
	for k := range set {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
