package workbook

import (
	"fmt"
	"strings"
)

// exampleMark is what the notes of an example row say.
const exampleMark = "example"

// examples is one row a sheet for a new workbook, of the invented season: it shows how a
// row is written. In the order of the sheet's columns, but for notes.
var examples = map[string][]string{
	"season":          {"2027", "Gravity season 2027", "Copperwren Gravity Team", "Hallenmoor", "AT", "Europe/Vienna", "EUR", "2027-02-08", "2027-10-15", "95", "1", "20", "2"},
	"parts":           {"OIL-B68", "bath oil, 68 cSt", "oil", "ml", "1 l bottle", "1000", "92", "", "1270", "", "60", "12", "no", "no", "no", "yes", "", "T-L01", "W-A3", "500", "2710.19", "GB"},
	"services":        {"FSS", "full fork seal service", "fork", "60", "yes", "spring under load: follow the maker's manual"},
	"service-lines":   {"FSS", "OIL-B68", "", "", "32", "40", "48", "8", "", "", "", "", "", "", "", ""},
	"rounds":          {"SER", "Serra Quillana", "race", "", "2027-04-22", "2027-04-25", "IT", "EUR", "3", "20", "4", "3", "1", "", ""},
	"planned-jobs":    {"SER", "FSS", "", "8"},
	"stock":           {"W-A3", "OIL-B68", "", "", "2500", "ml", "2027-02-08", ""},
	"people":          {"u1", "Dunja Felsch", "mechanic"},
	"riders":          {"YM", "Ysolde Marrick", "68"},
	"models":          {"FK40", "40 mm double-crown coil fork", "fork"},
	"assemblies":      {"F01", "FK40", "YM", "YM-A", "OIL-D10", "0", "yes"},
	"spring-choices":  {"YM", "FK40", "SPF-67", "100", "100", "85", "50", "15"},
	"trips":           {"TR-SER", "Serra", "truck", "truck", "2027-04-20", "2027-04-20", "2027-04-27", "", "no", "900", "5200", ""},
	"top-ups":         {"TR-ALP", "2027-06-07", "KAR", "workshop", "van", "60"},
	"unplanned-rates": {"CRA", "0.11", "", "", "1.3"},
	"liquids":         {"OIL-B68", "20W", "68", "10.4", "0.872"},
	"springs":         {"SPF-67", "FK40", "38", "lb/in", "0.01"},
	"kit-contents":    {"KIT-DMP40", "ORG-CR", "2"},
	"alternatives":    {"CRW-10", "CRW-10C", "1"},
	"suppliers":       {"SRN", "Sarnbeck Seals", "SE", "EUR", "Tuesday", "12:00", "120.00", "14.00", "", "", "", ""},
	"offers":          {"SRN", "WIP-40", "1", "S-4010-W", "10", "pc", "68.00", "EUR", "1", "9", "13"},
	"price-breaks":    {"SRN", "WIP-40", "5", "63.20", "all packs"},
	"closures":        {"SRN", "2027-07-05", "2027-07-25"},
	"collections":     {"VEL", "SER"},
	"allocations":     {"VEL", "KIT-DMP40", "36", "pc", "55", "2027-01-01", "2027-12-31"},
	"places":          {"W-A3", "fluids and shop goods", "workshop", "drawer"},
	"cases":           {"FC-1", "23", "5.20", "", "62", "air", "liquids"},
	"lots":            {"LT-0044", "OIL-B68", "QLM", "", "", "2027-01-12", "2032-01-12", "4000", "ml", "96.00", "GBP", "", "no"},
	"tags":            {"B-101", "LT-0044", "OIL-B68", "92", "1000", "2027-03-11", "", ""},
	"orders":          {"PO-006", "SRN", "2027-03-30", "2027-04-12", "workshop", "", "placed", "14.00", "", "", "EUR"},
	"order-lines":     {"PO-006", "WIP-40", "6", "60", "pc", "68.00"},
	"job-log":         {"J-0001", "2027-02-10 08:00", "u1", "SER", "FSS", "F01", "", "", "", ""},
	"job-parts":       {"J-0001", "OIL-B68", "LT-0044", "B-102", "W-A3", "used", "43.2", "ml"},
	"movements":       {"M-0001", "2027-02-26 10:00", "u3", "WIP-40", "LT-0001", "", "T-D01", "FC-1", "20", "pc", "pack", "TR-PEL", "", "", "", ""},
	"counts":          {"C-001", "2027-06-01 09:00", "u5", "truck", "WIP-40", "34", "pc", "", ""},
	"weighings":       {"G-001", "2027-06-01 11:00", "u1", "B-111", "400", "20", "", ""},
	"budget":          {"parts", "", "5200.00", "EUR"},
	"charges":         {"CH-001", "2027-02-19", "customs lists and agents", "PEL", "", "212.00", "EUR"},
	"exchange-rates":  {"GBP", "2027-01-01", "1.16"},
}

