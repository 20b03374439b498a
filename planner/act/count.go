package act

import (
	"errors"
	"fmt"
	"slices"

	"roundkit/planner"
	"roundkit/planner/units"
)

// Counted is what was counted of a part at a place and below it.
type Counted struct {
	At, Part string
	Quantity units.Quantity
}

// Count checks what one command counted, all faults together.
func (s *State) Count(lines []Counted) error {
	var faults, doubts []error
	for _, c := range lines {
		doubts = append(doubts, Received(s.Snapshot, s.Tree, c.Part, c.At, c.Quantity))
		_, err := s.Part(c.Part)
		faults = append(faults, s.Tree.Find(c.At), err)
	}
	if err := errors.Join(faults...); err != nil {
		return err
	}
	return s.doubt(doubts...)
}

// Weigh checks what the scale said of a bottle and returns the bottle's part.
func (s *State) Weigh(tag string, grossMG units.Milligrams) (part string, err error) {
	row := planner.Movement{Tag: tag}
	if t, known := s.tags[tag]; known && !slices.ContainsFunc(s.Stock, func(h planner.Holding) bool { return h.Tag == tag }) {
		return "", fmt.Errorf("%s is empty in the book, so it has no place there; expected a bottle with something in it: count %s where it stands, the bottle's with it", tag, t.Part)
	}
	if err := s.byTag(&row); err != nil {
		return "", err
	}
	return row.Part, s.doubt(Weighed(s.Snapshot, tag, grossMG))
}
