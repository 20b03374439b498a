package workbook

import (
	"reflect"
	"slices"
	"strconv"
	"time"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// SheetOut is one sheet to be written: its columns and rows of typed cells.
type SheetOut struct {
	Sheet
	Rows [][]Value
}

// Value is a cell to be written. Text is its canonical text, which Parse reads back to the
// same value: in a CSV file it stands as it is, a spreadsheet stores it by its Type.
type Value struct {
	Text string
	Type ValueType
}

// ValueType says as what a spreadsheet should store a cell.
type ValueType uint8

// The types of value.
const (
	ValueBlank  ValueType = iota
	ValueText             // also numbers with more digits than a spreadsheet keeps
	ValueNumber           // decimals as written
	ValueDate             // 2027-06-05
	ValueTime             // 2027-06-05 19:00 or with seconds, local
)

// Format returns a book as the sheets of its workbook, in the order of Sheets. zone is the
// season's; quantities are in the unit of their part.
func Format(book *planner.Book, zone *time.Location) []SheetOut {
	unitOf := make(map[string]units.Unit, len(book.Parts))
	for _, p := range book.Parts {
		unitOf[p.Code] = p.Unit
	}
	out := make([]SheetOut, len(layout))
	busy := busyDays(book, zone)
	for i, s := range layout {
		rows := s.rows(book)
		out[i] = SheetOut{Sheet: *s, Rows: make([][]Value, rows.Len())}
		cells := make([]Value, rows.Len()*len(s.Columns))
		for j := range rows.Len() {
			row := cells[j*len(s.Columns) : (j+1)*len(s.Columns) : (j+1)*len(s.Columns)]
			for k := range s.Columns {
				row[k] = s.Columns[k].format(rows.Index(j), zone, unitOf)
			}
			if s.Name == "stock" {
				row[s.columnOf("counted on")] = countedOn(&book.Stock[j], zone, busy)
			}
			out[i].Rows[j] = row
		}
		out[i].dropBlank("arrival", "case", "trip readiness %", "customs", "water capacity ml", "chances worth jobs", "last season counts %",
			"address", "contact", "e-mail", "customer number", "tax number", "terms", "free packs")
	}
	return out
}

// dropBlank leaves out columns that say nothing in any row: a season that was loaded and not
// touched since is saved as it came.
func (s *SheetOut) dropBlank(headings ...string) {
	for _, h := range headings {
		k := s.columnOf(h)
		if k < 0 || s.Columns[k].Key || slices.ContainsFunc(s.Rows, func(row []Value) bool { return row[k].Text != "" }) {
			continue
		}
		s.Columns = slices.Delete(slices.Clone(s.Columns), k, k+1)
		for i, row := range s.Rows {
			s.Rows[i] = slices.Delete(row, k, k+1)
		}
	}
}

// format returns the cell of a column of a row.
func (c *Column) format(row reflect.Value, zone *time.Location, unitOf map[string]units.Unit) Value {
	if c.field < 0 {
		return textValue(string(unitOf[fieldString(row, "Part")]))
	}
	f := row.Field(c.field)
	if c.pointer {
		if f.IsNil() {
			return Value{}
		}
		f = f.Elem()
	}
	switch c.typ {
	case isDecimal:
		d := *f.Addr().Interface().(*decimal.Decimal)
		if c.chance() && d.IsPositive() && d.LessThan(decimal.New(1, 0)) {
			return textValue(decimalValue(d).Text + "%") // without its mark it could mean either
		}
		return decimalValue(d)
	case isInt:
		return Value{strconv.FormatInt(f.Int(), 10), ValueNumber}
	case isBool:
		if f.Bool() {
			return Value{"yes", ValueText}
		}
		return Value{"no", ValueText}
	case isDay:
		return Value{day.Day(f.Int()).String(), ValueDate}
	case isTime:
		return timeValue(*f.Addr().Interface().(*time.Time), zone, c.Kind == DateTime)
	case isQuantity:
		return numberValue(units.Format(units.Quantity(f.Int()), c.unit(row, unitOf)))
	case isMass:
		return numberValue(units.Format(units.Quantity(f.Int()), units.G))
	}
	return textValue(f.String())
}

// unit returns the unit in which a quantity of the row is written.
func (c *Column) unit(row reflect.Value, unitOf map[string]units.Unit) units.Unit {
	switch c.in {
	case "ml":
		return units.ML
	case "pc":
		return units.PC
	case "Code":
		return units.Unit(fieldString(row, "Unit"))
	}
	if code := fieldString(row, "Part"); code != "" {
		return unitOf[code]
	}
	if own := row.FieldByName("OwnPart"); own.IsValid() && own.String() == "damper oil" {
		return units.ML
	}
	return units.PC
}

// movedOn is a day on which a part moved at a place.
type movedOn struct {
	part, place string
	on          day.Day
}

// busyDays finds the days on which parts moved, by place.
func busyDays(book *planner.Book, zone *time.Location) map[movedOn]bool {
	busy := map[movedOn]bool{}
	note := func(part, from, to string, at time.Time) {
		on := day.At(at, zone)
		busy[movedOn{part, from, on}], busy[movedOn{part, to, on}] = true, true
	}
	for _, m := range book.Movements {
		note(m.Part, m.From, m.To, m.At)
	}
	done := make(map[string]time.Time, len(book.Jobs))
	for _, j := range book.Jobs {
		done[j.Code] = j.DoneAt
	}
	for _, p := range book.JobParts {
		if at, ok := done[p.Job]; ok {
			note(p.Part, p.From, p.To, at)
		}
	}
	return busy
}

// countedOn writes a count at the first instant of a day as that day alone, unless the part
// moved there that day: then the time must stand, or nobody knows what came first.
func countedOn(s *planner.StockRow, zone *time.Location, busy map[movedOn]bool) Value {
	return timeValue(s.CountedAt, zone, !busy[movedOn{s.Part, s.Place, day.At(s.CountedAt, zone)}])
}

func textValue(text string) Value {
	if text == "" {
		return Value{}
	}
	return Value{text, ValueText}
}

// numberValue keeps a number that a spreadsheet's 15 digits cannot hold as text.
func numberValue(text string) Value {
	if plainNumber(text) {
		return Value{text, ValueNumber}
	}
	return Value{text, ValueText}
}

func decimalValue(d decimal.Decimal) Value {
	if d.Exponent() >= 0 {
		return numberValue(d.String())
	}
	return numberValue(d.StringFixed(-d.Exponent()))
}

// timeValue writes a time as the clock on the wall; with its offset where clocks show that
// time twice. A day's first instant is the day alone where that is taken.
func timeValue(t time.Time, zone *time.Location, bare bool) Value {
	local := t.In(zone)
	if d := day.At(t, zone); bare && d.Start(zone).Equal(t) {
		return Value{d.String(), ValueDate}
	}
	form := "2006-01-02 15:04"
	if local.Second() != 0 || local.Nanosecond() != 0 {
		form += ":05"
	}
	kind := ValueTime
	if local.Nanosecond() != 0 {
		form, kind = form+".999999999", ValueText
	}
	y, m, d := local.Date()
	wall := time.Date(y, m, d, local.Hour(), local.Minute(), local.Second(), local.Nanosecond(), time.UTC)
	if len(wallInstants(wall, zone)) > 1 {
		form, kind = form+"-07:00", ValueText
	}
	return Value{local.Format(form), kind}
}
