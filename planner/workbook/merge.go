package workbook

import (
	"fmt"
	"reflect"

	"roundkit/planner"
	"roundkit/planner/units"
)

// merger lays a parsed workbook over the book there is.
type merger struct {
	parsed *Parsed
	old    *planner.Book
	out    *planner.Book
	from   map[string][]int // by sheet and row of out: the row of the parsed book, or -1
	faults Faults
	counts map[countAt]int           // stock rows known, by all but their lot
	splits map[string]units.Quantity // movements known, by the code before a slash
}

// merge does it sheet by sheet. A sheet that the workbook lacks is untouched.
func (m *merger) merge() {
	for _, s := range layout {
		was, now := s.rows(m.old), s.rows(m.out)
		if !m.parsed.Has(s.Name) {
			now.Set(was)
			m.from[s.Name] = minusOnes(was.Len())
			continue
		}
		m.neededOfNew(s)
		if was.Len() == 0 && (s.Name != "job-parts" || len(m.old.Jobs) == 0) { // nothing to lay it over: the file's rows themselves
			file := s.rows(&m.parsed.Book)
			now.Set(file.Slice3(0, file.Len(), file.Len()))
			m.from[s.Name] = inOrder(file.Len())
			continue
		}
		switch {
		case s.Name == "service-lines":
			m.serviceLines(s)
		case s.Name == "job-parts":
			m.jobParts(s)
		case s.Rule == ByKey:
			m.byKey(s)
		case s.Rule == WholeTruth:
			m.wholeTruth(s)
		default:
			m.onlyAdded(s)
		}
	}
}

func inOrder(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func minusOnes(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = -1
	}
	return out
}

// has reports whether the workbook says anything about a column.
func (p *present) has(column int) bool { return p.given[column] }

// keyIndex maps the keys of the rows to their indexes; of a key that stands twice, the first.
func (s *Sheet) keyIndex(rows reflect.Value) map[string]int {
	index := make(map[string]int, rows.Len())
	for i := range rows.Len() {
		key := s.keyOf(rows.Index(i))
		if _, twice := index[key]; !twice {
			index[key] = i
		}
	}
	return index
}

// fill takes the columns that the workbook lacks from the row known before.
func (m *merger) fill(s *Sheet, row, was reflect.Value) {
	here := m.parsed.sheets[s.Name]
	for i, c := range s.Columns {
		if c.field >= 0 && !here.has(i) {
			row.Field(c.field).Set(was.Field(c.field))
		}
	}
}

func (m *merger) append(s *Sheet, row reflect.Value, parsedIndex int) reflect.Value {
	now := s.rows(m.out)
	now.Set(reflect.Append(now, row))
	m.from[s.Name] = append(m.from[s.Name], parsedIndex)
	return now.Index(now.Len() - 1)
}

// start gives the merged sheet room, so that appending does not move it again and again.
func (m *merger) start(s *Sheet, capacity int) {
	now := s.rows(m.out)
	now.Set(reflect.MakeSlice(now.Type(), 0, capacity))
	m.from[s.Name] = make([]int, 0, capacity)
}

// byKey updates the catalogue: what the workbook lacks stays as it is.
func (m *merger) byKey(s *Sheet) {
	was, file := s.rows(m.old), s.rows(&m.parsed.Book)
	m.start(s, was.Len()+file.Len())
	for i := range was.Len() {
		m.append(s, was.Index(i), -1)
	}
	known := s.keyIndex(was)
	for i := range file.Len() {
		at, ok := known[s.keyOf(file.Index(i))]
		if !ok {
			m.append(s, file.Index(i), i)
			continue
		}
		row := s.rows(m.out).Index(at)
		row.Set(file.Index(i))
		m.fill(s, row, was.Index(at))
		m.from[s.Name][at] = i
	}
}

// wholeTruth takes the rows of the workbook; what it lacks is gone.
func (m *merger) wholeTruth(s *Sheet) {
	was, file := s.rows(m.old), s.rows(&m.parsed.Book)
	m.start(s, file.Len())
	known := s.keyIndex(was)
	for i := range file.Len() {
		row := m.append(s, file.Index(i), i)
		if at, ok := known[s.keyOf(row)]; ok {
			m.fill(s, row, was.Index(at))
		}
	}
	if s.Name == "season" && was.Len() > 0 && file.Len() > 0 {
		if before, after := m.old.Season[0].Code, m.parsed.Book.Season[0].Code; before != after && after != "" {
			f := m.parsed.fault("season", 0, "season")
			f.Found, f.Expected = after, before+", the season it is loaded over"
			m.faults = append(m.faults, f)
		}
	}
}

// serviceLines takes the lines of each service that the sheet names as the whole truth of
// that service; the lines of other services stay.
func (m *merger) serviceLines(s *Sheet) {
	file := m.parsed.Book.ServiceLines
	named := map[string]bool{}
	for _, l := range file {
		named[l.Service] = true
	}
	m.start(s, len(m.old.ServiceLines)+len(file))
	type line struct {
		service, part, own string
		nth                int
	}
	seen, was := map[line]int{}, map[line]int{}
	for i, l := range m.old.ServiceLines {
		if !named[l.Service] {
			m.append(s, reflect.ValueOf(&m.old.ServiceLines[i]).Elem(), -1)
		}
		key := line{service: l.Service, part: l.Part, own: l.OwnPart}
		seen[key]++
		key.nth = seen[key]
		was[key] = i
	}
	clear(seen)
	for i, l := range file {
		row := m.append(s, reflect.ValueOf(&file[i]).Elem(), i)
		key := line{service: l.Service, part: l.Part, own: l.OwnPart}
		seen[key]++
		key.nth = seen[key]
		if at, ok := was[key]; ok {
			m.fill(s, row, reflect.ValueOf(&m.old.ServiceLines[at]).Elem())
		}
	}
}

// neededOfNew refuses a new row where a needed column is missing altogether: of a row that
// is known the old value stays.
func (m *merger) neededOfNew(s *Sheet) {
	here := m.parsed.sheets[s.Name]
	var known map[string]int
	for i, c := range s.Columns {
		if !c.Needed || c.Key || here.has(i) || s.Keyless() && i == 0 || c.field < 0 {
			continue
		}
		if known == nil && !s.Keyless() {
			known = s.keyIndex(s.rows(m.old))
		}
		file := s.rows(&m.parsed.Book)
		for j := range file.Len() {
			if _, ok := known[s.keyOf(file.Index(j))]; ok && !s.Keyless() {
				continue
			}
			m.faults = append(m.faults, Fault{File: here.file, CSV: here.csv, Sheet: s.Name,
				Said: fmt.Sprintf("found no column %s, expected one: %s is new", c.Heading, s.keyText(file.Index(j), m.parsed.Zone))})
			break
		}
	}
}

// fault places a fault in a cell of the parsed book.
func (p *Parsed) fault(sheet string, row int, heading string) Fault {
	f := Fault{Sheet: sheet, Heading: heading}
	here, s := p.sheets[sheet], byName[sheet]
	if here == nil || row < 0 {
		return f
	}
	f.File, f.CSV, f.Row = here.file, here.csv, p.Line(sheet, row)
	if i := s.columnOf(heading); i >= 0 && here.columns[i] >= 0 && !here.csv {
		f.Letter = ColumnLetter(here.columns[i])
	}
	return f
}
