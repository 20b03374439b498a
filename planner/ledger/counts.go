package ledger

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// inScope reports whether a balance is what a count or weighing looked at.
func (p *poster) inScope(c PastCount, k Key) bool {
	switch {
	case c.Place == "": // a weighing: the tag wherever it is
		return k.Tag == c.Tag
	case c.Exact:
		return k == Key{c.Lot, c.Tag, c.Place}
	}
	return p.Lots[k.Lot].Part == c.Part && p.Within(k.Place, c.Place) && p.goodAt(k, c.At)
}

// goodAt reports whether the key is within its date: a count by part leaves out what is
// past it, and that stays as it is.
func (p *poster) goodAt(k Key, at time.Time) bool {
	last, limited := p.LastGoodOn(k.Lot, k.Tag)
	return !limited || last >= day.At(at, p.in.Zone)
}

// scope lists the keys a count looked at, in the order in which what is missing leaves; for
// one that comes late those that held nothing are among them.
func (p *poster) scope(c PastCount) []Candidate {
	var out []Candidate
	for _, k := range p.keysOf(c.Part) {
		if (p.book.at[k] != 0 || p.comesLate()) && p.inScope(c, k) {
			out = append(out, Candidate{k, p.book.at[k]})
		}
	}
	p.Order(day.At(c.At, p.in.Zone), out)
	return out
}

// countEntry is a count without what it books.
func countEntry(i int, id uuid.UUID, c planner.Count) Entry {
	return Entry{ID: id, Kind: "count", Code: liveCode(c.Code), Person: c.Person, At: c.At, Notes: c.Notes, Pos: &i,
		Count: &CountRow{Place: c.Place, Part: c.Part, Counted: c.Counted, Book: c.Book}}
}

// count posts a count of a part: with a book figure its difference stands in the
// movements that refer to it and must agree; without, the ledger posts it.
func (p *poster) count(i int, id uuid.UUID, c planner.Count) {
	e := countEntry(i, id, c)
	told, refer := p.toldDifference(c.Code)
	if c.Book != nil {
		if *c.Book+told != c.Counted {
			p.problem("counts", i, "book", p.say(c.Part, *c.Book), "a book figure that differs from what was counted ("+p.say(c.Part, c.Counted)+
				") by the movements that refer to the count ("+p.say(c.Part, told)+")")
			return
		}
	}
	seen := PastCount{At: c.At, ID: id, Place: c.Place, Part: c.Part}
	held := p.scope(seen)
	if c.Book != nil { // rows before it may have been added since: what was counted stays
		p.post(e)
		diff := c.Counted
		for _, k := range held {
			diff -= k.Quantity
		}
		if diff != 0 {
			p.warn("count %s: the rows before it leave %s of %s at %s, counted were %s: the rest is booked as a difference", name(e),
				p.say(c.Part, c.Counted-diff), c.Part, c.Place, p.say(c.Part, c.Counted))
			p.post(p.differ(e, c.Part, c.Place, held, diff))
		}
		p.remember(seen)
		return
	}
	var book units.Quantity
	for _, k := range held {
		book += k.Quantity
	}
	if refer { // the difference is in the sheet already
		book = c.Counted - told
	}
	e.Count.Book = &book
	p.post(e)
	if diff := c.Counted - book; diff != 0 {
		p.post(p.differ(e, c.Part, c.Place, held, diff))
	}
	p.remember(seen)
}

