package workbook

import (
	"reflect"
	"slices"
	"strings"
	"time"
	"unicode"

	"roundkit/planner"
	"roundkit/planner/units"
)

// Parsed is what a workbook says, and where it says it.
type Parsed struct {
	Book  planner.Book
	Zone  *time.Location // of the season, in the file or known before
	Notes []string       // what was left out or understood, one line each

	file   string // or folder
	sheets map[string]*present
}

// present is a sheet that the workbook has.
type present struct {
	file    string
	csv     bool
	columns []int   // by layout column: its position in the sheet, -1 where it lacks it
	given   []bool  // by layout column: whether the sheet says anything about it
	lines   []int32 // by row of the book: the row in the sheet
	bad     map[cellAt]bool
	bare    []bool // stock: by row of the book, whether it has a date without a time
}

// cellAt is one cell of a row of the book.
type cellAt struct{ row, column int }

// Has reports whether the workbook has the sheet. A sheet it lacks is untouched.
func (p *Parsed) Has(sheet string) bool { return p.sheets[sheet] != nil }

// Line returns the row of the sheet that the index-th row of the book came from, 0 if it
// came from no row.
func (p *Parsed) Line(sheet string, index int) int {
	if s := p.sheets[sheet]; s != nil && index >= 0 && index < len(s.lines) {
		return int(s.lines[index])
	}
	return 0
}

// headingRows is how far down the heading may stand: titles come above it.
const headingRows = 20

// Parse reads the rows of a workbook into a book. old is what is known already (nil for
// nothing): parts whose unit, services whose column and the season whose zone the workbook
// does not have itself. Rows with faults are in the book too, the faulty cells blank, so
// that every fault is found at once.
func Parse(in Input, old *planner.Book) (Parsed, Faults) {
	if old == nil {
		old = &planner.Book{}
	}
	p := &parser{
		in: &in, date1904: in.Date1904, zone: time.UTC,
		parsed:    Parsed{file: in.Name, sheets: map[string]*present{}, Notes: slices.Clone(in.Notes)},
		factors:   map[measureKey]int64{},
		times:     map[string]timeRead{},
		partUnits: make(map[string]units.Unit, len(old.Parts)),
		services:  map[string]bool{}, assemblies: map[string]bool{},
	}
	p.know(old)
	for _, name := range []string{"season", "parts", "services", "assemblies"} {
		p.sheet(byName[name])
		p.learn(name)
	}
	for _, s := range layout {
		if p.parsed.sheets[s.Name] == nil {
			p.sheet(s)
		}
	}
	p.parsed.Zone = p.zone
	return p.parsed, p.faults.sorted()
}

type parser struct {
	in       *Input
	parsed   Parsed
	faults   Faults
	date1904 bool
	zone     *time.Location

	factors    map[measureKey]int64
	times      map[string]timeRead
	partUnits  map[string]units.Unit
	services   map[string]bool
	assemblies map[string]bool
}

// timeRead is a time cell read before: the days of a stock sheet are a few, 20,000 times.
type timeRead struct {
	at       time.Time
	expected string
}

// know takes over what other cells need from the book there is.
func (p *parser) know(old *planner.Book) {
	for _, part := range old.Parts {
		p.partUnits[part.Code] = part.Unit
	}
	for _, s := range old.Services {
		p.services[s.Code] = true
	}
	for _, a := range old.Assemblies {
		p.assemblies[a.Code] = true
	}
	if len(old.Season) > 0 {
		if zone, err := loadZone(p.in, old.Season[0].TimeZone); err == nil {
			p.zone = zone
		}
	}
}

// learn takes over what later sheets need from one just read.
func (p *parser) learn(sheet string) {
	b := &p.parsed.Book
	switch sheet {
	case "season":
		if len(b.Season) > 0 && b.Season[0].TimeZone != "" {
			if zone, err := loadZone(p.in, b.Season[0].TimeZone); err == nil {
				p.zone = zone
			}
		}
	case "parts":
		for _, part := range b.Parts {
			if part.Unit != "" && part.Code != "" {
				p.partUnits[part.Code] = part.Unit
			}
		}
	case "services":
		for _, s := range b.Services {
			p.services[s.Code] = true
		}
	case "assemblies":
		for _, a := range b.Assemblies {
			p.assemblies[a.Code] = true
		}
	}
}

// loadZone finds a zone by its IANA name; "Local" and a blank are none.
func loadZone(in *Input, name string) (*time.Location, error) {
	if in.Zone == nil || name == "" || name == "Local" {
		if name == "UTC" {
			return time.UTC, nil
		}
		return nil, errNoZone
	}
	return in.Zone(name)
}

// sheet reads one sheet, if the workbook has it.
func (p *parser) sheet(s *Sheet) {
	given := p.in.findSheet(s.Name)
	if given == nil {
		return
	}
	r := &sheetReader{parser: p, Sheet: s, given: given}
	r.here = &present{file: p.in.Name, columns: make([]int, len(s.Columns)), given: make([]bool, len(s.Columns)), bad: map[cellAt]bool{}}
	if given.File != "" {
		r.here.file, r.here.csv = given.File, true
	}
	if !r.heading() {
		if r.untouched {
			return
		}
		p.parsed.sheets[s.Name] = r.here
		return
	}
	if r.rows(); r.untouched {
		return
	}
	p.parsed.sheets[s.Name] = r.here
}

func (p *parser) fault(f Fault) {
	if len(p.faults) < keptFaults {
		p.faults = append(p.faults, f)
	}
}

// clean trims a cell: people leave spaces before, behind and around.
func clean(text string) string {
	if text == "" || len(text) > longestCell {
		return text
	}
	if first, last := text[0], text[len(text)-1]; first > ' ' && first < 0x80 && last > ' ' && last < 0x80 {
		return text
	}
	return strings.TrimFunc(text, func(r rune) bool {
		return unicode.IsSpace(r) || r == '\ufeff' || r == '\u200b'
	})
}

// headingKey makes headings comparable: case, spaces and the space before % do not matter.
func headingKey(text string) string {
	if len(text) > longestCell {
		return ""
	}
	text = strings.ToLower(strings.Join(strings.Fields(strings.ReplaceAll(text, "%", " % ")), " "))
	return strings.ReplaceAll(text, "*", "")
}

// fieldString returns the text of a field of a row by the field's name.
func fieldString(row reflect.Value, name string) string { return row.FieldByName(name).String() }
