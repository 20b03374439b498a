package act

import (
	"errors"
	"fmt"
	"strings"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// Label returns the rows of labelling one thing of an untagged lot: untagged out, tagged in.
// A quantity of 0 is a full container, or what is left in the lot.
func (s *State) Label(tag planner.Tag, at string, q units.Quantity) (rows Rows, err error) {
	p, err := s.Part(tag.Part)
	faults := []error{err}
	if tag.Code == "" {
		faults = append(faults, errors.New("found no tag, expected the code on the label"))
	}
	if _, ok := s.tags[tag.Code]; ok {
		faults = append(faults, fmt.Errorf("found tag %s, expected a new one: it names something already", tag.Code))
	}
	var roots []string
	roots, rows.Where = s.rootsOf(at)
	held, ok := s.first(tag.Part, roots, func(h planner.Holding) bool { return h.Tag == "" })
	if err == nil && !ok {
		faults = append(faults, fmt.Errorf("found no untagged %s in %s, expected some%s", tag.Part, strings.Join(roots, ", "), s.lies(tag.Part)))
	}
	if err := errors.Join(faults...); err != nil {
		return rows, err
	}
	switch {
	case p.Unit == units.PC:
		q = 1
	case q == 0 && p.Contents != nil:
		q = min(*p.Contents, held.Quantity)
	case q == 0:
		q = held.Quantity
	}
	tag.Lot = held.Lot
	rows.Tags = []planner.Tag{tag}
	rows.Movements = []planner.Movement{
		{Part: p.Code, Lot: held.Lot, From: held.Place, To: ledger.Relabelled, Quantity: q},
		{Part: p.Code, Lot: held.Lot, Tag: tag.Code, From: ledger.Relabelled, To: held.Place, Quantity: q},
	}
	return rows, s.doubt(Filled(s.Snapshot, tag, q))
}