// differ is the entry of a count's own difference: missing pieces leave in the order a
// use takes them, found ones join the last lot used there.
func (p *poster) differ(cause Entry, part, place string, held []Candidate, diff units.Quantity) Entry {
	e := Entry{ID: Because(cause.ID, "difference"), Kind: cause.Kind, Person: cause.Person, At: cause.At, Reference: name(cause)}
	if diff < 0 {
		for _, c := range p.missing(held, -diff) {
			e.Moves = append(e.Moves, Move{Lot: c.Lot, Tag: c.Tag, From: c.Place, To: CountDifference, Quantity: c.Quantity})
		}
		return e
	}
	to := place
	for _, home := range []string{p.Parts[part].HomeInTruck, p.Parts[part].HomeInWorkshop} {
		if home != "" && p.Within(home, place) {
			to = home
		}
	}
	if lot, ok := p.foundLot(to, part); ok {
		e.Moves = append(e.Moves, Move{Lot: lot, From: CountDifference, To: to, Quantity: diff})
	} else {
		p.warn("%s: %s more of %s than the book, and no lot of it is known: not posted", name(cause), p.say(part, diff), part)
	}
	return e
}

// missing takes what a count did not find. Where what was there has gone since, the rest is
// taken all the same: the count says what there was at its minute.
func (p *poster) missing(held []Candidate, q units.Quantity) []Candidate {
	if !p.comesLate() {
		taken, _ := Take(held, q) // the book held more than was counted: all of it is there
		return taken
	}
	d := p.drawTo(CountDifference)
	q = d.from(held, q)
	for _, c := range held {
		d.left[c.Key] = c.Quantity - d.of(c.Key)
	}
	d.from(held, q)
	return d.taken
}

func name(e Entry) string {
	if e.Code != "" {
		return e.Code
	}
	return e.ID.String()
}

// liveCode is empty for a record whose code is its id.
func liveCode(code string) string {
	if _, err := uuid.Parse(code); err == nil {
		return ""
	}
	return code
}

// toldDifference sums the movements of the sheet that refer to a count or weighing.
func (p *poster) toldDifference(code string) (sum units.Quantity, refer bool) {
	for _, i := range p.moveRows[code] {
		m := p.in.Book.Movements[i]
		switch CountDifference {
		case m.From:
			sum += m.Quantity
		case m.To:
			sum -= m.Quantity
		}
		refer = true
	}
	return sum, refer
}

// weighingEntry is a weighing without what it books.
func weighingEntry(i int, id uuid.UUID, w planner.Weighing) Entry {
	e := Entry{ID: id, Kind: "weighing", Code: liveCode(w.Code), Person: w.Person, At: w.At, Notes: w.Notes, Pos: &i,
		Weighing: &WeighingRow{Tag: w.Tag, GrossMG: w.GrossMG, BookUL: w.BookUL}}
	if w.BenchC != nil {
		bench := w.BenchC.String()
		e.Weighing.BenchC = &bench
	}
	return e
}

// weighing posts what the scale said of a bottle.
func (p *poster) weighing(i int, id uuid.UUID, w planner.Weighing) {
	tag, ok := p.Tags[w.Tag]
	if !ok {
		p.problem("weighings", i, "tag", w.Tag, "a tag of the tags sheet")
		return
	}
	part := p.Parts[tag.Part]
	tare := tag.TareMG
	if tare == nil {
		tare = part.TareMG
	}
	if tare == nil {
		p.problem("weighings", i, "tag", w.Tag, "a tag with the mass of its empty bottle (tare g)")
		return
	}
	var density *decimal.Decimal
	if part.Unit == units.ML {
		for _, l := range p.in.Book.Liquids {
			if l.Part == part.Code {
				density = l.DensityGML
			}
		}
		if density == nil {
			p.problem("weighings", i, "tag", w.Tag, "a tag of a liquid with a density at 20 C")
			return
		}
	}
	got, err := Weigh(w.GrossMG, *tare, density)
	if misfit := (Misfit{}); errors.As(err, &misfit) { // all that Weigh returns
		p.problem("weighings", i, "gross g", misfit.Found, misfit.Expected)
		return
	}
	e := weighingEntry(i, id, w)
	seen := PastCount{At: w.At, ID: id, Part: part.Code, Lot: tag.Lot, Tag: w.Tag}
	told, refer := p.toldDifference(w.Code)
	if w.BookUL != nil {
		if *w.BookUL+told != got {
			p.problem("weighings", i, "book ml", units.Format(*w.BookUL, units.ML), "a book figure that differs from the scale's "+
				units.Format(got, units.ML)+" ml by the movements that refer to the weighing ("+units.Format(told, units.ML)+")")
			return
		}
		p.post(e)
		p.remember(seen)
		return
	}
	at, ok := p.book.tagPlace(w.Tag)
	if !ok {
		p.problem("weighings", i, "tag", w.Tag, "a bottle that is somewhere in the book then")
		return
	}
	book := p.book.at[at]
	if refer {
		book = got - told
	}
	e.Weighing.BookUL = &book
	p.post(e)
	if diff := got - book; diff != 0 {
		d := Entry{ID: Because(id, "difference"), Kind: "weighing", Person: w.Person, At: w.At, Reference: name(e)}
		m := Move{Lot: at.Lot, Tag: at.Tag, From: CountDifference, To: at.Place, Quantity: diff}
		if diff < 0 {
			m.From, m.To, m.Quantity = at.Place, CountDifference, -diff
		}
		d.Moves = []Move{m}
		p.post(d)
	}
	p.remember(seen)
}

