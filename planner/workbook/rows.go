package workbook

import (
	"errors"
	"fmt"
	"reflect"
	"strings"

	"roundkit/planner/units"
)

var errNoZone = errors.New("no such time zone")

// sheetReader reads the rows of one sheet.
type sheetReader struct {
	*parser
	*Sheet
	given     *Sheetful
	here      *present
	top       int   // index of the first row below the heading
	unitAt    int   // position of the unit column, -1 without
	grid      []int // planned-jobs: positions of the columns that are services
	gridCodes []string
	untouched bool // the sheet is as "workbook new" made it: nothing was filled in
	partField int  // field that names the part of the quantities, -1 without

	formulas   []string // cells whose stored value was taken
	otherDates int      // dates written with the year last
	otherDate  string   // the first of them, and what it was read as
}

// heading finds the heading row and where each column stands. Titles may stand above it;
// it is the row, of the first twenty, with the most headings that the sheet knows.
func (r *sheetReader) heading() bool {
	known := make(map[string]int, len(r.Columns))
	for i, c := range r.Columns {
		known[headingKey(c.Heading)] = i
	}
	best, most := -1, 0
	for i, row := range r.given.Rows {
		if i == headingRows || row.Number > 10*headingRows {
			break
		}
		count := 0
		seen := map[int]bool{}
		for _, c := range row.Cells {
			if at, ok := known[headingKey(c.Text)]; ok && !seen[at] {
				seen[at] = true
				count++
			}
		}
		if count > most {
			best, most = i, count
		}
	}
	if best < 0 {
		r.fault(Fault{File: r.here.file, CSV: r.here.csv, Sheet: r.Name,
			Said: "found no heading in the first " + fmt.Sprint(headingRows) + " rows, expected " + r.wanted()})
		for i := range r.here.columns {
			r.here.columns[i] = -1
		}
		return false
	}
	r.columnsAt(known, r.given.Rows[best])
	r.top = best + 1
	return true
}

// wanted lists the headings a sheet cannot do without.
func (r *sheetReader) wanted() string {
	var names []string
	for _, c := range r.Columns {
		if c.Needed {
			names = append(names, c.Heading)
		}
	}
	return strings.Join(names, ", ")
}

// columnsAt notes where each column stands, and names the headings that are not known.
func (r *sheetReader) columnsAt(known map[string]int, row Row) {
	for i := range r.here.columns {
		r.here.columns[i] = -1
	}
	r.unitAt = -1
	var unknown []int
	for at, c := range row.Cells {
		text := clean(c.Text)
		if text == "" || len(text) > longestCell {
			continue
		}
		i, ok := known[headingKey(text)]
		switch {
		case !ok && headingKey(text) == "unit" && r.hasQuantities():
			r.unitAt = at
		case !ok:
			unknown = append(unknown, at)
		case r.here.columns[i] >= 0:
			r.fault(r.at(row.Number, at, r.Columns[i].Heading, text, "each heading once: it stands in "+
				ColumnLetter(r.here.columns[i])+" too"))
		default:
			r.here.columns[i] = at
		}
	}
	if r.unit >= 0 {
		r.unitAt = r.here.columns[r.unit]
	}
	unknown = r.gridColumns(row, unknown)
	for i, c := range r.Columns {
		r.here.given[i] = r.here.columns[i] >= 0 || r.fromGrid(c)
	}
	for _, at := range unknown {
		r.parsed.Notes = append(r.parsed.Notes, fmt.Sprintf("%s: column %q is not known and was ignored",
			r.whereSheet(), clean(row.Cells[at].Text)))
	}
	for i, c := range r.Columns {
		if !r.here.given[i] && (c.Key && c.Needed || r.Keyless() && i == 0) {
			r.fault(Fault{File: r.here.file, CSV: r.here.csv, Sheet: r.Name, Row: row.Number,
				Said: "found no column " + c.Heading + ", expected one in the heading row"})
		}
	}
	r.partField = -1
	for _, c := range r.Columns {
		if c.in == "Part" || c.in == "Code" {
			f, _ := r.row.FieldByName(c.in)
			r.partField = f.Index[0]
		}
	}
}

func (r *sheetReader) hasQuantities() bool {
	for _, c := range r.Columns {
		if c.typ == isQuantity && c.in != "ml" {
			return true
		}
	}
	return false
}

func (r *sheetReader) whereSheet() string {
	return Fault{File: r.here.file, CSV: r.here.csv, Sheet: r.Name}.place()
}

// at makes a fault of the cell at a position of the sheet.
func (r *sheetReader) at(line, position int, heading, found, expected string) Fault {
	f := Fault{File: r.here.file, CSV: r.here.csv, Sheet: r.Name, Row: line, Heading: heading,
		Found: found, Expected: expected}
	if !r.here.csv && position >= 0 {
		f.Letter = ColumnLetter(position)
	}
	return f
}

