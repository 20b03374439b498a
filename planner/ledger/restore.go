package ledger

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"time"

	"github.com/google/uuid"

	"roundkit/planner"
	"roundkit/planner/units"
)

// kept is a record of a saved workbook that stands there as it was booked.
type kept struct {
	sheet   string
	index   int // of its first row in the sheet
	arrival int
	id      uuid.UUID
	rows    []int // of a movement: all its rows
}

// restorer takes over what was booked, record by record in the order of arrival.
type restorer struct {
	*poster
	rowsOfStock map[uuid.UUID][]int    // movement rows that tell what a corrected stock row did
	moved       map[Key][]PastMove     // of the keys that stock rows count, as they arrived
	at          map[Key]units.Quantity // what stands there now
	last        map[Key]kept           // which record took from there last
	known       map[uuid.UUID]bool     // what may be taken back
	undone      map[uuid.UUID]bool     // by what was taken over
}

// restore takes the records that have their number of arrival as they were booked: their
// movements are those of the rows, nothing is chosen, and nothing is booked because of them,
// for whatever was has a row and a number of its own. The numbers go on where the ledger
// ends, without a gap: so nothing is missing, and nothing has come between.
func (p *poster) restore() []Entry {
	all := p.numbered()
	if len(all) == 0 {
		return nil
	}
	r := &restorer{poster: p, rowsOfStock: map[uuid.UUID][]int{}, moved: map[Key][]PastMove{}, at: map[Key]units.Quantity{},
		last: map[Key]kept{}, known: make(map[uuid.UUID]bool, len(p.in.Known)+len(all)), undone: map[uuid.UUID]bool{}}
	maps.Copy(r.at, p.in.Opening)
	maps.Copy(r.known, p.in.Known)
	if !r.inOrder(all) {
		return nil
	}
	r.prepare(all)
	entries := make([]Entry, 0, len(all))
	for _, k := range all {
		e, ok := r.entry(k)
		if !ok {
			continue
		}
		if e.Undoes.Valid {
			if !r.known[e.Undoes.UUID] {
				p.problem(k.sheet, k.index, "undoes", e.Undoes.UUID.String(), "a record that came before it")
			}
			r.undone[e.Undoes.UUID] = true
		}
		r.known[k.id] = true
		for _, m := range e.Moves {
			r.move(k, e.At, m)
		}
		entries = append(entries, e)
	}
	r.guard()
	if len(p.problems) > 0 {
		return nil
	}
	r.past(entries)
	return entries
}

// numbered lists the new records that have a number, in its order.
func (p *poster) numbered() []kept {
	b := p.in.Book
	var all []kept
	add := func(arrival *int, id uuid.UUID, sheet string, index int, rows []int) {
		if arrival != nil && !p.in.Known[id] {
			all = append(all, kept{sheet, index, *arrival, id, rows})
		}
	}
	for i, r := range b.Stock {
		if r.Arrival != nil {
			add(r.Arrival, StockID(p.season, r), "stock", i, nil)
		}
	}
	stock := len(all)
	for i, j := range b.Jobs {
		if j.Arrival != nil {
			add(j.Arrival, ID(p.season, "job-log", j.Code), "job-log", i, nil)
		}
	}
	for i, c := range b.Counts {
		if c.Arrival != nil {
			add(c.Arrival, ID(p.season, "counts", c.Code), "counts", i, nil)
		}
	}
	for i, w := range b.Weighings {
		if w.Arrival != nil {
			add(w.Arrival, ID(p.season, "weighings", w.Code), "weighings", i, nil)
		}
	}
	first := map[uuid.UUID]bool{}
	for _, k := range all[:stock] {
		first[k.id] = true
	}
	for _, g := range p.movementGroups() {
		if m := b.Movements[g.first]; m.Arrival != nil && !(m.Reason == "stock" && first[g.id]) {
			add(m.Arrival, g.id, "movements", g.first, g.rows)
		}
	}
	slices.SortStableFunc(all, func(a, b kept) int { return cmp.Compare(a.arrival, b.arrival) })
	return all
}

// inOrder checks that the numbers go on where the ledger ends and that none is missing.
func (r *restorer) inOrder(all []kept) bool {
	next := len(r.in.Known) + 1
	for i, k := range all {
		found := strconv.Itoa(k.arrival)
		switch {
		case k.arrival == next:
			next++
			continue
		case i > 0 && k.arrival == all[i-1].arrival:
			r.problem(k.sheet, k.index, "arrival", found, fmt.Sprintf("each number once: %s row %d has it too; leave it blank for a new row", all[i-1].sheet, all[i-1].index+1))
		case i == 0 && k.arrival < next:
			r.problem(k.sheet, k.index, "arrival", found, fmt.Sprintf("at least %d, for the book has gone on since this was saved: "+
				"load it into an empty database, or take the numbers out of the column, and its rows are taken as late records", next))
		default:
			r.problem(k.sheet, k.index, "arrival", found, fmt.Sprintf("%d: rows are missing that were booked before this one; take back what was deleted", next))
		}
		return false
	}
	return true
}

