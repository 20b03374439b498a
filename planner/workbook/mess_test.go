package workbook_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/planner/units"
	"roundkit/planner/workbook"
)

func number(text string) workbook.Cell {
	return workbook.Cell{Text: text, Type: workbook.CellNumber}
}

// TestMessIsUnderstood: what people and spreadsheets do to a workbook, one kind at a time,
// and the one thing it means. Serial dates: 2027-06-05 is 46543 (day 1 is 1900-01-01,
// 29 February 1900 counted; checked against a spreadsheet's DATEVALUE).
func TestMessIsUnderstood(t *testing.T) {
	t.Parallel()
	vienna, err := time.LoadLocation("Europe/Vienna")
	require.NoError(t, err)
	stock := func(l workbook.Loaded) units.Quantity { return l.Merged.Stock[0].Quantity }
	for _, c := range []struct {
		name string
		do   func(*season)
		get  func(workbook.Loaded) any
		want any
	}{
		{"litres in the cell", func(s *season) { s.set("stock", 2, "quantity", "2.5 L") }, func(l workbook.Loaded) any { return stock(l) }, units.Quantity(2_500_000)},
		{"litres with a decimal comma", func(s *season) { s.set("stock", 2, "quantity", "2,5 litre") }, func(l workbook.Loaded) any { return stock(l) }, units.Quantity(2_500_000)},
		{"cubic centimetres", func(s *season) { s.set("stock", 2, "quantity", "250 cc") }, func(l workbook.Loaded) any { return stock(l) }, units.Quantity(250_000)},
		{"litres in the unit column", func(s *season) { s.set("stock", 2, "quantity", "1,5"); s.set("stock", 2, "unit", "L") }, func(l workbook.Loaded) any { return stock(l) }, units.Quantity(1_500_000)},
		{"the cell's unit before the column's", func(s *season) { s.set("stock", 2, "quantity", "1 l"); s.set("stock", 2, "unit", "ml") }, func(l workbook.Loaded) any { return stock(l) }, units.Quantity(1_000_000)},
		{"no unit: the part's", func(s *season) { s.set("stock", 2, "unit", "") }, func(l workbook.Loaded) any { return stock(l) }, units.Quantity(2_500_000)},
		{"US quarts, rounded once (946.352946 ml: NIST SP 811)", func(s *season) { s.set("stock", 2, "quantity", "1 US qt") }, func(l workbook.Loaded) any { return stock(l) }, units.Quantity(946_353)},
		{"kilograms of grease", func(s *season) { s.set("service-lines", 10, "quantity", "0.002 kg") }, func(l workbook.Loaded) any { return *l.Merged.ServiceLines[8].Quantity }, units.Quantity(2000)},
		{"a unit column where none is usual", func(s *season) { s.set("service-lines", 3, "unit", "cl") }, nil, nil},
		{"a part counted in litres", func(s *season) { s.set("parts", 2, "unit", "L"); s.set("parts", 2, "contents", "1") }, func(l workbook.Loaded) any { return *l.Merged.Parts[0].Contents }, units.Quantity(1_000_000)},
		{"a tare in kilograms", func(s *season) { s.set("parts", 2, "tare g", "0.092 kg") }, func(l workbook.Loaded) any { return *l.Merged.Parts[0].TareMG }, units.Milligrams(92_000)},
		{"a limit in grams", func(s *season) { s.set("trips", 2, "limit kg", "900000 g") }, func(l workbook.Loaded) any { return l.Merged.Trips[0].LimitKG.String() }, "900"},
		{"a rate with its unit", func(s *season) { s.set("springs", 2, "rate", "38 lbs/in"); s.set("springs", 2, "rate unit", "") }, func(l workbook.Loaded) any {
			return l.Merged.Springs[0].Rate.String() + " " + l.Merged.Springs[0].RateUnit
		}, "38 lb/in"},
		{"a measured rate in lb/in (4.4482216152605/25.4 N/mm: NIST SP 811)", func(s *season) { s.set("tags", 2, "measured rate N/mm", "40 lb/in") }, func(l workbook.Loaded) any { return l.Merged.Tags[0].MeasuredRateNPerMM.String() }, "7.00507341"},
		{"spaces around a code", func(s *season) { s.set("parts", 2, "part", " OIL-A\u00a0 ") }, func(l workbook.Loaded) any { return l.Merged.Parts[0].Code }, "OIL-A"},
		{"a word in capitals", func(s *season) { s.set("parts", 2, "kind", "OIL") }, func(l workbook.Loaded) any { return l.Merged.Parts[0].Kind }, "oil"},
		{"a number typed as text", func(s *season) { s.set("rounds", 2, "steepness", " 3 ") }, func(l workbook.Loaded) any { return *l.Merged.Rounds[0].Steepness }, 3},
		{"a decimal comma in money", func(s *season) { s.set("offers", 2, "price per pack", "68,50") }, func(l workbook.Loaded) any { return l.Merged.Offers[0].PricePerPack.String() }, "68.5"},
		{"a number of 17 digits", func(s *season) { *s.at("offers", 2, "price per pack") = number("68.200000000000003") }, func(l workbook.Loaded) any { return l.Merged.Offers[0].PricePerPack.String() }, "68.2"},
		{"a number with an exponent", func(s *season) { *s.at("springs", 2, "breaks per riding day") = number("1E-2") }, func(l workbook.Loaded) any { return l.Merged.Springs[0].BreaksPerDay.String() }, "0.01"},
		{"written zeros of a number format", func(s *season) {
			*s.at("offers", 2, "price per pack") = workbook.Cell{Text: "68", Type: workbook.CellNumber, Decimals: 2}
		}, func(l workbook.Loaded) any {
			return l.Merged.Offers[0].PricePerPack.StringFixed(-l.Merged.Offers[0].PricePerPack.Exponent())
		}, "68.00"},
		{"a number as a code", func(s *season) { *s.at("season", 2, "season") = number("2027.0") }, func(l workbook.Loaded) any { return l.Merged.Season[0].Code }, "2027"},
		{"leading zeros", func(s *season) { s.set("offers", 2, "supplier number", "00714") }, func(l workbook.Loaded) any { return l.Merged.Offers[0].SupplierNumber }, "00714"},
		{"a per cent sign", func(s *season) { s.set("rounds", 2, "wet chance %", "25 %") }, func(l workbook.Loaded) any { return l.Merged.Rounds[0].WetChancePercent.String() }, "25"},
		{"a percentage of a spreadsheet", func(s *season) {
			*s.at("rounds", 2, "wet chance %") = workbook.Cell{Text: "0.35", Type: workbook.CellPercent}
		}, func(l workbook.Loaded) any { return l.Merged.Rounds[0].WetChancePercent.String() }, "35"},
		{"a serial date", func(s *season) {
			*s.at("top-ups", 2, "date") = workbook.Cell{Text: "46501", Type: workbook.CellDate}
		}, func(l workbook.Loaded) any { return l.Merged.TopUps[0].On.String() }, "2027-04-24"},
		{"a serial date without its format", func(s *season) { *s.at("top-ups", 2, "date") = number("46501") }, func(l workbook.Loaded) any { return l.Merged.TopUps[0].On.String() }, "2027-04-24"},
		{"a serial date in a CSV file", func(s *season) { s.set("top-ups", 2, "date", "46501") }, func(l workbook.Loaded) any { return l.Merged.TopUps[0].On.String() }, "2027-04-24"},
		{"a serial time", func(s *season) {
			*s.at("job-log", 2, "done at") = workbook.Cell{Text: "46500.333333333336", Type: workbook.CellDateTime}
		}, func(l workbook.Loaded) any { return l.Merged.Jobs[0].DoneAt.In(vienna).Format("2006-01-02 15:04:05") }, "2027-04-23 08:00:00"},
		{"a date cell at midnight in the text", func(s *season) { s.set("top-ups", 2, "date", "2027-04-24T00:00:00") }, func(l workbook.Loaded) any { return l.Merged.TopUps[0].On.String() }, "2027-04-24"},
		{"a date with its day first", func(s *season) { s.set("top-ups", 2, "date", "24.4.2027") }, func(l workbook.Loaded) any { return l.Merged.TopUps[0].On.String() }, "2027-04-24"},
		{"a date with its month first", func(s *season) { s.set("top-ups", 2, "date", "4/24/2027") }, func(l workbook.Loaded) any { return l.Merged.TopUps[0].On.String() }, "2027-04-24"},
		{"a date that is the same both ways", func(s *season) { s.set("rounds", 3, "first day", "06-06-2027") }, func(l workbook.Loaded) any { return l.Merged.Rounds[1].FirstOn.String() }, "2027-06-06"},
		{"a time with its day first", func(s *season) { s.set("job-log", 2, "done at", "23.04.2027 08:00") }, func(l workbook.Loaded) any { return l.Merged.Jobs[0].DoneAt.In(vienna).Format("2006-01-02 15:04") }, "2027-04-23 08:00"},
		{"a small chance with its sign", func(s *season) { s.set("rounds", 2, "wet chance %", "0,3 %") }, func(l workbook.Loaded) any { return l.Merged.Rounds[0].WetChancePercent.String() }, "0.3"},
		{"a small chance of a spreadsheet", func(s *season) {
			*s.at("rounds", 2, "wet chance %") = workbook.Cell{Text: "0.003", Type: workbook.CellPercent}
		}, func(l workbook.Loaded) any { return l.Merged.Rounds[0].WetChancePercent.String() }, "0.3"},
		{"a small chance comes back as it was saved", func(s *season) { s.set("rounds", 2, "wet chance %", "0.3%") }, func(l workbook.Loaded) any {
			for _, sheet := range workbook.Format(&l.Merged, vienna) {
				if sheet.Name == "rounds" {
					return sheet.Rows[0][9]
				}
			}
			return nil
		}, workbook.Value{Text: "0.3%", Type: workbook.ValueText}},
		{"a time with seconds", func(s *season) { s.set("job-log", 2, "done at", "2027-04-23 08:00:30") }, func(l workbook.Loaded) any { return l.Merged.Jobs[0].DoneAt.Format(time.RFC3339) }, "2027-04-23T06:00:30Z"},
		{"a time with an offset", func(s *season) { s.set("job-log", 2, "done at", "2027-10-31 02:30+01:00") }, func(l workbook.Loaded) any { return l.Merged.Jobs[0].DoneAt.Format(time.RFC3339) }, "2027-10-31T01:30:00Z"},
		{"stock counted at a time", func(s *season) { s.set("stock", 2, "counted on", "2027-02-08 19:00") }, func(l workbook.Loaded) any { return l.Merged.Stock[0].CountedAt.Format(time.RFC3339) }, "2027-02-08T18:00:00Z"},
		{"a clock as a fraction", func(s *season) {
			*s.at("suppliers", 2, "cut-off time") = workbook.Cell{Text: "0.5", Type: workbook.CellClock}
		}, func(l workbook.Loaded) any { return l.Merged.Suppliers[0].CutOffTime }, "12:00"},
		{"TRUE for yes", func(s *season) {
			*s.at("services", 2, "planned") = workbook.Cell{Text: "TRUE", Type: workbook.CellBool}
		}, func(l workbook.Loaded) any { return *l.Merged.Services[0].Planned }, true},
		{"titles above the heading", func(s *season) {
			s.sheets["stock"] = append([][]workbook.Cell{{{Text: "Stock, counted in February"}}, {}}, s.sheets["stock"]...)
		}, func(l workbook.Loaded) any { return []int{len(l.Merged.Stock), l.Line("stock", 0)} }, []int{4, 4}},
		{"blank rows", func(s *season) { s.sheets["riders"] = append(s.sheets["riders"], nil, []workbook.Cell{{Text: "  "}}) }, func(l workbook.Loaded) any { return len(l.Merged.Riders) }, 1},
		{"headings in capitals and without spaces", func(s *season) { s.set("rounds", 1, "wet chance %", "WET CHANCE%") }, func(l workbook.Loaded) any { return l.Merged.Rounds[0].WetChancePercent.String() }, "20"},
		{"columns in another order", func(s *season) {
			for i, row := range s.sheets["riders"] {
				s.sheets["riders"][i] = []workbook.Cell{row[2], row[0], row[1]}
			}
		}, func(l workbook.Loaded) any { return l.Merged.Riders[0].Code + l.Merged.Riders[0].KittedMassKG.String() }, "YM68"},
		{"a column of one's own", func(s *season) { s.set("riders", 2, "shirt", "M") }, func(l workbook.Loaded) any { return l.Notes[0] }, `season.xlsx, sheet riders: column "shirt" is not known and was ignored`},
		{"assemblies in one cell", func(s *season) {
			s.set("assemblies", 4, "damper oil", "OIL-D")
			s.set("planned-jobs", 3, "assembly", "F01 F02")
			s.set("planned-jobs", 3, "jobs", "2")
		}, func(l workbook.Loaded) any { return plans(l) }, []string{"SER FSS  8", "SER DMP F01 1", "SER DMP F02 1", "KAR WSH  4"}},
		{"planned jobs as a grid", func(s *season) {
			s.sheets["planned-jobs"] = nil
			s.add("planned-jobs", "round|FSS|WSH|notes")
			s.add("planned-jobs", "SER|8||")
			s.add("planned-jobs", "KAR|2|4|")
		}, func(l workbook.Loaded) any { return plans(l) }, []string{"SER FSS  8", "KAR FSS  2", "KAR WSH  4"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := newSeason(t)
			c.do(s)
			if c.get == nil {
				_, faults := workbook.Load(s.input(), nil)
				require.Equal(t, []string{`season.xlsx, sheet service-lines, M3 (unit): found "cl", expected ml or L: the part is counted in ml`}, faults.Lines())
				return
			}
			require.Equal(t, c.want, c.get(s.load()))
		})
	}
}

