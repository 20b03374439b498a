package difference

import (
	"fmt"
	"strings"

	"roundkit/planner/ledger"
)

// Open reports whether the difference still wants a reason.
func (d Difference) Open() bool { return d.Reason == "" && !d.Small }

// Named returns the difference that somebody means: by its record (its end is enough) or its
// code in a workbook, or by a tag or part: the last one of it that still wants a reason, else
// the last one.
func Named(all []Difference, name string) (Difference, error) {
	const shortest = 6 // of a record's end
	var last, open *Difference
	for i, d := range all {
		switch name {
		case d.Record.String(), d.Code, ledger.Because(d.Record, "difference").String():
			return d, nil
		case d.Tag, d.Part.Code:
			last = &all[i]
			if d.Open() {
				open = &all[i]
			}
		}
		if len(name) >= shortest && strings.HasSuffix(d.Record.String(), name) {
			return d, nil
		}
	}
	switch {
	case open != nil:
		return *open, nil
	case last != nil:
		return *last, nil
	}
	return Difference{}, fmt.Errorf("found no difference %s, expected a part, a tag or a record that differed: roundkit difference list shows them", name)
}