// rows reads every row below the heading into the book.
func (r *sheetReader) rows() {
	list := r.Sheet.rows(&r.parsed.Book)
	list.Set(reflect.MakeSlice(list.Type(), 0, max(len(r.given.Rows)-r.top, 0)))
	keys := make(map[string]int, len(r.given.Rows)-r.top)
	examples := 0
	for _, row := range r.given.Rows[r.top:] {
		switch r.blank(row) {
		case rowBlank:
			continue
		case rowNote:
			r.parsed.Notes = append(r.parsed.Notes, fmt.Sprintf("%s, row %d: only a note, ignored", r.whereSheet(), row.Number))
			continue
		}
		if r.isExample(row) {
			examples++
			continue
		}
		if r.Name == "planned-jobs" {
			r.plannedJobs(row, list, keys)
			continue
		}
		v := r.add(list, row.Number)
		r.read(row, v)
		r.once(row, v, list.Len()-1, keys)
	}
	r.untouched = examples > 0 && list.Len() == 0
	r.understood()
}

// understood notes what was not written as the sheet asks for it, and how it was read.
func (r *sheetReader) understood() {
	if n := len(r.formulas); n > 0 {
		shown := r.formulas[:min(n, 8)]
		more := ""
		if n > len(shown) {
			more = fmt.Sprintf(" and %d more", n-len(shown))
		}
		r.parsed.Notes = append(r.parsed.Notes, fmt.Sprintf("%s: formulas in %s%s: the values stored with them were taken, as they were last calculated",
			r.whereSheet(), strings.Join(shown, ", "), more))
	}
	if r.otherDates > 0 {
		times := ""
		if r.otherDates > 1 {
			times = fmt.Sprintf(" and %d more dates in that order", r.otherDates-1)
		}
		r.parsed.Notes = append(r.parsed.Notes, fmt.Sprintf("%s: read %s%s", r.whereSheet(), r.otherDate, times))
	}
}

// add appends an empty row to the book and returns it.
func (r *sheetReader) add(list reflect.Value, line int) reflect.Value {
	n := list.Len()
	if n == list.Cap() {
		list.Grow(max(16, n/2))
	}
	list.SetLen(n + 1)
	r.here.lines = append(r.here.lines, int32(line))
	v := list.Index(n)
	v.SetZero()
	return v
}

type rowState uint8

const (
	rowFull rowState = iota
	rowNote
	rowBlank
)

// blank says whether a row says anything in the columns the sheet knows.
func (r *sheetReader) blank(row Row) rowState {
	state := rowBlank
	for i, at := range r.here.columns {
		if at < 0 || at >= len(row.Cells) || clean(row.Cells[at].Text) == "" {
			continue
		}
		if i != r.notes {
			return rowFull
		}
		state = rowNote
	}
	for _, at := range r.grid {
		if at < len(row.Cells) && clean(row.Cells[at].Text) != "" {
			return rowFull
		}
	}
	return state
}

// once refuses a key that another row of the sheet has.
func (r *sheetReader) once(row Row, v reflect.Value, index int, keys map[string]int) {
	if r.Keyless() {
		return
	}
	for _, k := range r.keys {
		c := r.Columns[k]
		if c.Needed && (!r.here.given[k] || r.here.bad[cellAt{index, k}]) {
			return
		}
	}
	key := r.keyOf(v)
	first, twice := keys[key]
	if !twice {
		keys[key] = row.Number
		return
	}
	f := r.at(row.Number, r.here.columns[r.keys[0]], r.Columns[r.keys[0]].Heading, r.keyText(v, r.zone),
		fmt.Sprintf("each %s once: row %d has it too", r.keyNames(), first))
	f.CSV = r.here.csv
	if r.here.csv {
		f.Expected = fmt.Sprintf("each %s once: line %d has it too", r.keyNames(), first)
	}
	r.fault(f)
	for _, k := range r.keys {
		r.here.bad[cellAt{index, k}] = true
	}
}

func (r *sheetReader) keyNames() string {
	names := make([]string, len(r.keys))
	for i, k := range r.keys {
		names[i] = r.Columns[k].Heading
	}
	return strings.Join(names, ", ")
}

// unitOfRow returns the unit in which the part of a row is counted; ok is false where the
// part is not known, which is a fault of its own.
func (r *sheetReader) unitOfRow(c Column, v reflect.Value) (units.Unit, bool) {
	switch c.in {
	case "ml":
		return units.ML, true
	case "pc":
		return units.PC, true
	}
	if r.Name == "parts" {
		u := units.Unit(fieldString(v, "Unit"))
		if u == "" {
			u = r.partUnits[fieldString(v, "Code")]
		}
		return u, u != ""
	}
	if code := v.Field(r.partField).String(); code != "" {
		u, ok := r.partUnits[code]
		return u, ok && u != ""
	}
	if r.Name == "service-lines" {
		if fieldString(v, "OwnPart") == "damper oil" {
			return units.ML, true
		}
		return units.PC, true
	}
	return "", false
}
