package workbook

import (
	"fmt"
	"reflect"
	"strings"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// What is known of a history row can be filled in later; the rest stands as logged.

// later are the columns that may be blank when a row is logged and filled afterwards. In
// a workbook older than the book they are blank still, and the book's value stays.
var later = map[string]bool{
	"job-log/undone at": true, "job-log/undone by": true, "job-log/arrived at": true,
	"orders/due": true, "orders/arrived": true, "orders/carriage": true, "orders/duty": true, "orders/entry fee": true,
	"lots/cost": true, "lots/currency": true, "lots/list value": true, "lots/expires": true,
	"tags/opened on": true, "tags/measured rate N/mm": true, "tags/serial number": true,
}

// booked are the columns that the ledger fills itself where a workbook leaves them blank:
// which lot a use took, what the book said at a count.
var booked = map[string]bool{
	"lots/quantity": true, "lots/received": true, "lots/supplier": true,
	"tags/lot": true, "tags/tare g": true, "tags/contents": true,
	"movements/lot": true, "movements/tag": true, "movements/person": true,
	"counts/book": true, "weighings/book ml": true, "order-lines/packs": true,
	"stock/arrival": true, "job-log/arrival": true, "movements/arrival": true, "counts/arrival": true, "weighings/arrival": true,
}

// remarks are the sheets whose notes are no part of a logged record.
var remarks = map[string]bool{"orders": true, "order-lines": true, "lots": true, "tags": true, "charges": true, "stock": true}

// orderStates in the order they come; a file that lags behind does not turn an order back.
var orderStates = []string{"", "drafted", "placed", "confirmed", "part here", "here", "called off"}

// onlyAdded adds the rows that are new and compares the others with what was logged.
func (m *merger) onlyAdded(s *Sheet) {
	was, file := s.rows(m.old), s.rows(&m.parsed.Book)
	m.start(s, was.Len()+file.Len())
	for i := range was.Len() {
		m.append(s, was.Index(i), -1)
	}
	known := s.keyIndex(was)
	for i := range file.Len() {
		row := file.Index(i)
		at, ok := known[s.keyOf(row)]
		switch {
		case ok:
		case s.Name == "stock":
			at, ok = m.sameCount(i)
		}
		if !ok {
			m.append(s, row, i)
			continue
		}
		m.from[s.Name][at] = i
		m.logged(s, i, row, was.Index(at), s.rows(m.out).Index(at))
	}
}

// countAt is a stock row but for its lot.
type countAt struct {
	place, part, tag string
	at               int64
}

// sameCount finds the count that a stock row without a lot became: the load gave it one.
func (m *merger) sameCount(i int) (int, bool) {
	r := m.parsed.Book.Stock[i]
	if r.Lot != "" {
		return 0, false
	}
	if m.counts == nil {
		m.counts = make(map[countAt]int, len(m.old.Stock))
		for j, o := range m.old.Stock {
			key := countAt{o.Place, o.Part, o.Tag, o.CountedAt.UnixMicro()}
			if _, twice := m.counts[key]; twice {
				j = -1 // several lots there: none of them is meant
			}
			m.counts[key] = j
		}
	}
	at, ok := m.counts[countAt{r.Place, r.Part, r.Tag, r.CountedAt.UnixMicro()}]
	return at, ok && at >= 0
}

// logged compares a row with the one logged before, column by column.
func (m *merger) logged(s *Sheet, index int, row, was, out reflect.Value) {
	here := m.parsed.sheets[s.Name]
	for i, c := range s.Columns {
		if c.field < 0 || c.Key || !here.has(i) || here.bad[cellAt{index, i}] {
			continue
		}
		now, before := row.Field(c.field), was.Field(c.field)
		if equalCells(&c, now, before) {
			continue
		}
		name := s.Name + "/" + c.Heading
		blankNow, blankBefore := isBlank(&c, now), isBlank(&c, before)
		switch {
		case c.Heading == "notes" && remarks[s.Name], s.Name == "stock" && c.Heading == "quantity",
			later[name] && blankBefore, name == "orders/state" && m.onward(now.String(), before.String()):
			out.Field(c.field).Set(now)
		case (later[name] || booked[name]) && blankNow, name == "orders/state":
			// the file lags behind the book: as logged
		case s.Name == "movements" && c.Heading == "quantity" && m.split(index):
		case name == "lots/cost" && m.costBefore(row, was): // a charge was spread over it since
		default:
			m.otherwise(s, index, &c, row, was)
		}
	}
}

func (m *merger) onward(now, before string) bool {
	rank := func(state string) int {
		for i, s := range orderStates {
			if s == state {
				return i
			}
		}
		return 0
	}
	return rank(now) > rank(before)
}

// split reports whether a movement whose lot was left to the ledger was taken from several
// lots, as code, code/2, code/3, that add up to what the file says.
func (m *merger) split(index int) bool {
	row := m.parsed.Book.Movements[index]
	if row.Lot != "" {
		return false
	}
	if m.splits == nil {
		m.splits = map[string]units.Quantity{}
		for _, o := range m.old.Movements {
			code := o.Code
			if slash := strings.LastIndexByte(code, '/'); slash > 0 {
				code = code[:slash]
			}
			m.splits[code] += o.Quantity
		}
	}
	return m.splits[row.Code] == row.Quantity
}

// costBefore reports whether a lot's cost is the one it was recorded with.
func (m *merger) costBefore(row, was reflect.Value) bool {
	now, before := row.Addr().Interface().(*planner.Lot), was.Addr().Interface().(*planner.Lot)
	return now.Cost != nil && before.FirstCost != nil && now.Cost.Equal(*before.FirstCost)
}

// otherwise is the fault of a logged row that the file tells otherwise.
func (m *merger) otherwise(s *Sheet, index int, c *Column, row, was reflect.Value) {
	unitsOf := unitsOfParts(m.old)
	before, now := c.format(was, m.parsed.Zone, unitsOf).Text, c.format(row, m.parsed.Zone, unitsOf).Text
	if c.Heading == "arrival" {
		m.forked(s.Name, index, before, now)
		return
	}
	m.undo(s.Name, index, c.Heading, before, now)
}

// forked is the fault of a row that the book holds under another number of arrival: the book
// and the file went on apart. It is told once.
func (m *merger) forked(sheet string, index int, before, now string) {
	for _, f := range m.faults {
		if f.Heading == "arrival" {
			return
		}
	}
	f := m.parsed.fault(sheet, index, "arrival")
	f.Found, f.Expected = now, before+", as in the book, which has gone on since this was saved: load it into an empty database, "+
		"or take the numbers out of the column, and its rows are taken as late records"
	m.faults = append(m.faults, f)
}

func (m *merger) undo(sheet string, index int, heading, before, now string) {
	f := m.parsed.fault(sheet, index, heading)
	f.Said = fmt.Sprintf("logged with %s, file says %s: undo and log again", orBlank(before), orBlank(now))
	m.faults = append(m.faults, f)
}

func orBlank(text string) string {
	if text == "" {
		return "blank"
	}
	return text
}

func unitsOfParts(b *planner.Book) map[string]units.Unit {
	m := make(map[string]units.Unit, len(b.Parts))
	for _, p := range b.Parts {
		m[p.Code] = p.Unit
	}
	return m
}

// jobParts adds the parts of new jobs; those of a job already logged must be the same.
func (m *merger) jobParts(s *Sheet) {
	was := map[string][]planner.JobPart{}
	for _, p := range m.old.JobParts {
		was[p.Job] = append(was[p.Job], p)
	}
	for _, j := range m.old.Jobs {
		if was[j.Code] == nil {
			was[j.Code] = []planner.JobPart{}
		}
	}
	m.start(s, len(m.old.JobParts)+len(m.parsed.Book.JobParts))
	for i := range m.old.JobParts {
		m.append(s, reflect.ValueOf(&m.old.JobParts[i]).Elem(), -1)
	}
	again := map[string][]int{}
	var order []string
	for i, p := range m.parsed.Book.JobParts {
		if was[p.Job] == nil {
			m.append(s, reflect.ValueOf(&m.parsed.Book.JobParts[i]).Elem(), i)
			continue
		}
		if again[p.Job] == nil {
			order = append(order, p.Job)
		}
		again[p.Job] = append(again[p.Job], i)
	}
	for _, job := range order {
		m.sameParts(was[job], again[job])
	}
}

// sameParts compares the parts of a logged job. A row that leaves lot, tag or place to the
// ledger is compared by the sum of its part.
func (m *merger) sameParts(was []planner.JobPart, rows []int) {
	type use struct{ part, lot, tag, from, to string }
	logged, summed := map[use]units.Quantity{}, map[string]units.Quantity{}
	for _, p := range was {
		logged[use{p.Part, p.Lot, p.Tag, p.From, p.To}] += quantityOf(p.Quantity)
		summed[p.Part] += quantityOf(p.Quantity)
	}
	stated, sums, open := map[use]units.Quantity{}, map[string]units.Quantity{}, map[string]bool{}
	for _, i := range rows {
		p := m.parsed.Book.JobParts[i]
		stated[use{p.Part, p.Lot, p.Tag, p.From, p.To}] += quantityOf(p.Quantity)
		sums[p.Part] += quantityOf(p.Quantity)
		if p.Lot == "" || p.From == "" || p.To == "" || p.Quantity == nil {
			open[p.Part] = true
		}
	}
	unitsOf := unitsOfParts(m.old)
	told := map[string]bool{}
	for _, i := range rows {
		p := m.parsed.Book.JobParts[i]
		if told[p.Part] || p.Part == "" || p.Quantity == nil {
			continue
		}
		key := use{p.Part, p.Lot, p.Tag, p.From, p.To}
		before, now := logged[key], stated[key]
		if open[p.Part] {
			before, now = summed[p.Part], sums[p.Part]
		}
		if before != now {
			told[p.Part] = true
			m.undo("job-parts", i, "quantity", units.Format(before, unitsOf[p.Part]), units.Format(now, unitsOf[p.Part]))
		}
	}
	for _, p := range was {
		if _, named := sums[p.Part]; !named && !told[p.Part] && p.Part != "" {
			told[p.Part] = true
			m.undo("job-parts", rows[0], "part", p.Part, "")
		}
	}
}

func quantityOf(q *units.Quantity) units.Quantity {
	if q == nil {
		return 0
	}
	return *q
}

// bareStock refuses a new count that has only a date on a day on which the part moved
// there: before or after the movement is not the same count.
func (c *checker) bareStock(bare func(row int) bool) {
	busy := busyDays(c.book, c.zone)
	for i, s := range c.book.Stock {
		if bare(i) && busy[movedOn{s.Part, s.Place, day.At(s.CountedAt, c.zone)}] {
			c.say("stock", i, "counted on", "the time too, such as "+
				timeValue(s.CountedAt, c.zone, true).Text+" 19:00: "+s.Part+" moved there that day")
		}
	}
}
