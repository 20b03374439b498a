package workbook

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Fault is one thing that is wrong in a workbook: where, what was found and what was
// expected. Its String is one line for the person who has to mend it.
type Fault struct {
	File    string // season.xlsx or demo/stock.csv
	CSV     bool   // File is one sheet of a folder of CSV files
	Sheet   string
	Row     int    // as a person sees it, from 1; 0: the sheet as a whole
	Letter  string // column letter of a spreadsheet, "" if not known
	Heading string // of the column, "" for the row as a whole
	// Found is what stood there; it is shown in quotes. "" is shown as a blank.
	Found    string
	Expected string
	// Said replaces found and expected where they do not fit.
	Said string
}

// String words the fault:
//
//	season.xlsx, sheet stock, E14 (quantity): found "1,5 btl", expected a number with ml or L, such as 1.5 L
//	demo/stock.csv, line 14, column quantity: found "1,5 btl", expected a number with ml or L, such as 1.5 L
func (f Fault) String() string {
	var b strings.Builder
	b.WriteString(f.place())
	b.WriteString(": ")
	switch {
	case f.Said != "":
		b.WriteString(f.Said)
	case f.Found == "":
		b.WriteString("found a blank, expected " + f.Expected)
	default:
		b.WriteString("found " + quote(f.Found) + ", expected " + f.Expected)
	}
	return b.String()
}

func (f Fault) place() string {
	var parts []string
	if f.File != "" {
		parts = append(parts, f.File)
	}
	if f.CSV {
		if f.Row > 0 {
			parts = append(parts, "line "+strconv.Itoa(f.Row))
		}
		if f.Heading != "" {
			parts = append(parts, "column "+f.Heading)
		}
		return strings.Join(parts, ", ")
	}
	if f.Sheet != "" {
		parts = append(parts, "sheet "+f.Sheet)
	}
	switch {
	case f.Letter != "" && f.Row > 0:
		cell := f.Letter + strconv.Itoa(f.Row)
		if f.Heading != "" {
			cell += " (" + f.Heading + ")"
		}
		parts = append(parts, cell)
	case f.Letter != "":
		parts = append(parts, "column "+f.Letter+" ("+f.Heading+")")
	default:
		if f.Row > 0 {
			parts = append(parts, "row "+strconv.Itoa(f.Row))
		}
		if f.Heading != "" {
			parts = append(parts, "column "+f.Heading)
		}
	}
	return strings.Join(parts, ", ")
}

// longestFound is how much of a cell is repeated to the person.
const longestFound = 60

// quote shows a cell's text on one line, cut where it is long.
func quote(text string) string {
	if r := []rune(text); len(r) > longestFound {
		text = string(r[:longestFound]) + "..."
	}
	return strconv.Quote(text)
}

// Faults is every fault of a workbook at once. As an error it is one line a fault.
type Faults []Fault

// shownFaults is how many faults are printed: more than anyone mends in one go.
const shownFaults = 200

// keptFaults bounds the memory that a wrong file can take.
const keptFaults = 10_000

// Lines returns one line a fault, at most 200 and then how many more there are.
func (f Faults) Lines() []string {
	lines := make([]string, 0, min(len(f), shownFaults+1))
	for i := range f[:min(len(f), shownFaults)] {
		lines = append(lines, f[i].String())
	}
	if more := len(f) - shownFaults; more > 0 {
		lines = append(lines, fmt.Sprintf("and %d more", more))
	}
	return lines
}

// Error joins the lines, so that a reader of files can return faults as an error.
func (f Faults) Error() string { return strings.Join(f.Lines(), "\n") }

// sorted orders the faults by sheet, in the order of the workbook, and by row.
func (f Faults) sorted() Faults {
	rank := make(map[string]int, len(layout))
	for i, s := range layout {
		rank[s.Name] = i
	}
	slices.SortStableFunc(f, func(a, b Fault) int {
		if a.Sheet != b.Sheet {
			return rank[a.Sheet] - rank[b.Sheet]
		}
		return a.Row - b.Row
	})
	return f
}

// ColumnLetter returns the letters of a spreadsheet column: 0 is A, 26 is AA.
func ColumnLetter(index int) string {
	var letters []byte
	for n := index + 1; n > 0; n = (n - 1) / 26 {
		letters = append(letters, byte('A'+(n-1)%26))
	}
	slices.Reverse(letters)
	return string(letters)
}
