package ledger

import (
	"github.com/google/uuid"

	"roundkit/planner/day"
)

// Redo puts back what an undo took back: the same again, in an entry of its own at the time
// of the redo. Its embedded Undo names the record as for an undo: Entry is that record, ID
// the new entry's, Also what was found because of the record.
type Redo struct {
	Undo
	Kind, Reference string
	DueBackOn       *day.Day
	Job             *JobRow // of a job
}

// redo posts the record's movements again. An end whose place and part were counted since the
// record was made goes into the difference: what is put back had happened after all, so the
// count was made with it. What is no longer there, or a tag that has moved on, is refused.
func (p *poster) redo(r Redo) {
	whole := append([]Undo{r.Undo}, r.Also...)
	again := make([][]Move, len(whole))
	for i, w := range whole {
		for _, m := range w.Moves {
			m.From, m.To = p.countedSince(m, m.From, w, r.At), p.countedSince(m, m.To, w, r.At)
			if m.From != m.To {
				again[i] = append(again[i], m)
			}
		}
	}
	p.guardTakenBack(again)
	p.post(Entry{ID: r.ID, Kind: r.Kind, Person: r.By, At: r.At, Reference: r.Reference, DueBackOn: r.DueBackOn, Notes: r.Notes, Moves: again[0], Job: r.Job})
	for i, w := range r.Also { // even where nothing moves: it is what the undo of that is put back by
		p.post(Entry{ID: RedoneID(r.ID, w), Kind: "count", At: r.At, Reference: r.ID.String(), Moves: again[i+1]})
	}
}

// RedoneID returns the identity of what was found because of a record, and is found again
// because of the record that puts it back.
func RedoneID(redo uuid.UUID, found Undo) uuid.UUID {
	if len(found.Moves) == 1 {
		m := found.Moves[0]
		return FoundID(redo, Key{m.Lot, m.Tag, m.To})
	}
	return Because(redo, "redo "+found.Entry.String())
}
