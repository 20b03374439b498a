package workbook_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/workbook"
)

// TestStays: a row deleted from a sheet of the catalogue is named, for it stays; a sheet that the
// workbook lacks, and a plan, whose rows go, are not.
func TestStays(t *testing.T) {
	t.Parallel()
	old := newSeason(t).load()
	require.Empty(t, old.Stays())
	s := newSeason(t)
	s.set("liquids", 2, "part", "OIL-D")
	s.drop("people", 2)
	s.add("people", "u2|Ravi|mechanic")
	s.drop("price-breaks", 3)
	s.sheets["riders"] = nil
	l, faults := workbook.Load(s.input(), &old.Merged)
	require.Empty(t, faults.Lines())
	require.Equal(t, []string{"people: not in the file, and stays: u1", "liquids: not in the file, and stays: OIL-A"}, l.Stays())
}

// TestLoadOverALivingBook: the rules of loading, one change each, over the small season.
// want is what --dry-run prints, or the fault.
func TestLoadOverALivingBook(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		do     func(*season)
		change []string
		fault  []string
	}{
		{name: "the same again", do: func(*season) {}},
		{name: "a missing sheet is untouched", do: func(s *season) { s.sheets["offers"], s.sheets["lots"], s.sheets["rounds"] = nil, nil, nil }},
		{name: "a missing column is untouched", do: func(s *season) { s.set("parts", 1, "home in workshop", "where") }},
		{name: "a missing needed column is untouched where the row is known", do: func(s *season) { s.set("parts", 1, "kind", "sort") }},
		{name: "68 is 68.00", do: func(s *season) { s.set("offers", 2, "price per pack", "68") }},
		{name: "a blank cell is blank", do: func(s *season) { s.set("riders", 2, "kitted mass kg", "") },
			change: []string{"riders: changed YM: kitted mass kg 68 to blank"}},
		{name: "the catalogue is updated by key", do: func(s *season) { s.set("people", 2, "role", "manager"); s.add("people", "u2|Ravi|mechanic") },
			change: []string{"people: changed u1: role mechanic to manager", "people: added u2"}},
		{name: "a row that the catalogue lacks stays", do: func(s *season) { s.drop("people", 2); s.add("people", "u2|Ravi|mechanic") },
			change: []string{"people: added u2"}},
		{name: "a row gone from a plan is removed", do: func(s *season) { s.drop("price-breaks", 3) },
			change: []string{"price-breaks: removed SRN, SEAL, 10"}},
		{name: "a heading alone is an empty list", do: func(s *season) { s.drop("collections", 2) },
			change: []string{"collections: removed SRN, SER"}},
		{name: "a plan changed", do: func(s *season) { s.set("rounds", 3, "wet chance %", "40") },
			change: []string{"rounds: changed KAR: wet chance % 35 to 40"}},
		{name: "the trip of a round without one goes with it", do: func(s *season) { s.sheets["trips"] = nil; s.drop("rounds", 3); s.drop("planned-jobs", 4) },
			change: []string{"rounds: removed KAR", "planned-jobs: removed KAR, WSH", "trips: removed KAR"}},
		{name: "and moves with it", do: func(s *season) { s.set("rounds", 3, "first day", "2027-06-09") },
			change: []string{"rounds: changed KAR: first day 2027-06-10 to 2027-06-09", "trips: changed KAR: pack by 2027-06-10 to 2027-06-09"}},
		{name: "a round that history is of", do: func(s *season) {
			s.drop("rounds", 2)
			s.drop("planned-jobs", 2)
			s.drop("planned-jobs", 2)
			s.drop("top-ups", 2)
			s.drop("collections", 2)
		}, fault: []string{
			"season.xlsx, sheet rounds: found no row for SER, expected it to stay: charges CH1 refers to it",
			`season.xlsx, sheet job-log, D2 (round): found "SER", expected a round of the sheet rounds`,
			`season.xlsx, sheet charges, D2 (round): found "SER", expected a round of the sheet rounds`,
		}},
		{name: "the lines of a service are the whole truth of it", do: func(s *season) {
			s.sheets["service-lines"] = nil
			s.add("service-lines", "service|part|quantity|min|typical|max|allowance %|chance dry %|chance wet %")
			s.add("service-lines", "FSS|SEAL|2")
			s.add("service-lines", "FSS|OIL-A||30|40|48|8")
		}, change: []string{
			"service-lines: removed FSS, OIL-A, min 32, typical 40, max 48, allowance % 8",
			"service-lines: removed FSS, RING, quantity 1, chance dry % 25, chance wet % 70",
			"service-lines: added FSS, OIL-A, min 30, typical 40, max 48, allowance % 8",
		}},
		{name: "history is added to", do: func(s *season) { s.add("job-log", "J2|2027-04-24 08:00|u1|SER|WSH|B-A||") },
			change: []string{"job-log: added J2"}},
		{name: "history stays", do: func(s *season) { s.drop("movements", 3) }},
		{name: "history is not rewritten", do: func(s *season) { s.set("movements", 3, "quantity", "3") },
			fault: []string{"season.xlsx, sheet movements, I3 (quantity): logged with 4, file says 3: undo and log again"}},
		{name: "nor is a job", do: func(s *season) { s.set("job-log", 2, "assembly", "F02") },
			fault: []string{"season.xlsx, sheet job-log, F2 (assembly): logged with F01, file says F02: undo and log again"}},
		{name: "nor are its parts", do: func(s *season) { s.set("job-parts", 3, "quantity", "41") },
			fault: []string{"season.xlsx, sheet job-parts, G3 (quantity): logged with 40.5, file says 41: undo and log again"}},
		{name: "nor can one be added", do: func(s *season) { s.add("job-parts", "J1|RING|||W1|used|1|pc") },
			fault: []string{"season.xlsx, sheet job-parts, G4 (quantity): logged with 0, file says 1: undo and log again"}},
		{name: "parts whose lot is left to the ledger are the same", do: func(s *season) {
			s.set("job-parts", 3, "lot", "")
			s.set("job-parts", 3, "tag", "")
		}},
		{name: "undone later", do: func(s *season) {
			s.set("job-log", 2, "undone at", "2027-04-23 09:00")
			s.set("job-log", 2, "undone by", "u1")
		}, change: []string{"job-log: changed J1: undone at blank to 2027-04-23 09:00, undone by blank to u1"}},
		{name: "opened later", do: func(s *season) { s.set("tags", 3, "opened on", "2027-03-01") },
			change: []string{"tags: changed B1: opened on blank to 2027-03-01"}},
		{name: "a file older than the book keeps the book", do: func(s *season) {
			s.set("orders", 2, "arrived", "")
			s.set("orders", 2, "state", "placed")
			s.set("counts", 2, "book", "")
		}},
		{name: "stock corrects its count", do: func(s *season) { s.set("stock", 3, "quantity", "41") },
			change: []string{"stock: changed W1, SEAL, L1, 2027-02-08: quantity 40 to 41"}},
		{name: "absent stock changes nothing", do: func(s *season) { s.drop("stock", 3) }},
		{name: "the unit of a part with stock stays", do: func(s *season) {
			s.set("parts", 9, "unit", "ml")
			s.set("parts", 2, "unit", "g")
			s.drop("liquids", 2)
		}, fault: []string{
			`season.xlsx, sheet parts, D2 (unit): found "g", expected ml: its stock is kept in that`,
			`season.xlsx, sheet stock, F2 (unit): found "ml", expected g or kg: the part is counted in g`,
			`season.xlsx, sheet liquids, column part: found "OIL-A", expected a part counted in ml (OIL-A)`,
		}},
		{name: "another season", do: func(s *season) { s.set("season", 2, "season", "2028") },
			fault: []string{`season.xlsx, sheet season, A2 (season): found "2028", expected 2027, the season it is loaded over`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			old := newSeason(t).load()
			s := newSeason(t)
			c.do(s)
			l, faults := workbook.Load(s.input(), &old.Merged)
			require.Equal(t, c.fault, nilIfNone(faults.Lines()))
			if c.fault == nil {
				require.Equal(t, c.change, nilIfNone(l.Changes.Lines()))
			}
		})
	}
}

func nilIfNone(lines []string) []string {
	if len(lines) == 0 {
		return nil
	}
	return lines
}

// TestNewFirst: rows of a new book are counted by sheet where they are many.
func TestNewFirst(t *testing.T) {
	t.Parallel()
	s := newSeason(t)
	for _, code := range []string{"A", "B", "C", "D", "E", "F", "G", "H", "I", "J", "K", "L"} {
		s.add("people", code+"|someone|mechanic")
	}
	l := s.load()
	require.Contains(t, l.Changes.Lines(), "people: added 13 rows")
	require.Contains(t, l.Changes.Lines(), "trips: added KAR")
	require.Equal(t, 2, l.Line("people", 0))
	require.Equal(t, 0, l.Line("trips", 1), "made by the load")
}
