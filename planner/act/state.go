package act

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/near"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

// ErrDoubt: it can hardly be meant; the same with Sure is taken.
var ErrDoubt = errors.New("in doubt")

// State is what is held against what a person says: what is where, and when it happened.
type State struct {
	*planner.Snapshot
	Tree *place.Tree
	When

	lots map[string]planner.Lot
	tags map[string]planner.Tag
}

// When is when a thing happened, and how sure the person is.
type When struct {
	On   day.Day // zero: today
	Late bool    // at a time that was named: what the book has now may not be what was there
	Sure bool    // it is so, however unlikely
}

// NewState makes a snapshot ready for what is recorded.
func NewState(snap *planner.Snapshot, w When) (*State, error) {
	s := &State{Snapshot: snap, When: w, lots: map[string]planner.Lot{}, tags: map[string]planner.Tag{}}
	if !w.Late {
		s.On = snap.AsOf
	}
	for _, x := range snap.Lots {
		s.lots[x.Code] = x
	}
	for _, x := range snap.Tags {
		s.tags[x.Code] = x
	}
	var err error
	s.Tree, err = place.New(snap.Places, snap.Assemblies)
	return s, err
}

// Rows are what a command means: rows as the season workbook has them.
type Rows struct {
	Movements []planner.Movement
	Lots      []planner.Lot // new ones
	Tags      []planner.Tag // new ones
	Where     string        // where it went or came from, if nobody named the place
}

// doubt makes one error of what is doubtful; nil for nothing, and for who is sure.
func (s *State) doubt(all ...error) error {
	if err := errors.Join(all...); err != nil && !s.Sure {
		return fmt.Errorf("%w: %s", ErrDoubt, strings.ReplaceAll(err.Error(), "\n", "; "))
	}
	return nil
}

// here is where a record is when nobody says.
func (s *State) here() Here { return HereOn(s.Snapshot, s.On) }

// byTag fills a movement from where its tag is.
func (s *State) byTag(m *planner.Movement) error {
	i := slices.IndexFunc(s.Stock, func(h planner.Holding) bool { return h.Tag == m.Tag })
	if i < 0 {
		if _, known := s.tags[m.Tag]; known {
			return fmt.Errorf("%s is nowhere in the book now", m.Tag)
		}
		var known []string
		for _, t := range s.Snapshot.Tags {
			known = append(known, t.Code)
		}
		return near.Miss("tag", m.Tag, known)
	}
	h := s.Stock[i]
	if m.Part != "" && m.Part != h.Part {
		return fmt.Errorf("found %s, expected %s: %s is one", m.Part, h.Part, m.Tag)
	}
	if m.From != "" && m.From != h.Place {
		return fmt.Errorf("found %s, expected %s: %s is there", m.From, h.Place, m.Tag)
	}
	m.Part, m.Lot, m.From, m.Quantity = h.Part, h.Lot, h.Place, h.Quantity // a tag is moved whole
	return nil
}

// byPart fills a movement of a part from where a use would take it: here, but not from where
// it goes.
func (s *State) byPart(m *planner.Movement, kind string, here Here) error {
	p, err := s.Part(m.Part)
	if err != nil {
		return err
	}
	if m.Quantity <= 0 {
		return fmt.Errorf("found a quantity of %s, expected more than 0", units.Say(m.Quantity, p.Unit))
	}
	if m.From != "" {
		return nil
	}
	if kind == LentBack {
		i := slices.IndexFunc(s.Stock, func(h planner.Holding) bool { return h.Part == m.Part && s.Tree.Kind(h.Place) == place.Lent })
		if i < 0 {
			return fmt.Errorf("found no %s lent to anybody", m.Part)
		}
		m.From = s.Stock[i].Place
		return nil
	}
	held, ok := s.first(m.Part, here.Roots, func(h planner.Holding) bool { return m.To == "" || !s.Tree.Within(h.Place, m.To) })
	if !ok {
		return fmt.Errorf("found no %s in %s, expected the place it leaves%s", m.Part, here, s.lies(m.Part))
	}
	m.From = held.Place
	return nil
}

// first is the stock of a part that a use would take first, of what fits, at some places and
// below them (none: anywhere of ours).
func (s *State) first(part string, roots []string, fits func(planner.Holding) bool) (planner.Holding, bool) {
	facts := ledger.Facts{Parts: map[string]planner.Part{}, Lots: s.lots, Tags: s.tags}
	for _, p := range s.Parts {
		facts.Parts[p.Code] = p
	}
	var found []ledger.Candidate
	for _, h := range s.Stock {
		if h.Part == part && s.Tree.Ours(h.Place) && !s.Tree.Assembly(h.Place) && (len(roots) == 0 || s.within(h.Place, roots)) && fits(h) {
			found = append(found, ledger.Candidate{Key: ledger.Key{Lot: h.Lot, Tag: h.Tag, Place: h.Place}, Quantity: h.Quantity})
		}
	}
	if len(found) == 0 {
		return planner.Holding{}, false
	}
	facts.Order(s.AsOf, found)
	c := found[0]
	return planner.Holding{Part: part, Lot: c.Lot, Tag: c.Tag, Place: c.Place, Quantity: c.Quantity}, true
}

// within reports whether a place is one of some, or below one.
func (s *State) within(at string, roots []string) bool {
	return slices.ContainsFunc(roots, func(r string) bool { return s.Tree.Within(at, r) })
}

// lies says where a part is, for who looked in the wrong place.
func (s *State) lies(part string) string {
	var at []string
	for _, h := range s.Stock {
		if h.Part == part && s.Tree.Ours(h.Place) && !s.Tree.Assembly(h.Place) && !slices.Contains(at, h.Place) {
			at = append(at, h.Place)
		}
	}
	if len(at) == 0 {
		return ""
	}
	return ": some lies in " + strings.Join(at, ", ")
}

// placeFor checks an end of a move: a place of ours, or one of kind lent.
func (s *State) placeFor(kind, end, code string, lent bool) error {
	if code == "" {
		return fmt.Errorf("found no place, expected --%s with one", end)
	}
	switch isLent := s.Tree.Kind(code) == place.Lent; {
	case lent && isLent:
		return nil
	case lent:
		return fmt.Errorf("found %s, expected a place of kind lent for %s", code, kind)
	case isLent:
		return fmt.Errorf("found %s, expected a place of ours: use lend or lent-back", code)
	}
	return s.Tree.Find(code)
}