// prepare gathers what the records are made from.
func (r *restorer) prepare(all []kept) {
	for _, k := range all {
		if k.sheet == "stock" {
			row := r.in.Book.Stock[k.index]
			r.moved[Key{row.Lot, row.Tag, row.Place}] = nil
		}
	}
	for _, m := range r.in.Past.Moves {
		r.move(kept{}, m.At, Move{Lot: m.Lot, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity})
	}
	for _, g := range r.movementGroups() {
		if r.in.Book.Movements[g.first].Reason == "stock" {
			r.rowsOfStock[g.id] = g.rows
		}
	}
}

func (r *restorer) move(k kept, at time.Time, m Move) {
	for _, end := range []struct {
		Key
		change units.Quantity
	}{{Key{m.Lot, m.Tag, m.From}, -m.Quantity}, {Key{m.Lot, m.Tag, m.To}, m.Quantity}} {
		if !r.book.kept(end.Place) {
			continue
		}
		r.at[end.Key] += end.change
		if end.change < 0 {
			r.last[end.Key] = k
		}
		if of, counted := r.moved[end.Key]; counted {
			r.moved[end.Key] = append(of, PastMove{At: at, Quantity: end.change})
		}
	}
}

func (r *restorer) entry(k kept) (e Entry, ok bool) {
	b := r.in.Book
	switch k.sheet {
	case "job-log":
		j := b.Jobs[k.index]
		e = r.jobEntry(k.index, k.id, j)
		rows := r.partsOf(k.index)
		for _, row := range rows {
			if row.Part == "" || row.Quantity == nil {
				continue
			}
			m := Move{Lot: row.Lot, Tag: row.Tag, From: row.From, To: row.To, Quantity: *row.Quantity, Notes: row.Notes}
			if !r.whole(k, m) {
				return e, false
			}
			e.Moves = append(e.Moves, m)
		}
		e.Job.UsedNothing = len(rows) > 0 && len(e.Moves) == 0
	case "counts":
		c := b.Counts[k.index]
		e = countEntry(k.index, k.id, c)
	case "weighings":
		w := b.Weighings[k.index]
		e = weighingEntry(k.index, k.id, w)
	case "stock":
		e = r.stockEntry(k)
	default:
		return r.movementEntry(k)
	}
	if e.Code == "" && k.sheet != "stock" {
		e.Pos = nil // a live record: behind the rows of the workbook
	}
	return e, true
}

// whole refuses a movement that does not say what it was booked with.
func (r *restorer) whole(k kept, m Move) bool {
	column := ""
	switch {
	case m.Lot == "":
		column = "lot"
	case m.From == "":
		column = "from"
	case m.To == "" || m.To == m.From:
		column = "to"
	case m.Quantity <= 0:
		column = "quantity"
	default:
		return true
	}
	r.problem(k.sheet, k.index, column, "", "all of the movement, as it was booked under the number "+strconv.Itoa(k.arrival)+"; leave the number blank for a new row")
	return false
}

// stockEntry is a stock row: what it did follows from what had arrived before it, unless it
// was corrected since; then movements say it.
func (r *restorer) stockEntry(k kept) Entry {
	row := r.in.Book.Stock[k.index]
	e := stockEntry(k.index, k.id, row)
	if told, ok := r.rowsOfStock[k.id]; ok {
		e.Moves = r.moves(told)
		for _, rows := range r.rowsOfStock { // less what the corrections changed
			if m := r.in.Book.Movements[rows[0]]; m.Reference == k.id.String() && m.Code != k.id.String() {
				e.Count.Counted -= change(r.moves(rows), row.Place)
			}
		}
		return e
	}
	var book units.Quantity
	before := false
	for _, m := range r.moved[Key{row.Lot, row.Tag, row.Place}] {
		if !m.At.After(row.CountedAt) {
			book, before = book+m.Quantity, true
		}
	}
	e.Moves = counted(row, book, before)
	return e
}

func change(moves []Move, place string) (sum units.Quantity) {
	for _, m := range moves {
		switch place {
		case m.To:
			sum += m.Quantity
		case m.From:
			sum -= m.Quantity
		}
	}
	return sum
}

func (r *restorer) moves(rows []int) (moves []Move) {
	for _, i := range rows {
		if m := r.in.Book.Movements[i]; m.Part != "" {
			moves = append(moves, Move{Lot: m.Lot, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity})
		}
	}
	return moves
}

func (r *restorer) movementEntry(k kept) (Entry, bool) {
	first := r.in.Book.Movements[k.index]
	e := r.entryOfMovement(k.id, k.rows)
	if first.Case != "" {
		e.CaseMove = &CaseMove{Place: first.Case, Parent: first.To}
	}
	e.Moves = r.moves(k.rows)
	for _, m := range e.Moves {
		if !r.whole(k, m) {
			return e, false
		}
	}
	if e.Code == "" {
		e.Pos = nil
	}
	if e.Kind == "stock" { // a correction: of the row that its reference names
		e.Reference = ""
		for i, row := range r.in.Book.Stock {
			if StockID(r.season, row).String() == first.Reference {
				s := stockEntry(i, k.id, row)
				e.Count, e.Pos = s.Count, s.Pos
			}
		}
		if e.Count == nil {
			r.problem(k.sheet, k.index, "reference", first.Reference, "a row of the sheet stock")
		}
	}
	return e, true
}

