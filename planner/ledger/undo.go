package ledger

import (
	"fmt"
	"time"

	"github.com/google/uuid"

	"roundkit/planner/units"
)

// Undo takes a whole entry back at the time of the undo.
type Undo struct {
	ID      uuid.UUID // of the undo's own entry
	Entry   uuid.UUID // the one taken back
	DoneAt  time.Time // when that happened
	DoneSeq int64     // and its number of arrival; 0: not known
	At      time.Time
	By      string
	Notes   string
	Moves   []Move // of the entry taken back
	// Also is what was booked because of it: what it left short and was found, and of a
	// count or a weighing its difference and what it took back of late records.
	Also []Undo
}

// undo reverses the movements. An end whose place and part were counted in between goes
// into the difference: what was counted then was counted without it, so it comes back
// into the difference, not into the drawer. A person's undo that would take away what is
// no longer there, or a tag that has moved on, is refused.
func (p *poster) undo(u Undo) {
	whole := []Undo{u}
	for _, w := range u.Also {
		if !w.DoneAt.After(u.At) { // undoEvents has the others
			whole = append(whole, w)
		}
	}
	back := make([][]Move, len(whole))
	for i, w := range whole {
		for _, m := range w.Moves {
			m := Move{Lot: m.Lot, Tag: m.Tag, From: p.countedSince(m, m.To, w, u.At), To: p.countedSince(m, m.From, w, u.At), Quantity: m.Quantity}
			if m.From != m.To {
				back[i] = append(back[i], m)
			}
		}
	}
	if p.in.Live {
		p.guardTakenBack(back)
	}
	for i, w := range whole {
		p.post(u.entry(w, u.At, back[i]))
	}
}

// entry takes back one of the entries that an undo takes back together.
func (u Undo) entry(w Undo, at time.Time, back []Move) Entry {
	id := u.ID
	if w.Entry != u.Entry {
		id = TakenBackID(u.ID, w.Entry)
	}
	return Entry{ID: id, Kind: "undo", Person: u.By, At: at, Notes: u.Notes, Undoes: uuid.NullUUID{UUID: w.Entry, Valid: true}, Moves: back}
}

// TakenBackID returns the identity of the entry by which an undo takes back what was booked
// because of its record.
func TakenBackID(undo, entry uuid.UUID) uuid.UUID { return Because(undo, "undo "+entry.String()) }

// undoEvents are a person's undo and, of what was booked because of the record, what lies
// behind the undo: what a late record left short was found only when it arrived. That is
// taken back where it stands, or a count between the two would keep it.
func (p *poster) undoEvents(add func(time.Time, int, int, func(*poster))) {
	u := p.in.Undo
	if u == nil {
		return
	}
	add(u.At, rankUndo, -1, func(p *poster) { p.undo(*u) })
	for i, w := range u.Also {
		if !w.DoneAt.After(u.At) {
			continue
		}
		var back []Move
		for _, m := range w.Moves {
			back = append(back, Move{Lot: m.Lot, Tag: m.Tag, From: m.To, To: m.From, Quantity: m.Quantity})
		}
		add(w.DoneAt, rankUndo, i, func(p *poster) { p.post(u.entry(w, w.DoneAt, back)) })
	}
}

// guardTakenBack refuses an undo or a redo that takes away more than there is, all of it
// taken together.
func (p *poster) guardTakenBack(back [][]Move) {
	net := map[Key]units.Quantity{}
	for _, moves := range back {
		for _, m := range moves {
			net[Key{m.Lot, m.Tag, m.From}] -= m.Quantity
			net[Key{m.Lot, m.Tag, m.To}] += m.Quantity
		}
	}
	for _, k := range sortedKeys(net) {
		if have := p.book.at[k]; p.book.kept(k.Place) && net[k] < 0 && have+net[k] < 0 {
			p.gone(p.goneSince(k, -net[k], max(have, 0)))
		}
	}
}

// gone refuses an undo or a redo that takes away what is no longer there.
func (p *poster) gone(what string) {
	if p.in.Redo != nil {
		p.problem("redo", 0, "", what, "everything still where the undo put it: log it again as it is now, or count")
		return
	}
	p.problem("undo", 0, "", what, "everything still where the record put it: count instead")
}

// goneSince words why something cannot be taken back.
func (p *poster) goneSince(k Key, want, have units.Quantity) string {
	part := p.Lots[k.Lot].Part
	if k.Tag != "" {
		if at, ok := p.book.tagPlace(k.Tag); ok && at.Place != k.Place {
			return fmt.Sprintf("%s is in %s now, no longer in %s", k.Tag, at.Place, k.Place)
		}
		if p.Parts[part].Unit == units.PC {
			return fmt.Sprintf("%s is no longer in %s", k.Tag, k.Place)
		}
	}
	return fmt.Sprintf("%s of %s of %s in %s gone", p.say(part, want-have), p.say(part, want), part, k.Place)
}
