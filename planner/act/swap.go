package act

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/near"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

// Swap is a spring that goes into a fork or shock, for the one that is in it.
type Swap struct {
	Service, Assembly string
	Spring            string // a rate, a part or the tag of one
	Root              string // what the job draws on is there and below; "" for anywhere of ours
}

// SwapsSpring reports whether a service takes one spring out and puts another in.
func SwapsSpring(lines []planner.ServiceLine, service string) bool {
	return slices.ContainsFunc(lines, func(l planner.ServiceLine) bool {
		return l.Service == service && (l.OwnPart == "fork spring" || l.OwnPart == "shock spring")
	})
}

// Springs returns the rows of a swap: the fitted spring to its drawer, the wanted one in; of a
// service that swaps none, none. A spring named by its tag must fit the model as one named by
// its rate must, and lie loose where the job is done.
func Springs(s *planner.Snapshot, tree *place.Tree, w Swap) ([]planner.JobPart, error) {
	swaps := SwapsSpring(s.ServiceLines, w.Service)
	switch {
	case !swaps && w.Spring == "":
		return nil, nil
	case !swaps:
		return nil, fmt.Errorf("found a spring, expected none: %s swaps no spring", w.Service)
	case w.Assembly == "":
		return nil, errors.New("found no fork or shock, expected the one whose spring is swapped")
	case w.Spring == "":
		return nil, errors.New("found no spring, expected which one goes in: a rate, a part or a tag")
	}
	in, err := loose(s, tree, w)
	if err != nil {
		return nil, err
	}
	one := units.Quantity(1)
	var rows []planner.JobPart
	for _, h := range s.Stock {
		if h.Place == w.Assembly {
			rows = append(rows, planner.JobPart{Part: h.Part, Lot: h.Lot, Tag: h.Tag, From: w.Assembly, To: drawer(s, tree, h.Part, w.Root), Quantity: &one})
		}
	}
	return append(rows, planner.JobPart{Part: in.Part, Lot: in.Lot, Tag: in.Tag, From: in.Place, To: w.Assembly, Quantity: &one}), nil
}

// Loose lists the springs that could go in: of the model, loose, where the job is done.
func Loose(s *planner.Snapshot, tree *place.Tree, w Swap) (out []planner.Holding) {
	fitting := springsOf(s, modelOf(s, w.Assembly))
	for _, h := range s.Stock {
		if tree.Ours(h.Place) && !tree.Assembly(h.Place) && (w.Root == "" || tree.Within(h.Place, w.Root)) &&
			slices.ContainsFunc(fitting, func(x planner.Spring) bool { return x.Part == h.Part }) {
			out = append(out, h)
		}
	}
	return out
}

// loose finds the wanted spring among them.
func loose(s *planner.Snapshot, tree *place.Tree, w Swap) (planner.Holding, error) {
	if i := slices.IndexFunc(s.Tags, func(t planner.Tag) bool { return t.Code == w.Spring }); i >= 0 {
		return tagged(s, tree, w, s.Tags[i])
	}
	wanted, err := wantedParts(s, w)
	if err != nil {
		return planner.Holding{}, err
	}
	for _, h := range Loose(s, tree, w) {
		if slices.Contains(wanted, h.Part) {
			return h, nil
		}
	}
	return planner.Holding{}, fmt.Errorf("found no loose spring %s where the job is done, expected one; \"roundkit stock springs\" says where each is", w.Spring)
}

// tagged is the spring that a tag names, if it fits and lies loose where the job is done.
func tagged(s *planner.Snapshot, tree *place.Tree, w Swap, t planner.Tag) (planner.Holding, error) {
	model := modelOf(s, w.Assembly)
	if fitting := springsOf(s, model); !slices.ContainsFunc(fitting, func(x planner.Spring) bool { return x.Part == t.Part }) {
		name := t.Part
		if i := slices.IndexFunc(s.Parts, func(p planner.Part) bool { return p.Code == t.Part }); i >= 0 {
			name = s.Parts[i].Name
		}
		return planner.Holding{}, fmt.Errorf("found %s, %s, expected a spring of %s for %s: %s", t.Code, name, model, w.Assembly, strings.Join(partsOf(fitting), ", "))
	}
	i := slices.IndexFunc(s.Stock, func(h planner.Holding) bool { return h.Tag == t.Code })
	if i < 0 {
		return planner.Holding{}, fmt.Errorf("%s is nowhere in the book now, expected a loose spring", t.Code)
	}
	switch h := s.Stock[i]; {
	case h.Place == w.Assembly:
		return planner.Holding{}, fmt.Errorf("%s is in %s already, expected the spring that goes in", t.Code, w.Assembly)
	case tree.Assembly(h.Place):
		return planner.Holding{}, fmt.Errorf("%s is fitted to %s, expected a loose spring", t.Code, h.Place)
	case !tree.Ours(h.Place):
		return planner.Holding{}, fmt.Errorf("%s is at %s, expected a spring of ours", t.Code, h.Place)
	case w.Root != "" && !tree.Within(h.Place, w.Root):
		return planner.Holding{}, fmt.Errorf("%s is in %s, expected a spring in %s, where the job is done", t.Code, h.Place, w.Root)
	default:
		return h, nil
	}
}

// wantedParts are the parts that a rate or a part names, of the assembly's model.
func wantedParts(s *planner.Snapshot, w Swap) (out []string, err error) {
	model := modelOf(s, w.Assembly)
	fitting := springsOf(s, model)
	rate, rateErr := units.ParseRate(w.Spring)
	for _, x := range fitting {
		if x.Part == w.Spring {
			return []string{x.Part}, nil
		}
		label, err := units.ParseRate(x.Rate.String() + " " + x.RateUnit)
		if rateErr == nil && err == nil && label.NPerMM().Cmp(rate.NPerMM()) == 0 {
			out = append(out, x.Part)
		}
	}
	if len(out) > 0 {
		return out, nil
	}
	names := partsOf(fitting)
	if strings.Contains(w.Spring, "#") {
		for _, t := range s.Tags {
			if slices.Contains(names, t.Part) {
				names = append(names, t.Code)
			}
		}
	}
	return nil, near.Miss("spring of "+model, w.Spring, names)
}

func modelOf(s *planner.Snapshot, assembly string) string {
	for _, a := range s.Assemblies {
		if a.Code == assembly {
			return a.Model
		}
	}
	return ""
}

func springsOf(s *planner.Snapshot, model string) (out []planner.Spring) {
	for _, x := range s.Springs {
		if x.Model == model {
			out = append(out, x)
		}
	}
	return out
}

func partsOf(springs []planner.Spring) []string {
	out := make([]string, len(springs))
	for i, x := range springs {
		out[i] = x.Part
	}
	return out
}

// drawer is where a spring that comes out goes.
func drawer(s *planner.Snapshot, tree *place.Tree, part, root string) string {
	for _, p := range s.Parts {
		if p.Code != part {
			continue
		}
		for _, home := range []string{p.HomeInTruck, p.HomeInWorkshop} {
			if home != "" && (root == "" || tree.Within(home, root)) {
				return home
			}
		}
	}
	return root
}