// remember keeps a count for undos that come after it.
func (p *poster) remember(c PastCount) { p.counted = append(p.counted, c) }

// countedSince returns where the end of an undone movement goes back to: its place, or
// "count difference" where that place and part were counted in between.
func (p *poster) countedSince(m Move, place string, done Undo, before time.Time) string {
	if !p.book.kept(place) {
		return place
	}
	k := Key{m.Lot, m.Tag, place}
	between := func(c PastCount) bool {
		after := c.At.After(done.DoneAt) || c.At.Equal(done.DoneAt) && done.DoneSeq > 0 && c.Seq > done.DoneSeq
		return after && !c.At.After(before) && p.inScope(c, k)
	}
	if slices.ContainsFunc(p.in.Past.Counts, between) || slices.ContainsFunc(p.counted, between) {
		return CountDifference
	}
	return place
}

// meetCount passes a count that the ledger already holds: where earlier records that
// arrived only now change its scope, the opposite is posted at the count's minute, so
// that what was counted stays what was counted.
func (p *poster) meetCount(c PastCount) {
	var keys []Key
	var net units.Quantity
	for k, change := range p.late {
		if change != 0 && p.inScope(c, k) {
			keys = append(keys, k)
			net += change
		}
	}
	if net == 0 {
		return
	}
	slices.SortFunc(keys, compareKeys)
	cause := p.out.Entries[len(p.out.Entries)-1]
	e := Entry{ID: Because(cause.ID, "late "+c.ID.String()), Kind: "count", At: c.At, Reference: c.ID.String()}
	for _, k := range keys {
		change := p.late[k]
		if net == 0 || (change < 0) != (net < 0) {
			continue
		}
		back := min(change, net)
		if net < 0 {
			back = max(change, net)
		}
		m := Move{Lot: k.Lot, Tag: k.Tag, From: k.Place, To: CountDifference, Quantity: back}
		if back < 0 {
			m = Move{Lot: k.Lot, Tag: k.Tag, From: CountDifference, To: k.Place, Quantity: -back}
		}
		e.Moves = append(e.Moves, m)
		net -= back
	}
	p.post(e)
}

func compareKeys(a, b Key) int {
	return cmp.Or(cmp.Compare(a.Place, b.Place), cmp.Compare(a.Lot, b.Lot), cmp.Compare(a.Tag, b.Tag))
}