// guard refuses what cannot be: less than nothing in a place of ours, one thing in two. A
// row was changed or taken out since the book was saved.
func (r *restorer) guard() {
	for _, key := range sortedKeys(r.at) {
		if q := r.at[key]; q < 0 {
			k, part := r.last[key], r.Lots[key.Lot].Part
			r.problem(k.sheet, k.index, "arrival", strconv.Itoa(k.arrival), fmt.Sprintf("rows as they were booked: with these %s has %s of %s less than nothing",
				key.Place, r.say(part, -q), part))
		}
	}
}

// past lets the ledger hold what was taken over, so that new rows meet it.
func (r *restorer) past(entries []Entry) {
	in := &r.in
	maps.Copy(r.undone, in.Undone)
	in.Known, in.Undone, in.Stock = r.known, r.undone, maps.Clone(in.Stock)
	if in.Stock == nil {
		in.Stock = map[uuid.UUID]units.Quantity{}
	}
	moves, counts := slices.Clone(in.Past.Moves), slices.DeleteFunc(slices.Clone(in.Past.Counts), func(c PastCount) bool { return r.undone[c.ID] })
	for _, e := range entries {
		for _, m := range e.Moves {
			moves = append(moves, PastMove{At: e.At, Lot: m.Lot, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity})
		}
		if r.undone[e.ID] {
			continue
		}
		switch {
		case e.Count != nil:
			c := e.Count
			counts = append(counts, PastCount{At: e.At, ID: e.ID, Place: c.Place, Part: c.Part, Lot: c.Lot, Tag: c.Tag, Exact: c.Exact})
		case e.Weighing != nil:
			t := r.Tags[e.Weighing.Tag]
			counts = append(counts, PastCount{At: e.At, ID: e.ID, Part: t.Part, Lot: t.Lot, Tag: t.Code})
		}
	}
	for _, row := range in.Book.Stock {
		if id := StockID(r.season, row); r.known[id] && row.Arrival != nil {
			if _, held := in.Stock[id]; !held {
				in.Stock[id] = row.Quantity
			}
		}
	}
	slices.SortStableFunc(moves, func(a, b PastMove) int { return a.At.Compare(b.At) })
	slices.SortStableFunc(counts, func(a, b PastCount) int { return a.At.Compare(b.At) })
	in.Past = Past{Moves: moves, Counts: counts}
}

// Unnumbered returns the book without its numbers of arrival where it needs none: a load of
// its rows into an empty ledger would book, in that order, exactly what the book says. So a
// season that was loaded and not touched since is saved as it came.
func Unnumbered(b *planner.Book, zone *time.Location) (*planner.Book, bool) {
	live := func(code string) bool { _, err := uuid.Parse(code); return err == nil }
	switch {
	case slices.ContainsFunc(b.Jobs, func(j planner.Job) bool { return live(j.Code) }),
		slices.ContainsFunc(b.Counts, func(c planner.Count) bool { return live(c.Code) }),
		slices.ContainsFunc(b.Weighings, func(w planner.Weighing) bool { return live(w.Code) }),
		slices.ContainsFunc(b.Movements, func(m planner.Movement) bool { return live(m.Code) && m.Reason != "job" || m.Case != "" }):
		return nil, false
	}
	bare := *b
	bare.Stock, bare.Jobs, bare.Counts, bare.Weighings = slices.Clone(b.Stock), slices.Clone(b.Jobs), slices.Clone(b.Counts), slices.Clone(b.Weighings)
	for i := range bare.Stock {
		bare.Stock[i].Arrival = nil
	}
	for i := range bare.Jobs {
		bare.Jobs[i].Arrival = nil
	}
	for i := range bare.Counts {
		bare.Counts[i].Arrival = nil
	}
	for i := range bare.Weighings {
		bare.Weighings[i].Arrival = nil
	}
	bare.Movements = nil
	for _, m := range b.Movements {
		if m.Arrival = nil; m.Reason != "job" { // of a job's undo: its row says when
			bare.Movements = append(bare.Movements, m)
		}
	}
	booked, wrong := Post(Input{Book: b, Zone: zone})
	again, faults := Post(Input{Book: &bare, Zone: zone})
	if len(wrong)+len(faults) > 0 || !slices.EqualFunc(booked.Entries, again.Entries, sameBooked) {
		return nil, false
	}
	return &bare, true
}

func sameBooked(a, b Entry) bool {
	return a.ID == b.ID && a.Kind == b.Kind && a.At.Equal(b.At) && a.Person == b.Person && a.Reference == b.Reference && a.Undoes == b.Undoes &&
		slices.Equal(a.Moves, b.Moves)
}
