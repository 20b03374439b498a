package ledger

import (
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"

	"roundkit/planner/units"
)

// Crossed is one key of a record that was taken back: what the record did to it, and what
// its undo and later corrections of that have left. A count between the two has counted
// without the record, so the undo's end belongs into the difference while such a count
// stands, and into the place when none does. Counts arrive late and are undone, so this
// is looked at again with each.
type Crossed struct {
	Undo             uuid.UUID
	UndoSeq, DoneSeq int64 // numbers of arrival
	DoneAt, UndoneAt time.Time
	Key              Key
	Done             units.Quantity
	Net              units.Quantity // 0: given back whole
	Found            units.Quantity // of Net: booked as found, where a workbook's undo took more than was there
}

// between reports whether a count lies between the record and its undo and looked at the
// key. A count that is only now recorded has no number yet: it is the last to arrive.
func (p *poster) between(x Crossed, c PastCount) bool {
	after := c.At.After(x.DoneAt) || c.At.Equal(x.DoneAt) && (c.Seq == 0 || c.Seq > x.DoneSeq)
	before := c.At.Before(x.UndoneAt) || c.At.Equal(x.UndoneAt) && c.Seq != 0 && c.Seq < x.UndoSeq
	return after && before && p.inScope(c, x.Key)
}

// crossedEvents corrects undos at their own minute, so that later counts meet the change
// like any that came late.
func (p *poster) crossedEvents(add func(time.Time, int, int, func(*poster))) {
	counts := slices.Clone(p.in.Past.Counts)
	for _, c := range p.in.Book.Counts {
		counts = append(counts, PastCount{At: c.At, Place: c.Place, Part: c.Part})
	}
	for _, w := range p.in.Book.Weighings {
		t := p.Tags[w.Tag]
		counts = append(counts, PastCount{At: w.At, Part: t.Part, Lot: t.Lot, Tag: w.Tag})
	}
	for i, x := range p.in.Crossed {
		want := units.Quantity(0)
		if slices.ContainsFunc(counts, func(c PastCount) bool { return p.between(x, c) }) {
			want = x.Done
		}
		change := want - x.Net
		if want == 0 { // no count lies across: what was found stays, or is there again
			change += x.Found
		}
		if change == 0 {
			continue
		}
		m := Move{Lot: x.Key.Lot, Tag: x.Key.Tag, From: CountDifference, To: x.Key.Place, Quantity: change}
		if change < 0 {
			m.From, m.To, m.Quantity = m.To, m.From, -change
		}
		add(x.UndoneAt, rankUndo, i, func(p *poster) {
			p.post(Entry{ID: Because(p.recordID(), fmt.Sprintf("correct %s %d", x.Undo, i)), Kind: "count", At: x.UndoneAt, Reference: x.Undo.String(), Moves: []Move{m}})
		})
	}
}

// recordID is the id of the one record that a person makes.
func (p *poster) recordID() uuid.UUID {
	b := p.in.Book
	switch {
	case p.in.Undo != nil:
		return p.in.Undo.ID
	case len(b.Counts) > 0:
		return ID(p.season, "counts", b.Counts[0].Code)
	case len(b.Weighings) > 0:
		return ID(p.season, "weighings", b.Weighings[0].Code)
	}
	return uuid.Nil
}
