package workbook

import (
	"reflect"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Kind is what the cells of a column hold.
type Kind string

// The kinds of column.
const (
	Text     Kind = "text"
	Word     Kind = "word" // one of Column.Words
	Number   Kind = "number"
	Percent  Kind = "percent" // 25 is 25 %
	Whole    Kind = "whole number"
	YesNo    Kind = "yes or no"
	Date     Kind = "date"
	Time     Kind = "time"
	DateTime Kind = "date or time"
	Clock    Kind = "time of day"
	Quantity Kind = "quantity"
	Mass     Kind = "mass"
	Unit     Kind = "unit"
)

// Column is one column of a sheet.
type Column struct {
	Heading string
	Help    string // one line: what the cells mean
	Kind    Kind
	Key     bool     // part of the row's key
	Needed  bool     // no row is complete without it (of a key: may not be blank)
	Ref     string   // noun whose rows the cells name: part, place, ...
	Words   []string // the words allowed, for Word

	in      string // of a Quantity: the field that names the part, or a unit
	field   int    // index in the row type; -1 for the unit column, which no row type has
	pointer bool   // the field is a pointer: blank is not known
	typ     cellType
}

// cellType is the Go type behind a column, told apart once so that no cell needs
// reflection beyond finding its field.
type cellType uint8

const (
	isString cellType = iota
	isUnit
	isDecimal
	isInt
	isBool
	isDay
	isTime
	isQuantity
	isMass
)

// Rule is how a sheet is laid over what is already known.
type Rule string

// The rules of loading.
const (
	ByKey      Rule = "catalogue" // updated by key; a row the file lacks stays
	WholeTruth Rule = "plan"      // rows the file lacks are removed
	OnlyAdded  Rule = "history"   // rows are only ever added
)

// Sheet is one sheet: its name and its columns in order.
type Sheet struct {
	Name    string
	Help    string
	Columns []Column
	Rule    Rule
	Needed  bool // a first plan needs it

	field []int // index path of the slice in planner.Book
	row   reflect.Type
	keys  []int // indexes of the key columns
	unit  int   // index of the unit column, -1 without
	notes int   // index of the notes column
}

// Sheets lists every sheet of the workbook, the seven a first plan needs first, then in
// the order of the format's definition. The columns end with notes.
func Sheets() []Sheet {
	out := make([]Sheet, len(layout))
	for i, s := range layout {
		out[i] = *s
		out[i].Columns = append([]Column(nil), s.Columns...)
	}
	return out
}

// neededSheets is how many of the first entries of helpTable a first plan needs.
const neededSheets = 7

// blankKeys are the key columns that may be blank, because blank means something: any
// assembly, the opening lot, stock without a tag, the whole season.
var blankKeys = map[string]bool{
	"planned-jobs/assembly": true, "stock/lot": true, "stock/tag": true, "budget/round": true,
}

var (
	layout = buildLayout()
	byName = indexLayout(layout)
)

func indexLayout(sheets []*Sheet) map[string]*Sheet {
	m := make(map[string]*Sheet, len(sheets))
	for _, s := range sheets {
		m[s.Name] = s
	}
	return m
}

// buildLayout reads the tags of planner.Book, in the order of helpTable.
func buildLayout() []*Sheet {
	found := map[string]*Sheet{}
	book := reflect.TypeFor[planner.Book]()
	rules := map[string]Rule{"Plan": WholeTruth, "Catalogue": ByKey, "History": OnlyAdded}
	for i := range book.NumField() {
		group := book.Field(i)
		for j := range group.Type.NumField() {
			f := group.Type.Field(j)
			found[f.Tag.Get("sheet")] = &Sheet{
				Name: f.Tag.Get("sheet"), Rule: rules[group.Name],
				field: []int{i, j}, row: f.Type.Elem(), unit: -1, notes: -1,
			}
		}
	}
	sheets := make([]*Sheet, 0, len(helpTable))
	for i, h := range helpTable {
		s := found[h.name]
		if s == nil {
			continue // the test of the layout names it
		}
		s.Help, s.Needed = h.what, i < neededSheets
		s.columns(h)
		sheets = append(sheets, s)
	}
	return sheets
}

// columns fills the sheet's columns from its row type; the unit column stands where the
// help has it.
func (s *Sheet) columns(help sheetHelp) {
	meaning := map[string]string{"notes": "free text, never calculated with"}
	after := map[string]string{} // heading before a unit column that is not a field
	for i, c := range help.columns {
		meaning[c[0]] = c[1]
		if c[0] == "unit" && i > 0 {
			after[help.columns[i-1][0]] = c[1]
		}
	}
	_, ownUnit := s.row.FieldByName("Unit")
	for i := range s.row.NumField() {
		if s.row.Field(i).Tag.Get("sheet") == "" {
			continue // known of the row, and in no column
		}
		c := s.column(i)
		c.Help = meaning[c.Heading]
		if c.Key {
			s.keys = append(s.keys, len(s.Columns))
		}
		if c.Heading == "notes" {
			s.notes = len(s.Columns)
		}
		if c.Heading == "unit" {
			s.unit = len(s.Columns)
		}
		s.Columns = append(s.Columns, c)
		if text := after[c.Heading]; text != "" && !ownUnit {
			s.unit = len(s.Columns)
			s.Columns = append(s.Columns, Column{
				Heading: "unit", Help: text, Kind: Unit, field: -1, typ: isUnit,
				Words: []string{"pc", "ml", "g"},
			})
		}
	}
}

func (s *Sheet) column(i int) Column {
	f := s.row.Field(i)
	c := Column{
		Heading: f.Tag.Get("sheet"), Ref: f.Tag.Get("ref"), in: f.Tag.Get("in"), field: i,
		Key: f.Tag.Get("is") == "key",
	}
	c.Needed = f.Tag.Get("is") == "needed" || c.Key && !blankKeys[s.Name+"/"+c.Heading]
	if words := f.Tag.Get("oneof"); words != "" {
		c.Words = strings.Split(words, "|")
	}
	t := f.Type
	if t.Kind() == reflect.Pointer {
		c.pointer, t = true, t.Elem()
	}
	c.typ = typeOfCell(t)
	c.Kind = c.kind(s.Name)
	return c
}

// typeOfCell tells the types of cells apart; what is none of the others is text.
func typeOfCell(t reflect.Type) cellType {
	switch t {
	case reflect.TypeFor[units.Unit]():
		return isUnit
	case reflect.TypeFor[decimal.Decimal]():
		return isDecimal
	case reflect.TypeFor[int]():
		return isInt
	case reflect.TypeFor[bool]():
		return isBool
	case reflect.TypeFor[day.Day]():
		return isDay
	case reflect.TypeFor[time.Time]():
		return isTime
	case reflect.TypeFor[units.Quantity]():
		return isQuantity
	case reflect.TypeFor[units.Milligrams]():
		return isMass
	}
	return isString
}

func (c Column) kind(sheet string) Kind {
	switch c.typ {
	case isUnit:
		return Unit
	case isInt:
		return Whole
	case isBool:
		return YesNo
	case isDay:
		return Date
	case isQuantity:
		return Quantity
	case isMass:
		return Mass
	case isTime:
		if sheet == "stock" {
			return DateTime
		}
		return Time
	case isDecimal:
		if strings.Contains(c.Heading, "%") {
			return Percent
		}
		return Number
	}
	if c.Words != nil {
		return Word
	}
	if c.Heading == "cut-off time" {
		return Clock
	}
	return Text
}

// chance reports whether the column is of chances, which people write as 30 % and as 0.3.
func (c *Column) chance() bool {
	return c.Kind == Percent && (strings.Contains(c.Heading, "chance") || strings.HasPrefix(c.Heading, "steepness") ||
		c.Heading == "confidence %" || c.Heading == "trip readiness %")
}

// Keyless reports whether the sheet is a list of rows without a key.
func (s *Sheet) Keyless() bool { return len(s.keys) == 0 }

// rows returns the sheet's slice in the book, settable.
func (s *Sheet) rows(book *planner.Book) reflect.Value {
	return reflect.ValueOf(book).Elem().FieldByIndex(s.field)
}
