package workbook

import (
	"fmt"
	"reflect"
	"strings"
	"time"
	"unicode"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/units"
)

// checker finds what is wrong between the rows of a book. Every check of it reads one
// sheet and says each fault at its cell.
type checker struct {
	book  *planner.Book
	zone  *time.Location
	units map[string]units.Unit
	// place puts a fault in its cell, and says whether that cell was found faulty before.
	place  func(sheet string, row int, heading string) (f Fault, bad bool)
	zoneOf func(name string) (*time.Location, error)
	held   func(sheet string, row int) bool // the row is in the database already; nil: none is
	codes  map[string]map[string]int        // by noun and code: the row
	faults Faults
}

// Check finds what is wrong between the rows of a book: names of what there is not, trees
// that bite their tail, chances over 100, dates out of order, and the like. zoneOf finds a
// time zone by name (nil knows UTC alone). The faults name sheets and keys, not cells: a
// book has no file.
func Check(book *planner.Book, zone *time.Location, zoneOf func(string) (*time.Location, error)) Faults {
	c := newChecker(book, zone, func(sheet string, row int, heading string) (Fault, bool) {
		return Fault{Sheet: sheet, Heading: heading}, false
	})
	c.zoneOf = func(name string) (*time.Location, error) { return loadZone(&Input{Zone: zoneOf}, name) }
	c.all()
	return c.faults.sorted()
}

// check is Check of a loaded workbook: each fault in its cell, none where a cell could not
// be read in the first place.
func (l *Loaded) check(in *Input) Faults {
	c := newChecker(&l.Merged, l.Zone, func(sheet string, row int, heading string) (Fault, bool) {
		f := l.Fault(sheet, row, heading)
		at, here := l.Row(sheet, row), l.sheets[sheet]
		if at < 0 || here == nil {
			return f, false
		}
		return f, here.bad[cellAt{at, byName[sheet].columnOf(heading)}]
	})
	c.zoneOf = func(name string) (*time.Location, error) { return loadZone(in, name) }
	c.held = func(sheet string, row int) bool { return l.Row(sheet, row) < 0 }
	c.all()
	known := byName["stock"].keyIndex(reflect.ValueOf(l.Old.Stock))
	c.bareStock(func(row int) bool {
		at, here := l.Row("stock", row), l.sheets["stock"]
		if at < 0 || at >= len(here.bare) || !here.bare[at] {
			return false
		}
		_, counted := known[byName["stock"].keyOf(reflect.ValueOf(&l.Merged.Stock[row]).Elem())]
		return !counted
	})
	c.unitsStay(&l.Old)
	return c.faults
}

func newChecker(book *planner.Book, zone *time.Location, place func(string, int, string) (Fault, bool)) *checker {
	c := &checker{book: book, zone: zone, place: place, units: unitsOfParts(book), codes: map[string]map[string]int{}}
	for _, noun := range []struct{ noun, sheet string }{
		{"person", "people"}, {"rider", "riders"}, {"model", "models"}, {"assembly", "assemblies"},
		{"supplier", "suppliers"}, {"place", "places"}, {"part", "parts"}, {"service", "services"},
		{"round", "rounds"}, {"trip", "trips"}, {"lot", "lots"}, {"tag", "tags"}, {"order", "orders"},
		{"job", "job-log"}, {"movement", "movements"},
	} {
		s := byName[noun.sheet]
		c.codes[noun.noun] = s.keyIndex(s.rows(book))
		delete(c.codes[noun.noun], "") // a row whose code is the fault names nothing
	}
	delete(c.units, "")
	return c
}

func (c *checker) all() {
	c.references()
	c.within()
	c.catalogue()
	c.plan()
	c.history()
}

// say notes a fault of a cell; what was found is the cell as the workbook writes it.
func (c *checker) say(sheet string, row int, heading, expected string) {
	f, bad := c.place(sheet, row, heading)
	if bad || len(c.faults) >= keptFaults {
		return
	}
	s := byName[sheet]
	if i := s.columnOf(heading); i >= 0 {
		f.Found = s.Columns[i].format(s.rows(c.book).Index(row), c.zone, c.units).Text
	}
	f.Expected = expected
	if f.Row == 0 { // not in the file: the key says which row
		if key := s.keyText(s.rows(c.book).Index(row), c.zone); key != "" {
			f.Expected += " (" + key + ")"
		}
	}
	c.faults = append(c.faults, f)
}