// Example returns the example row of a sheet, one value a column. Load takes no notice of
// it as long as it is left as it is.
func Example(sheet string) []Value {
	s := byName[sheet]
	if s == nil {
		return nil
	}
	row := make([]Value, len(s.Columns))
	for i, c := range s.Columns {
		text := exampleMark
		if i != s.notes {
			text = s.example(i)
		}
		row[i] = Value{text, valueType(c, text)}
	}
	return row
}

// example returns the example of a column; notes stand last in every sheet.
func (s *Sheet) example(column int) string {
	if texts := examples[s.Name]; column < len(texts) {
		return texts[column]
	}
	return ""
}

func valueType(c Column, text string) ValueType {
	if text == "" {
		return ValueBlank
	}
	switch c.Kind {
	case Number, Percent, Whole, Quantity, Mass:
		return ValueNumber
	case Date:
		return ValueDate
	case Time:
		return ValueTime
	case DateTime:
		if len(text) == 10 {
			return ValueDate
		}
		return ValueTime
	}
	return ValueText
}

// isExample reports whether a row is the example row of a new workbook. One that was
// changed is a fault: whether it is meant nobody can know.
func (r *sheetReader) isExample(row Row) bool {
	if r.notes < 0 {
		return false
	}
	at := r.here.columns[r.notes]
	if _, text := cellText(row, at); !strings.EqualFold(text, exampleMark) {
		return false
	}
	for i := range r.Columns {
		if i == r.notes || r.here.columns[i] < 0 {
			continue
		}
		given, text := cellText(row, r.here.columns[i])
		if want := r.example(i); text != want && r.asExample(given, text, &r.Columns[i]) != want {
			f := r.at(row.Number, at, "notes", exampleMark, "")
			f.Said = fmt.Sprintf("found an example row whose %s was changed, expected the word %q taken out of its notes, or the row deleted",
				r.Columns[i].Heading, exampleMark)
			r.fault(f)
			return true
		}
	}
	return true
}

// asExample writes a cell as an example is written: a spreadsheet keeps dates and numbers
// in its own way.
func (r *sheetReader) asExample(given Cell, text string, c *Column) string {
	switch c.Kind {
	case Date, DateTime:
		if d, expected := r.date(given, text); expected == "" {
			return d.String()
		}
	case Time:
		if t, expected := r.time(given, text, false); expected == "" {
			return t.In(r.zone).Format("2006-01-02 15:04")
		}
	case Number, Percent, Quantity, Mass:
		if d, expected := parseDecimal(text); expected == "" {
			for places := int32(0); places <= 3; places++ {
				if want := d.StringFixed(places); d.Equal(d.Round(places)) && r.isExampleText(c, want) {
					return want
				}
			}
		}
	case Clock:
		if clock, expected := r.clock(given, text); expected == "" {
			return clock
		}
	}
	return text
}

func (r *sheetReader) isExampleText(c *Column, text string) bool {
	return r.example(r.columnOf(c.Heading)) == text
}
