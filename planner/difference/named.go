package difference

import (
	"fmt"
	"slices"
	"strings"

	"roundkit/planner/ledger"
)

// Name is how a difference is called: by its tag or part where that says which, else by its
// record.
func (d Difference) Name() string {
	if d.Code != "" {
		return d.Code
	}
	return d.Record.String()
}

// Open reports whether the difference still wants a reason.
func (d Difference) Open() bool { return d.Reason == "" && !d.Small }

// Named returns the difference that somebody means: by its record, its code in a workbook,
// or by a tag or part of which one difference still wants a reason (else the only one).
func Named(all []Difference, name string) (Difference, error) {
	var of, open []Difference
	for _, d := range all {
		switch name {
		case d.Record.String(), d.Code, ledger.Because(d.Record, "difference").String():
			return d, nil
		case d.Tag, d.Part.Code:
			of = append(of, d)
			if d.Reason == "" {
				open = append(open, d)
			}
		}
	}
	if len(open) > 0 {
		of = open
	}
	switch len(of) {
	case 0:
		return Difference{}, fmt.Errorf("found no difference %s, expected a part, a tag or a record that differed: roundkit difference list shows them", name)
	case 1:
		return of[0], nil
	}
	var names []string
	for _, d := range of {
		names = append(names, fmt.Sprintf("%s (%s)", d.Name(), d.On))
	}
	slices.Sort(names)
	return Difference{}, fmt.Errorf("found %d differences of %s, expected one of their records: %s", len(of), name, strings.Join(names, ", "))
}
