package ledger

import (
	"fmt"
	"time"

	"github.com/google/uuid"
)

// Undo takes a whole entry back at the time of the undo.
type Undo struct {
	ID     uuid.UUID // of the undo's own entry
	Entry  uuid.UUID // the one taken back
	DoneAt time.Time // when that happened
	At     time.Time
	By     string
	Moves  []Move // of the entry taken back
}

// undo reverses the movements. An end whose place and part were counted in between goes
// into the difference: what was counted then was counted without it, so it comes back
// into the difference, not into the drawer. A person's undo that would take away what is
// no longer there, or a tag that has moved on, is refused.
func (p *poster) undo(u Undo) {
	e := Entry{ID: u.ID, Kind: "undo", Person: u.By, At: u.At, Undoes: uuid.NullUUID{UUID: u.Entry, Valid: true}}
	for _, m := range u.Moves {
		back := Move{Lot: m.Lot, Tag: m.Tag, From: p.countedSince(m, m.To, u.DoneAt, u.At), To: p.countedSince(m, m.From, u.DoneAt, u.At), Quantity: m.Quantity}
		if back.From == back.To {
			continue
		}
		if p.in.Live && p.book.kept(back.From) {
			if have := p.book.at[Key{back.Lot, back.Tag, back.From}]; have < back.Quantity {
				p.problem("undo", 0, "", p.goneSince(m, back.Quantity-have), "everything still where the record put it: count instead")
				continue
			}
		}
		e.Moves = append(e.Moves, back)
	}
	p.post(e)
}

// goneSince words why something cannot be taken back.
func (p *poster) goneSince(m Move, gone any) string {
	part := p.Lots[m.Lot].Part
	if m.Tag != "" {
		if at, ok := p.book.tagPlace(m.Tag); ok {
			return fmt.Sprintf("%s is in %s now, no longer in %s", m.Tag, at.Place, m.To)
		}
		return fmt.Sprintf("%s is no longer in %s", m.Tag, m.To)
	}
	return fmt.Sprintf("%v of %s of %s in %s are gone", gone, p.say(part, m.Quantity), part, m.To)
}
