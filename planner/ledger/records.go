package ledger

import (
	"cmp"
	"fmt"
	"time"

	"github.com/google/uuid"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// stockRow counts one lot and tag at one place: the first comes from "opening", a
// later one from "count difference".
func (p *poster) stockRow(i int, id uuid.UUID, r planner.StockRow, again bool) {
	k := Key{r.Lot, r.Tag, r.Place}
	if r.Lot == "" {
		p.problem("stock", i, "lot", "", "a lot of the part")
		return
	}
	_, known := p.book.at[k]
	e := stockEntry(i, id, r)
	e.Moves = counted(r, p.book.at[k], known || again)
	p.post(e)
}

// stockEntry is a stock row without its movement.
func stockEntry(i int, id uuid.UUID, r planner.StockRow) Entry {
	return Entry{ID: id, Kind: "stock", At: r.CountedAt, Notes: r.Notes, Pos: &i,
		Count: &CountRow{Place: r.Place, Part: r.Part, Lot: r.Lot, Tag: r.Tag, Exact: true, Counted: r.Quantity}}
}

// counted is what a stock row moves where the book has something else.
func counted(r planner.StockRow, book units.Quantity, known bool) []Move {
	outside := Opening
	if known {
		outside = CountDifference
	}
	switch diff := r.Quantity - book; {
	case diff > 0:
		return []Move{{Lot: r.Lot, Tag: r.Tag, From: outside, To: r.Place, Quantity: diff}}
	case diff < 0:
		return []Move{{Lot: r.Lot, Tag: r.Tag, From: r.Place, To: outside, Quantity: -diff}}
	}
	return nil
}

// receipt brings in a lot that names an order: its tagged things one by one, the rest loose.
func (p *poster) receipt(i int, id uuid.UUID, l planner.Lot, o planner.Order, at time.Time) {
	part := p.Parts[l.Part]
	to := part.HomeInWorkshop
	if o.ShipTo != "" && (to == "" || !p.Within(to, o.ShipTo)) {
		to = o.ShipTo
		if home := part.HomeInTruck; home != "" && p.Within(home, o.ShipTo) {
			to = home
		}
	}
	if to == "" {
		p.problem("lots", i, "order", l.Order, "an order that says where it was shipped to")
		return
	}
	e := Entry{ID: id, Kind: "receipt", At: at, Reference: l.Order}
	left := *l.Quantity
	for _, t := range p.in.Book.Tags {
		if t.Lot != l.Code || left <= 0 {
			continue
		}
		q := units.Quantity(1)
		if part.Unit != units.PC {
			switch {
			case t.Contents != nil:
				q = *t.Contents
			case part.Contents != nil:
				q = *part.Contents
			}
		}
		q = min(q, left)
		e.Moves = append(e.Moves, Move{Lot: l.Code, Tag: t.Code, From: Supplier, To: to, Quantity: q})
		left -= q
	}
	if left > 0 {
		e.Moves = append(e.Moves, Move{Lot: l.Code, From: Supplier, To: to, Quantity: left})
	}
	p.post(e)
}

// entryOfMovement is the entry of rows of the movements sheet, without its movements.
func (p *poster) entryOfMovement(id uuid.UUID, rows []int) Entry {
	first := p.in.Book.Movements[rows[0]]
	// a live record's id is its name
	e := Entry{ID: id, Kind: first.Reason, Code: liveCode(p.codeOf(first.Code)), Person: first.Person, At: first.At, Reference: first.Reference,
		DueBackOn: first.DueBackOn, Notes: first.Notes, Pos: &rows[0]}
	if e.Kind == "" {
		e.Kind = "move"
	}
	if first.Undoes != "" {
		undone := ID(p.season, "movements", p.codeOf(first.Undoes))
		if first.Reason == "job" {
			undone = ID(p.season, "job-log", first.Undoes)
		}
		e.Undoes = uuid.NullUUID{UUID: undone, Valid: true}
		e.Kind = "undo"
	}
	return e
}

// movement posts the rows of one entry of the movements sheet.
func (p *poster) movement(id uuid.UUID, rows []int) {
	e := p.entryOfMovement(id, rows)
	for _, i := range rows {
		m := p.in.Book.Movements[i]
		e.Moves = append(e.Moves, p.explicit("movements", i, m.Part, m.Lot, m.Tag, m.From, m.To, m.Quantity, m.At)...)
	}
	p.post(e)
}

// explicit turns a row that names its places into movements: a blank lot is chosen, and
// what the book did not have at a place of ours is found there.
func (p *poster) explicit(sheet string, i int, part, lot, tag, from, to string, q units.Quantity, at time.Time) []Move {
	on := day.At(at, p.in.Zone)
	if lot == "" && tag != "" {
		lot = p.Tags[tag].Lot
	}
	if !p.book.kept(from) { // from the outside: only a lot can say what it is
		if lot == "" {
			var ok bool
			if lot, ok = p.foundLot(to, part); !ok {
				p.problem(sheet, i, "lot", "", "a lot of "+part)
				return nil
			}
		}
		return []Move{{Lot: lot, Tag: tag, From: from, To: to, Quantity: q}}
	}
	var taken []Candidate
	missing, why := q, ""
	if lot != "" {
		k := Key{lot, tag, from}
		taken, missing = Take([]Candidate{{k, max(0, p.book.at[k])}}, q)
		if missing > 0 && p.movedAfter(k, at) {
			taken, missing = []Candidate{{k, q}}, 0 // only the present is guarded
		}
	} else {
		taken, missing, why = p.take(part, []string{from}, from, at, to, q)
	}
	var moves []Move
	for _, c := range taken {
		moves = append(moves, Move{Lot: c.Lot, Tag: c.Tag, From: c.Place, To: to, Quantity: c.Quantity})
		if to == Used {
			p.lastUsed[[2]string{c.Place, part}] = c.Lot
		}
		if to == Used || to == OpenedKit { // poured into a blend it is open, and past its date it is flagged, too
			p.opens(c, on)
			p.flagPast(c, on)
		}
	}
	if missing > 0 && to == CountDifference {
		return moves // less than the count missed is missing: the count says what is there
	}
	if missing > 0 {
		if lot == "" {
			var ok bool
			if lot, ok = p.foundLot(from, part); !ok {
				p.problem(sheet, i, "part", part, "a part with a lot, so that it can be found")
				return nil
			}
		}
		moves = append(moves, Move{Lot: lot, Tag: tag, From: CountDifference, To: to, Quantity: missing})
		p.warn("%s%s of %s %s", p.inSheet(fmt.Sprintf("%s row %d", sheet, i+1)), p.say(part, missing), part,
			cmp.Or(why, fmt.Sprintf("was not in the book at %s: taken as found, count it", from)))
	}
	return moves
}

// movedAfter reports whether the ledger already holds later movements of the key: then a
// shortfall at this past instant says nothing about now, and only the present is guarded.
func (p *poster) movedAfter(k Key, at time.Time) bool {
	for i := len(p.in.Past.Moves) - 1; i >= 0; i-- {
		m := &p.in.Past.Moves[i]
		if !m.At.After(at) {
			return false // they are in the order of time
		}
		if m.Lot == k.Lot && m.Tag == k.Tag && (m.From == k.Place || m.To == k.Place) {
			return true
		}
	}
	return false
}

// opens records that a use opened a sealed bottle that day.
func (p *poster) opens(c Candidate, on day.Day) {
	t, ok := p.Tags[c.Tag]
	if !ok || c.Tag == "" || t.OpenedOn != nil || p.Parts[t.Part].Unit == units.PC {
		return
	}
	t.OpenedOn = &on
	p.Tags[c.Tag] = t
	p.out.Opened[c.Tag] = on
}

// flagPast says that something past its date was used: taken, since nothing else was left.
func (p *poster) flagPast(c Candidate, on day.Day) {
	if last, limited := p.LastGoodOn(c.Lot, c.Tag); limited && last < on && p.in.Live {
		p.warn("%s of %s taken from %s was good until %s: maker's word first, your decision, recorded", p.say(p.Lots[c.Lot].Part, c.Quantity),
			p.Lots[c.Lot].Part, c.Place, last)
	}
}