func plans(l workbook.Loaded) []string {
	var out []string
	for _, p := range l.Merged.PlannedJobs {
		out = append(out, p.Round+" "+p.Service+" "+p.Assembly+" "+string(rune('0'+p.Jobs)))
	}
	return out
}

// TestGridNamesASlip: a column of numbers under a heading that is no service is not lost.
func TestGridNamesASlip(t *testing.T) {
	t.Parallel()
	s := newSeason(t)
	s.sheets["planned-jobs"] = nil
	s.add("planned-jobs", "round|FSS|WHS|shelf")
	s.add("planned-jobs", "SER|8|3|left")
	_, faults := workbook.Load(s.input(), nil)
	require.Equal(t, []string{`season.xlsx, sheet planned-jobs, C1 (WHS): found "WHS", expected the code of a service, assembly or notes`}, faults.Lines())
}

// TestFaultOfACSVFile: the line and the column by name, as a text editor shows them.
func TestFaultOfACSVFile(t *testing.T) {
	t.Parallel()
	s := newSeason(t)
	s.csv = true
	s.set("stock", 2, "quantity", "1,5 btl")
	_, faults := workbook.Load(s.input(), nil)
	require.Equal(t, []string{`demo/stock.csv, line 2, column quantity: found "1,5 btl", expected a number with ml or L, such as 1.5 L`}, faults.Lines())
}

// TestEveryFaultAtOnce: by sheet in the order of the workbook and by row; printed up to a
// named cap.
func TestEveryFaultAtOnce(t *testing.T) {
	t.Parallel()
	s := newSeason(t)
	s.set("stock", 3, "quantity", "x")
	s.set("stock", 2, "quantity", "x")
	s.set("season", 2, "currency", "EURO")
	for range 300 {
		s.add("riders", "R|double|60")
	}
	_, faults := workbook.Load(s.input(), nil)
	lines := faults.Lines()
	require.Len(t, lines, 201)
	require.Equal(t, `season.xlsx, sheet season, E2 (currency): found "EURO", expected a currency code of ISO 4217, such as EUR`, lines[0])
	require.Equal(t, `season.xlsx, sheet stock, E2 (quantity): found "x", expected a number with ml or L, such as 1.5 L`, lines[1])
	require.Equal(t, `season.xlsx, sheet stock, E3 (quantity): found "x", expected a whole number of pieces, such as 3`, lines[2])
	require.Equal(t, "and 102 more", lines[200], "1 + 2 + 299 - 200")
}