// references checks every cell that names a row of another sheet.
func (c *checker) references() {
	for _, s := range layout {
		rows := s.rows(c.book)
		for i := range s.Columns {
			col := &s.Columns[i]
			if col.Ref == "" {
				continue
			}
			codes := c.codes[col.Ref]
			loose := col.Ref == "place" && (s.Name == "stock" || s.Name == "job-parts" || s.Name == "movements" || s.Name == "counts")
			beyond := s.Name == "job-parts" || s.Name == "movements"
			for j := range rows.Len() {
				code := rows.Index(j).Field(col.field).String()
				if code == "" {
					continue
				}
				if _, ok := codes[code]; ok || beyond && Outside[code] {
					continue
				}
				if _, ok := c.codes["assembly"][code]; ok && loose {
					continue
				}
				if col.Heading == "undoes" && c.undoes(j, code) {
					continue
				}
				c.say(s.Name, j, col.Heading, c.wantRef(col.Ref, code))
			}
		}
	}
}

// undoes reports whether a row that save wrote takes back a record that is no movement: a
// job by its code, whatever moved nothing by its id. The ledger knows whether it is there.
func (c *checker) undoes(row int, code string) bool {
	if c.book.Movements[row].Arrival == nil {
		return false
	}
	_, job := c.codes["job"][code]
	_, err := uuid.Parse(code)
	return job || err == nil
}

// sheetOf names the sheet that lists a noun.
var sheetOf = map[string]string{
	"person": "people", "rider": "riders", "model": "models", "assembly": "assemblies", "supplier": "suppliers",
	"place": "places", "part": "parts", "service": "services", "round": "rounds", "trip": "trips", "lot": "lots",
	"tag": "tags", "order": "orders", "job": "job-log", "movement": "movements",
}

// wantRef says what a name should have been, and which one is written nearly so.
func (c *checker) wantRef(noun, code string) string {
	article := "a "
	if strings.ContainsRune("aeio", rune(noun[0])) {
		article = "an "
	}
	want := article + noun + " of the sheet " + sheetOf[noun]
	plain, like := plainCode(code), ""
	for known := range c.codes[noun] {
		if plainCode(known) == plain && (like == "" || known < like) {
			like = known
		}
	}
	if like != "" {
		want += ", such as " + like
	}
	return want
}

// plainCode is a code without what people mistype: case, dashes, spaces, leading zeros.
func plainCode(code string) string {
	return strings.TrimLeft(strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, code), "0")
}

// unread reports whether a cell could not be read, so that nothing follows from its blank.
func (c *checker) unread(sheet string, row int, headings ...string) bool {
	for _, h := range headings {
		if _, bad := c.place(sheet, row, h); bad {
			return true
		}
	}
	return false
}

var hundred = decimal.New(100, 0)

// percent checks that a chance is 0 to 100.
func (c *checker) percent(sheet string, row int, heading string, d planner.Decimal) {
	if d != nil && d.GreaterThan(hundred) {
		c.say(sheet, row, heading, "a chance of 0 to 100 %")
	}
}

func (c *checker) currency(sheet string, row int, code string) {
	if _, ok := CurrencyDecimals(code); code != "" && !ok {
		c.say(sheet, row, "currency", "a currency code of ISO 4217, such as EUR")
	}
}

func (c *checker) country(sheet string, row int, code string) {
	if code != "" && !countryCodes[code] {
		c.say(sheet, row, "country", "a country code of ISO 3166 with two letters, such as AT")
	}
}

// above checks that a number, if there is one, is above zero.
func (c *checker) above(sheet string, row int, heading string, d planner.Decimal) {
	if d != nil && d.Sign() <= 0 {
		c.say(sheet, row, heading, "a number above zero")
	}
}

// some checks that a quantity, if there is one, is above zero.
func (c *checker) some(sheet string, row int, heading string, q *units.Quantity) {
	if q != nil && *q <= 0 {
		c.say(sheet, row, heading, "a quantity above zero")
	}
}

// loops finds the rows of a tree that are their own ancestors; parent returns the row
// above, -1 for none. Each loop is told once, at its first row.
func loops(n int, parent func(row int) int) []int {
	const (
		unseen = iota
		onPath
		done
	)
	state := make([]uint8, n)
	var found []int
	for i := range n {
		var path []int
		at := i
		for at >= 0 && state[at] == unseen {
			state[at] = onPath
			path = append(path, at)
			at = parent(at)
		}
		if at >= 0 && state[at] == onPath {
			first := at
			for on := parent(at); on != at; on = parent(on) {
				first = min(first, on)
			}
			found = append(found, first)
		}
		for _, p := range path {
			state[p] = done
		}
	}
	return found
}

// sprint is fmt.Sprintf; the checks word what they expect with it.
func sprint(format string, args ...any) string { return fmt.Sprintf(format, args...) }
