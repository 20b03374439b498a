package place

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner"
)

// Label is what stands on a case or drawer.
type Label struct {
	Code, Name string
	In         string // where it stands: the codes above it, the nearest first
	Mind       string // a case: its limit, what to keep apart, two people
}

// twoPeopleKG is the mass above which a case is carried by two (common practice; British
// law names no safe mass).
var twoPeopleKG = decimal.NewFromInt(25)

// Labels returns the labels of the cases and drawers at a place and below it ("" for all),
// or of the places named, in the order of the tree. It returns an error that names a near
// place for each one that is unknown, all at once.
func (t *Tree) Labels(at string, only []string, cases []planner.Case) ([]Label, error) {
	if at != "" {
		if err := t.Find(at); err != nil {
			return nil, err
		}
	}
	var wrong []string
	for _, code := range only {
		if err := t.Find(code); err != nil {
			wrong = append(wrong, err.Error())
		} else if t.assembly[code] {
			wrong = append(wrong, fmt.Sprintf("%s: found a fork, shock or bike, expected a place", code))
		}
	}
	if len(wrong) > 0 {
		return nil, fmt.Errorf("%s", strings.Join(wrong, "\n"))
	}
	limits := map[string]planner.Case{}
	for _, c := range cases {
		limits[c.Code] = c
	}
	var out []Label
	for _, code := range t.codes {
		p := t.places[code]
		switch {
		case at != "" && !t.Within(code, at):
		case len(only) > 0 && !slices.Contains(only, code):
		case len(only) == 0 && p.Kind != "case" && p.Kind != "drawer":
		default:
			l := Label{Code: p.Code, Name: p.Name, Mind: mind(limits[code])}
			var above []string
			for in := p.In; in != ""; in = t.places[in].In {
				above = append(above, in)
			}
			l.In = strings.Join(above, ", ")
			out = append(out, l)
		}
	}
	return out, nil
}

// mind is what to know of a case before it is filled or lifted.
func mind(c planner.Case) string {
	var out []string
	if c.LimitKG != nil {
		out = append(out, fmt.Sprintf("at most %s kg", c.LimitKG))
	}
	if c.TareKG != nil {
		out = append(out, fmt.Sprintf("empty %s kg", c.TareKG))
	}
	if c.KeepApart != "" {
		out = append(out, "no "+c.KeepApart)
	}
	if c.LimitKG != nil && c.LimitKG.GreaterThan(twoPeopleKG) {
		out = append(out, "over 25 kg two people")
	}
	return strings.Join(out, "; ")
}
