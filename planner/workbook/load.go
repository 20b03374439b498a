package workbook

import (
	"fmt"
	"slices"
	"strings"

	"roundkit/planner"
)

// Loaded is a workbook laid over what was known: the book as it would be, and what that
// changes.
type Loaded struct {
	Parsed
	Old     planner.Book
	Merged  planner.Book // of the season, complete and checked
	Changes Changes      // none: the workbook says nothing new

	from map[string][]int
}

// Season returns the code of the season that a workbook is of, so that a caller can fetch
// what is known of it; "" if it does not say.
func Season(in Input) string {
	one := Input{Name: in.Name, Zone: in.Zone}
	if s := in.findSheet("season"); s != nil {
		one.Sheets = []Sheetful{*s}
	}
	parsed, _ := Parse(one, nil)
	if len(parsed.Book.Season) == 0 {
		return ""
	}
	return parsed.Book.Season[0].Code
}

// Load reads a workbook over what is known of its season (nil for nothing yet): Parse,
// merge by the rules of each sheet, Complete, Check. With faults nothing of it may be
// stored; they are all there are, by sheet and row.
func Load(in Input, old *planner.Book) (Loaded, Faults) {
	if old == nil {
		old = &planner.Book{}
	}
	parsed, faults := Parse(in, old)
	l := Loaded{Parsed: parsed, Old: *old, from: make(map[string][]int, len(layout))}
	m := merger{parsed: &l.Parsed, old: old, out: &l.Merged, from: l.from}
	m.merge()
	faults = append(faults, m.faults...)
	l.own()
	l.dropHomeTrips()
	l.Notes = append(l.Notes, complete(&l.Merged, l.toldTrip())...)
	l.Changes = diff(old, &l.Merged, parsed.Zone, l.Line)
	faults = append(faults, l.removedFromUnderHistory()...)
	faults = append(faults, l.check(&in)...)
	return l, faults.sorted()
}

// own copies the sheets that completing writes to, where they are still the caller's.
func (l *Loaded) own() {
	l.Merged.Rounds = slices.Clone(l.Merged.Rounds)
	l.Merged.Trips = slices.Clone(l.Merged.Trips)
	l.Merged.Places = slices.Clone(l.Merged.Places)
	l.Merged.Stock = slices.Clone(l.Merged.Stock)
}

// toldTrip reports of a trip whether somebody said what it is: the workbook has a row for
// it, or it was known as something else than what its round alone implies.
func (l *Loaded) toldTrip() func(string) bool {
	told := map[string]bool{}
	for _, t := range l.Book.Trips {
		told[t.Code] = true
	}
	rounds := make(map[string]planner.Round, len(l.Old.Rounds))
	for _, r := range l.Old.Rounds {
		rounds[r.Code] = r
	}
	for _, t := range l.Old.Trips {
		r := rounds[t.Code]
		if t.GoesBy != "home" || t.PackBy == nil || *t.PackBy != r.FirstOn || t.Name != r.Name {
			told[t.Code] = true
		}
	}
	return func(trip string) bool { return told[trip] }
}

// dropHomeTrips takes away the trip that a round without one was, when the round is gone
// and the workbook says nothing of trips.
func (l *Loaded) dropHomeTrips() {
	if !l.Has("rounds") || l.Has("trips") {
		return
	}
	needed, gone := map[string]bool{}, map[string]bool{}
	for _, r := range l.Merged.Rounds {
		needed[r.Trip], needed[r.Code] = true, true
	}
	for _, r := range l.Old.Rounds {
		gone[r.Code] = r.Trip == r.Code && !needed[r.Code]
	}
	l.Merged.Trips = slices.DeleteFunc(l.Merged.Trips, func(t planner.Trip) bool {
		return gone[t.Code] && t.GoesBy == "home"
	})
	l.from["trips"] = minusOnes(len(l.Merged.Trips))
}

// Stays names the rows of the catalogue that the workbook's sheet lacks: they stay, though
// whoever deleted them from it may have meant them to go. A line a sheet.
func (l *Loaded) Stays() []string {
	const shown = 12
	var lines []string
	for _, s := range layout {
		if s.Rule != ByKey || !l.Has(s.Name) {
			continue
		}
		var keys []string
		rows := s.rows(&l.Merged)
		for i := range rows.Len() {
			if l.Row(s.Name, i) < 0 {
				keys = append(keys, s.keyText(rows.Index(i), l.Zone))
			}
		}
		switch n := len(keys); {
		case n == 0:
		case n > shown:
			lines = append(lines, fmt.Sprintf("%s: %d rows that the file lacks stay: %s and %d more", s.Name, n, strings.Join(keys[:shown], ", "), n-shown))
		default:
			lines = append(lines, fmt.Sprintf("%s: not in the file, and stays: %s", s.Name, strings.Join(keys, ", ")))
		}
	}
	return lines
}

// Row returns the row of the parsed book that a row of the merged book came from, -1 where
// the workbook does not have it.
func (l *Loaded) Row(sheet string, merged int) int {
	if from := l.from[sheet]; merged >= 0 && merged < len(from) {
		return from[merged]
	}
	return -1
}

// Line returns the row of the file that a row of the merged book came from, 0 for none.
func (l *Loaded) Line(sheet string, merged int) int {
	if row := l.Row(sheet, merged); row >= 0 {
		return l.Parsed.Line(sheet, row)
	}
	return 0
}

// Fault places a fault found later, by the ledger, in the cell of a row of the merged book.
// The caller fills Found and Expected, or Said.
func (l *Loaded) Fault(sheet string, merged int, heading string) Fault {
	f := l.Parsed.fault(sheet, l.Row(sheet, merged), heading)
	if f.Row == 0 {
		f.File, f.Heading = l.file, heading
	}
	return f
}

// removedFromUnderHistory refuses to remove what has happened already refers to.
func (l *Loaded) removedFromUnderHistory() Faults {
	by := map[string]string{}
	for _, j := range l.Merged.Jobs {
		by["rounds/"+j.Round] = "job-log " + j.Code
	}
	for _, c := range l.Merged.Charges {
		by["rounds/"+c.Round] = "charges " + c.Code
	}
	for _, m := range l.Merged.Movements {
		if m.Reason == "pack" || m.Reason == "return" {
			by["trips/"+m.Reference] = "movements " + m.Code
		}
	}
	var faults Faults
	for _, c := range l.Changes {
		if c.Kind != Removed {
			continue
		}
		if row := by[c.Sheet+"/"+c.Key]; row != "" {
			f := l.Fault(c.Sheet, -1, "")
			if here := l.sheets[c.Sheet]; here != nil {
				f.File, f.CSV = here.file, here.csv
			}
			f.Said = fmt.Sprintf("found no row for %s, expected it to stay: %s refers to it", c.Key, row)
			faults = append(faults, f)
		}
	}
	return faults
}