// guardPresent makes good what would stand below zero now: the rest is booked as found
// and a recount asked for. Only the present is guarded; a past instant may read below 0.
// A person's undo or redo tells nothing new of what is there: it is refused instead.
func (p *poster) guardPresent() {
	if len(p.out.Entries) == 0 || len(p.problems) > 0 {
		return
	}
	var below []Key
	for k, q := range p.book.at {
		if q < 0 {
			below = append(below, k)
		}
	}
	slices.SortFunc(below, compareKeys)
	if p.in.Live && (p.in.Undo != nil || p.in.Redo != nil) {
		for _, k := range below {
			part := p.Lots[k.Lot].Part
			p.gone(fmt.Sprintf("%s of %s in %s gone since", p.say(part, -p.book.at[k]), part, k.Place))
		}
		return
	}
	cause := p.out.Entries[len(p.out.Entries)-1]
	if p.in.Live {
		cause = p.out.Entries[0] // the person's own: who undoes it takes this back too
	}
	// behind every count that is there, so that none of them moves
	at := cause.At
	for _, e := range p.out.Entries {
		at = later(at, e.At)
	}
	if n := len(p.in.Past.Moves); n > 0 {
		at = later(at, p.in.Past.Moves[n-1].At)
	}
	if n := len(p.in.Past.Counts); n > 0 {
		at = later(at, p.in.Past.Counts[n-1].At)
	}
	for _, k := range below {
		q := -p.book.at[k]
		part := p.Lots[k.Lot].Part
		p.warn("%s has given %s of %s more since than it held: booked as found, count it again", k.Place, p.say(part, q), part)
		p.post(Entry{ID: FoundID(cause.ID, k), Kind: "count", At: at, Reference: name(cause),
			Moves: []Move{{Lot: k.Lot, Tag: k.Tag, From: CountDifference, To: k.Place, Quantity: q}}})
	}
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// guardTags refuses what would leave one thing in two places: two people moved it, or a
// late record says it was somewhere else than the book has it now. A bottle that was drawn
// from where it stood then, and has moved since, is no such case: what is missing there is
// found, and the bottle to be weighed.
func (p *poster) guardTags() {
	if !p.in.Live || len(p.problems) > 0 {
		return
	}
	seen := map[string]bool{}
	for _, e := range p.out.Entries {
		for _, m := range e.Moves {
			if m.Tag == "" || seen[m.Tag] {
				continue
			}
			seen[m.Tag] = true
			places, short, twice := p.placesOf(m.Tag)
			if len(places) > 1 || short && len(places) > 0 || twice {
				p.problem("movements", 0, "tag", fmt.Sprintf("%s in %v after this", m.Tag, places), "one thing in one place: somebody has moved it, look where it is now")
			}
		}
	}
}

// placesOf lists where a tag is. short: of a thing that is counted in pieces some place would
// hold less than nothing; twice: one place would hold it more than once.
func (p *poster) placesOf(tag string) (places []string, short, twice bool) {
	for _, k := range p.book.ofTag[tag] {
		q, pieces := p.book.at[k], p.Parts[p.Lots[k.Lot].Part].Unit == units.PC
		if q > 0 {
			places = append(places, k.Place)
		}
		short, twice = short || pieces && q < 0, twice || pieces && q > 1
	}
	slices.Sort(places)
	return places, short, twice
}

// guardLoaded refuses rows of a workbook that leave one thing in two places.
func (p *poster) guardLoaded() {
	if p.in.Live {
		return
	}
	told := map[string]bool{}
	for _, e := range slices.Backward(p.out.Entries) {
		for _, m := range e.Moves {
			if m.Tag == "" || told[m.Tag] {
				continue
			}
			told[m.Tag] = true
			if places, _, twice := p.placesOf(m.Tag); len(places) > 1 || twice {
				sheet, row := rowOf(e)
				p.problem(sheet, row, "tag", fmt.Sprintf("%s in %v after all rows", m.Tag, places), "one thing in one place")
			}
		}
	}
}

// rowOf names the row of the workbook that an entry is, as well as it is known.
func rowOf(e Entry) (sheet string, row int) {
	sheet, row = "movements", -1
	switch {
	case e.Job != nil:
		sheet = "job-log"
	case e.Kind == "stock":
		sheet = "stock"
	case e.Count != nil:
		sheet = "counts"
	case e.Weighing != nil:
		sheet = "weighings"
	}
	if e.Pos != nil {
		row = *e.Pos
	}
	return sheet, row
}
