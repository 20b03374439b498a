package act

import (
	"errors"
	"fmt"
	"strings"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

// The kinds of a move that say more than that it went somewhere.
const (
	Scrapped = "scrap"
	Lent     = "lend"
	LentBack = "lent back"
)

// Move is stock that goes from one place to another, as a person says it. A tag names the
// thing itself; then part, quantity and the place it comes from may be blank.
type Move struct {
	Kind      string // move, or one of the kinds above
	Part, Tag string
	Quantity  units.Quantity
	From, To  string        // blank: where the record is; what was lent comes home to where it left
	Past      []stock.Moved // of its part, for what was lent (PartLent)
}

// PartLent is the part of what comes back from being lent to nobody says where: its past
// tells. "" for any other move.
func (s *State) PartLent(m Move) string {
	if m.Kind != LentBack || m.To != "" {
		return ""
	}
	row, err := s.leaves(m, s.here())
	if err != nil {
		return ""
	}
	return row.Part
}

// leaves is the row of a move as far as what goes and where from.
func (s *State) leaves(m Move, here Here) (planner.Movement, error) {
	row := planner.Movement{Part: m.Part, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity}
	if m.Kind == Scrapped {
		row.To = ledger.Scrap
	}
	if m.Tag != "" {
		return row, s.byTag(&row)
	}
	return row, s.byPart(&row, m.Kind, here)
}

// Move returns the row of a move.
func (s *State) Move(m Move) (rows Rows, err error) {
	here := s.here()
	row, err := s.leaves(m, here)
	if m.Tag == "" && m.From == "" && m.Kind != LentBack {
		rows.Where = "no place was named: from " + row.From + " in " + here.String()
	}
	if row.To == "" && m.Kind == LentBack && err == nil {
		if row.To = LeftFrom(s.Tree, m.Past, row); row.To != "" {
			rows.Where = "home to " + row.To + ", where it left"
		}
	}
	if row.To == "" && m.Kind != Lent {
		row.To = here.Home(s.Snapshot, s.Tree, row.Part)
		rows.Where = strings.TrimPrefix(rows.Where+"; ", "; ") + "no place was named: to " + row.To + " in " + here.String()
	}
	faults := []error{err}
	if m.Kind != Scrapped {
		faults = append(faults, s.placeFor(m.Kind, "to", row.To, m.Kind == Lent))
	}
	if err == nil {
		faults = append(faults, s.placeFor(m.Kind, "from", row.From, m.Kind == LentBack))
	}
	if row.From == row.To && row.From != "" {
		faults = append(faults, fmt.Errorf("found %s on both ends, expected two places", row.From))
	}
	if err := errors.Join(faults...); err != nil {
		return rows, err
	}
	rows.Movements = []planner.Movement{row}
	return rows, s.doubtMove(row)
}

// doubtMove is what is doubtful in a move. Of a late one the book has what is there now, not
// what was there then: only an amount far beyond all there is can be told.
func (s *State) doubtMove(m planner.Movement) error {
	if s.Late {
		return s.doubt(Received(s.Snapshot, s.Tree, m.Part, m.To, m.Quantity))
	}
	return s.doubt(Moved(s.Snapshot, s.Tree, m))
}

// MoveCase checks that a place can stand inside another; "" takes it out of where it stood.
func (s *State) MoveCase(code, in string) error {
	err := s.Tree.Find(code)
	if in == "" {
		return err
	}
	if err = errors.Join(err, s.Tree.Find(in)); err == nil && s.Tree.Within(in, code) {
		err = fmt.Errorf("found %s inside %s, expected a place that is not below it", in, code)
	}
	return err
}
