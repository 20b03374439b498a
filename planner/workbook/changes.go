package workbook

import (
	"fmt"
	"reflect"
	"strings"
	"time"

	"roundkit/planner"
	"roundkit/planner/units"
)

// ChangeKind says what happens to a row.
type ChangeKind string

// The kinds of change.
const (
	Added   ChangeKind = "added"
	Changed ChangeKind = "changed"
	Removed ChangeKind = "removed"
)

// Change is one row that a load adds, changes or removes.
type Change struct {
	Sheet   string
	Kind    ChangeKind
	Key     string // as people read it: "VEL, WIP-40"
	Was     int    // index in the sheet of the old book, -1 for an added row
	Now     int    // index in the sheet of the new book, -1 for a removed row
	Line    int    // row of the file, 0 if the load made the change itself
	Columns []ColumnChange
}

// ColumnChange is one cell before and after, as the workbook writes it.
type ColumnChange struct{ Heading, Was, Now string }

// String words the change on one line: "rounds: changed KAR: wet chance % 35 to 40".
func (c Change) String() string {
	line := c.Sheet + ": " + string(c.Kind) + " " + c.Key
	for i, col := range c.Columns {
		mark := ", "
		if i == 0 {
			mark = ": "
		}
		line += fmt.Sprintf("%s%s %s to %s", mark, col.Heading, orBlank(col.Was), orBlank(col.Now))
	}
	return line
}

// Changes is what a load would do, in the order of the sheets.
type Changes []Change

// Count returns how many rows of a sheet are added, changed and removed.
func (c Changes) Count(sheet string) (added, changed, removed int) {
	for i := range c {
		if c[i].Sheet != sheet {
			continue
		}
		switch c[i].Kind {
		case Added:
			added++
		case Changed:
			changed++
		case Removed:
			removed++
		}
	}
	return added, changed, removed
}

// Lines returns what --dry-run prints: what is changed and removed row by row, what is
// added row by row where it is a few, else as a number a sheet.
func (c Changes) Lines() []string {
	const few = 12
	var lines []string
	for _, s := range layout {
		added, _, _ := c.Count(s.Name)
		if added > few {
			lines = append(lines, fmt.Sprintf("%s: added %d rows", s.Name, added))
		}
		for i := range c {
			if c[i].Sheet == s.Name && (c[i].Kind != Added || added <= few) {
				lines = append(lines, c[i].String())
			}
		}
	}
	return lines
}

// diff finds what differs between two books.
func diff(old, now *planner.Book, zone *time.Location, line func(sheet string, row int) int) Changes {
	d := differ{old: old, now: now, zone: zone, line: line, oldUnits: unitsOfParts(old), nowUnits: unitsOfParts(now)}
	for _, s := range layout {
		a, b := s.rows(old), s.rows(now)
		if a.Len() == b.Len() && (a.Len() == 0 || a.Pointer() == b.Pointer()) {
			continue // the very same rows
		}
		if s.Keyless() {
			d.keyless(s, a, b)
		} else {
			d.keyed(s, a, b)
		}
	}
	return d.out
}

type differ struct {
	old, now           *planner.Book
	zone               *time.Location
	line               func(sheet string, row int) int
	oldUnits, nowUnits map[string]units.Unit
	out                Changes
}

func (d *differ) keyed(s *Sheet, a, b reflect.Value) {
	known := s.keyIndex(a)
	kept := make([]bool, a.Len())
	for i := range b.Len() {
		row := b.Index(i)
		at, ok := known[s.keyOf(row)]
		if !ok {
			d.out = append(d.out, Change{Sheet: s.Name, Kind: Added, Key: s.keyText(row, d.zone), Was: -1, Now: i, Line: d.line(s.Name, i)})
			continue
		}
		kept[at] = true
		columns := s.equalRows(a.Index(at), row)
		if len(columns) == 0 {
			continue
		}
		change := Change{Sheet: s.Name, Kind: Changed, Key: s.keyText(row, d.zone), Was: at, Now: i, Line: d.line(s.Name, i)}
		for _, k := range columns {
			c := &s.Columns[k]
			change.Columns = append(change.Columns, ColumnChange{c.Heading,
				c.format(a.Index(at), d.zone, d.oldUnits).Text, c.format(row, d.zone, d.nowUnits).Text})
		}
		d.out = append(d.out, change)
	}
	for i := range kept {
		if !kept[i] {
			d.out = append(d.out, Change{Sheet: s.Name, Kind: Removed, Key: s.keyText(a.Index(i), d.zone), Was: i, Now: -1})
		}
	}
}

// keyless compares lists of rows: a row is the same where all its cells are.
func (d *differ) keyless(s *Sheet, a, b reflect.Value) {
	left := map[string][]int{}
	for i := range a.Len() {
		key := d.whole(s, a.Index(i), d.oldUnits)
		left[key] = append(left[key], i)
	}
	var added Changes
	for i := range b.Len() {
		key := d.whole(s, b.Index(i), d.nowUnits)
		if same := left[key]; len(same) > 0 {
			left[key] = same[1:]
			continue
		}
		added = append(added, Change{Sheet: s.Name, Kind: Added, Key: d.short(s, b.Index(i), d.nowUnits), Was: -1, Now: i, Line: d.line(s.Name, i)})
	}
	for i := range a.Len() {
		for _, gone := range left[d.whole(s, a.Index(i), d.oldUnits)] {
			if gone == i {
				d.out = append(d.out, Change{Sheet: s.Name, Kind: Removed, Key: d.short(s, a.Index(i), d.oldUnits), Was: i, Now: -1})
			}
		}
	}
	d.out = append(d.out, added...)
}

// whole is the row as one text; decimals without the zeros behind, so that 68 is 68.00.
func (d *differ) whole(s *Sheet, row reflect.Value, unitOf map[string]units.Unit) string {
	var b strings.Builder
	for i := range s.Columns {
		text := s.Columns[i].format(row, d.zone, unitOf).Text
		if s.Columns[i].typ == isDecimal && strings.Contains(text, ".") {
			text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
		}
		b.WriteString(text)
		b.WriteByte(0)
	}
	return b.String()
}

// short is the row as a person tells it from the others: "FSS, OIL-B68, min 32, max 48".
func (d *differ) short(s *Sheet, row reflect.Value, unitOf map[string]units.Unit) string {
	var parts []string
	for i := range s.Columns {
		c := &s.Columns[i]
		text := c.format(row, d.zone, unitOf).Text
		switch {
		case text == "" || c.Heading == "notes" || c.Kind == Unit:
		case c.typ == isString:
			parts = append(parts, text)
		default:
			parts = append(parts, c.Heading+" "+text)
		}
	}
	return strings.Join(parts, ", ")
}
