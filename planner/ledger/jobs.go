package ledger

import (
	"cmp"

	"github.com/google/uuid"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// inSheet names a row of a workbook before what is said of it; a person has the record in hand.
func (p *poster) inSheet(row string) string {
	if p.in.Live {
		return ""
	}
	return row + ": "
}

// partsOf are the rows of a job's parts; nil: it has none.
func (p *poster) partsOf(job int) (rows []planner.JobPart) {
	for _, k := range p.parts[job] {
		rows = append(rows, p.in.Book.JobParts[k])
	}
	return rows
}

// jobEntry is a job without its movements.
func (p *poster) jobEntry(i int, id uuid.UUID, j planner.Job) Entry {
	return Entry{ID: id, Kind: "job", Code: liveCode(j.Code), Person: j.Person, At: j.DoneAt, Notes: j.Notes, Pos: &i,
		Job: &JobRow{Round: j.Round, Service: j.Service, Assembly: j.Assembly, ArrivedAt: j.ArrivedAt}}
}

// job posts a job: the parts its rows name, or the usual where it has none.
func (p *poster) job(i int, id uuid.UUID, j planner.Job) {
	e := p.jobEntry(i, id, j)
	rows := p.partsOf(i)
	if rows == nil {
		e.Moves = p.usual(i, j)
	}
	for _, r := range rows {
		if r.Part == "" {
			continue
		}
		if r.Quantity == nil || *r.Quantity == 0 {
			continue
		}
		to, from := r.To, r.From
		if to == "" {
			to = Used
		}
		var moves []Move
		if from == "" {
			moves = p.use("job-log", i, r.Part, *r.Quantity, to, j)
		} else {
			moves = p.explicit("job-log", i, r.Part, r.Lot, r.Tag, from, to, *r.Quantity, j.DoneAt)
		}
		for k := range moves {
			moves[k].Notes = r.Notes
		}
		// a spring out and the next one in stand in the same job: each changes the book
		e.Moves = append(e.Moves, moves...)
		for _, m := range moves {
			p.book.move(m)
		}
	}
	if rows != nil { // post applies them again: take them back first
		for _, m := range e.Moves {
			p.book.move(Move{Lot: m.Lot, Tag: m.Tag, From: m.To, To: m.From, Quantity: m.Quantity})
		}
	}
	e.Job.UsedNothing = rows != nil && len(e.Moves) == 0 // though something is usual
	p.post(e)
}

// usual is what a job uses when nobody says otherwise: fixed lines, and ranges at
// typical (without a typical, at their middle) with the allowance.
func (p *poster) usual(i int, j planner.Job) []Move {
	var moves []Move
	for _, l := range p.in.Book.ServiceLines {
		if l.Service != j.Service || l.OnSite != nil && *l.OnSite {
			continue
		}
		part := l.Part
		if l.OwnPart == "damper oil" {
			part = damperOil(p.in.Book, j.Assembly)
		}
		q, ok := Usual(l)
		if part == "" || !ok || q == 0 {
			continue
		}
		got := p.use("job-log", i, part, q, Used, j)
		for _, m := range got {
			p.book.move(m)
		}
		moves = append(moves, got...)
	}
	for _, m := range moves {
		p.book.move(Move{Lot: m.Lot, Tag: m.Tag, From: m.To, To: m.From, Quantity: m.Quantity})
	}
	return moves
}

// use takes a part where the job is. What is not there is found: nobody is told no with
// oil on their hands, and other places are never drawn on in silence.
func (p *poster) use(sheet string, i int, part string, q units.Quantity, to string, j planner.Job) []Move {
	roots := p.whereIs(j)
	home := ""
	for _, h := range []string{p.Parts[part].HomeInTruck, p.Parts[part].HomeInWorkshop} {
		for _, r := range roots {
			if h != "" && p.Within(h, r) {
				home = h
			}
		}
	}
	on := day.At(j.DoneAt, p.in.Zone)
	taken, missing, why := p.take(part, roots, home, j.DoneAt, to, q)
	var moves []Move
	for _, c := range taken {
		moves = append(moves, Move{Lot: c.Lot, Tag: c.Tag, From: c.Place, To: to, Quantity: c.Quantity})
		p.lastUsed[[2]string{c.Place, part}] = c.Lot
		p.opens(c, on)
		p.flagPast(c, on)
	}
	if missing > 0 {
		lot, ok := p.foundLot(home, part)
		if !ok {
			p.problem(sheet, i, "service", j.Service, "stock of "+part+", which the service uses, somewhere in the book")
			return nil
		}
		moves = append(moves, Move{Lot: lot, From: CountDifference, To: to, Quantity: missing})
		p.warn("%s%s of %s %s", p.inSheet("job "+j.Code), p.say(part, missing), part,
			cmp.Or(why, "was not in the book where the job was done: taken as found, count it"))
	}
	return moves
}

// whereIs returns the places a job draws on: the truck of the round's trip, the cases
// packed for it, or the workshop.
func (p *poster) whereIs(j planner.Job) []string {
	t, ok := p.trip[p.roundsOf[j.Round].Trip]
	if ok && t.GoesBy == "truck" && t.Truck != "" {
		return []string{t.Truck}
	}
	if ok && t.GoesBy == "air" {
		if cases := p.packed[t.Code]; len(cases) > 0 {
			return cases
		}
	}
	var out []string
	for _, pl := range p.in.Book.Places {
		if pl.Kind == "workshop" && pl.In == "" {
			out = append(out, pl.Code)
		}
	}
	return out
}

// undoJob reverses a job that the workbook says was undone.
func (p *poster) undoJob(i int, id uuid.UUID, j planner.Job) {
	p.undo(Undo{ID: UndoID(id), Entry: id, DoneAt: j.DoneAt, At: *j.UndoneAt, By: j.UndoneBy, Moves: p.movesOf(i, id)})
}

// movesOf returns the movements of a job, new or already held.
func (p *poster) movesOf(i int, id uuid.UUID) []Move {
	for _, e := range p.out.Entries {
		if e.ID == id {
			return e.Moves
		}
	}
	var moves []Move
	for _, r := range p.partsOf(i) {
		if r.Part != "" && r.Quantity != nil && *r.Quantity > 0 {
			moves = append(moves, Move{Lot: r.Lot, Tag: r.Tag, From: r.From, To: r.To, Quantity: *r.Quantity})
		}
	}
	return moves
}
