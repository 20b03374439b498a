package workbook_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/workbook"
)

// TestSmallSeasonIsValid: what the tables below change is right to begin with.
func TestSmallSeasonIsValid(t *testing.T) {
	t.Parallel()
	l := newSeason(t).load()
	require.Equal(t, []string{"round KAR has no trip: it is a trip of its own, at home, packed by 2027-06-10"}, l.Notes)
}

// TestEachFaultInItsCell changes one thing of a valid workbook and expects one line, word
// for word. The rules are those of the format's definition; the lines are the promise to
// whoever has to mend the workbook.
func TestEachFaultInItsCell(t *testing.T) {
	t.Parallel()
	set := func(sheet string, row int, heading, text string) func(*season) {
		return func(s *season) { s.set(sheet, row, heading, text) }
	}
	for _, c := range []struct {
		name string
		do   func(*season)
		want string
	}{
		// Cells that cannot be read.
		{"a quantity with a word", set("stock", 2, "quantity", "1,5 btl"), `season.xlsx, sheet stock, E2 (quantity): found "1,5 btl", expected a number with ml or L, such as 1.5 L`},
		{"half a piece", set("stock", 3, "quantity", "1.5"), `season.xlsx, sheet stock, E3 (quantity): found "1.5", expected whole pieces`},
		{"a comma that could be either mark", set("stock", 2, "quantity", "1,500"), `season.xlsx, sheet stock, E2 (quantity): found "1,500", expected 1.500 or 1500: a comma before three digits could mean either`},
		{"a negative quantity", set("stock", 2, "quantity", "-3"), `season.xlsx, sheet stock, E2 (quantity): found "-3", expected nothing below zero`},
		{"a quantity that is missing", set("stock", 2, "quantity", ""), `season.xlsx, sheet stock, E2 (quantity): found a blank, expected a number with ml or L, such as 1.5 L`},
		{"a mass of a liquid", set("stock", 2, "unit", "kg"), `season.xlsx, sheet stock, F2 (unit): found "kg", expected ml or L: the part is counted in ml`},
		{"a volume of grease", set("service-lines", 10, "quantity", "2 ml"), `season.xlsx, sheet service-lines, D10 (quantity): found "2 ml", expected a number with g or kg, such as 1.2 kg`},
		{"a date of words", set("rounds", 2, "first day", "22 April"), `season.xlsx, sheet rounds, E2 (first day): found "22 April", expected a date such as 2027-06-05`},
		{"a date that could be two", set("rounds", 2, "first day", "12.05.2027"), `season.xlsx, sheet rounds, E2 (first day): found "12.05.2027", expected 2027-05-12 or 2027-12-05: which of the two is the day cannot be told`},
		{"a date that could be two, the other way", set("rounds", 2, "first day", "5.12.2027"), `season.xlsx, sheet rounds, E2 (first day): found "5.12.2027", expected 2027-12-05 or 2027-05-12: which of the two is the day cannot be told`},
		{"a day first that never was", set("rounds", 2, "first day", "31.04.2027"), `season.xlsx, sheet rounds, E2 (first day): found "31.04.2027", expected a date such as 2027-06-05`},
		{"no month at all", set("rounds", 2, "first day", "22.14.2027"), `season.xlsx, sheet rounds, E2 (first day): found "22.14.2027", expected a date such as 2027-06-05`},
		{"a year of two digits", set("rounds", 2, "first day", "22.04.27"), `season.xlsx, sheet rounds, E2 (first day): found "22.04.27", expected a date such as 2027-06-05`},
		{"a chance that could be two", set("rounds", 2, "wet chance %", "0.3"), `season.xlsx, sheet rounds, J2 (wet chance %): found "0.3", expected 0.3% or 30%: a chance below 1 could mean either`},
		{"a confidence that could be two", set("season", 2, "confidence %", "0,95"), `season.xlsx, sheet season, H2 (confidence %): found "0,95", expected 0.95% or 95%: a chance below 1 could mean either`},
		{"a day that never was", set("rounds", 2, "first day", "2027-02-29"), `season.xlsx, sheet rounds, E2 (first day): found "2027-02-29", expected a date such as 2027-06-05`},
		{"a time without clock", set("job-log", 2, "done at", "2027-04-23"), `season.xlsx, sheet job-log, B2 (done at): found "2027-04-23", expected a time such as 2027-06-05 19:00`},
		{"a time in the gap", set("job-log", 2, "done at", "2027-03-28 02:30"), `season.xlsx, sheet job-log, B2 (done at): found "2027-03-28 02:30", expected a time that exists: clocks in Europe/Vienna go forward over it`},
		{"a doubled time", set("job-log", 2, "done at", "2027-10-31 02:30"), `season.xlsx, sheet job-log, B2 (done at): found "2027-10-31 02:30", expected an offset, 2027-10-31 02:30+02:00 or +01:00: clocks go back over that hour`},
		{"a word that is none of the kinds", set("parts", 2, "kind", "fluid"), `season.xlsx, sheet parts, C2 (kind): found "fluid", expected seal kit, seal, hardware, bushing, spring, oil, grease, cleaner, gas, tool or other`},
		{"a unit that is none", set("parts", 2, "unit", "bottle"), `season.xlsx, sheet parts, D2 (unit): found "bottle", expected pc, ml or g`},
		{"neither yes nor no", set("services", 2, "planned", "maybe"), `season.xlsx, sheet services, E2 (planned): found "maybe", expected yes or no`},
		{"jobs in halves", set("planned-jobs", 2, "jobs", "2.5"), `season.xlsx, sheet planned-jobs, D2 (jobs): found "2.5", expected a whole number such as 3`},
		{"jobs below none", set("planned-jobs", 2, "jobs", "-1"), `season.xlsx, sheet planned-jobs, D2 (jobs): found "-1", expected a whole number such as 3`},
		{"a price of words", set("offers", 2, "price per pack", "on request"), `season.xlsx, sheet offers, G2 (price per pack): found "on request", expected a number such as 12.5`},
		{"a chance of words", set("rounds", 2, "wet chance %", "often"), `season.xlsx, sheet rounds, J2 (wet chance %): found "often", expected a number of per cent, such as 25`},
		{"a wet chance below none", set("rounds", 2, "wet chance %", "-5"), `season.xlsx, sheet rounds, J2 (wet chance %): found "-5", expected nothing below zero`},
		{"an error of the spreadsheet", func(s *season) {
			*s.at("offers", 2, "price per pack") = workbook.Cell{Text: "#REF!", Type: workbook.CellError}
		}, `season.xlsx, sheet offers, G2 (price per pack): found "#REF!", expected a number`},
		{"a code that is missing", func(s *season) { s.add("parts", "|nameless|seal|pc") }, `season.xlsx, sheet parts, A10 (part): found a blank, expected the code of the part`},
		{"a code twice", func(s *season) { s.add("riders", "YM|Ysolde again|68") }, `season.xlsx, sheet riders, A3 (rider): found "YM", expected each rider once: row 2 has it too`},
		{"a cut-off of words", set("suppliers", 2, "cut-off time", "noon"), `season.xlsx, sheet suppliers, F2 (cut-off time): found "noon", expected a time of day such as 12:00`},
		{"a limit in the wrong unit", set("trips", 2, "limit kg", "900 l"), `season.xlsx, sheet trips, H2 (limit kg): found "900 l", expected a number in kg, such as 12.5 kg`},
		{"a rate unit that is none", set("springs", 2, "rate unit", "kg"), `season.xlsx, sheet springs, D2 (rate unit): found "kg", expected lb/in, N/mm or kgf/mm`},
		{"a rate in two units", set("springs", 2, "rate", "38 N/mm"), `season.xlsx, sheet springs, C2 (rate): found "38 N/mm", expected a number, or one with lb/in, N/mm or kgf/mm, as in the column rate unit`},

		// Names of what there is not.
		{"a part that is not listed", set("service-lines", 2, "part", "SEEL"), `season.xlsx, sheet service-lines, B2 (part): found "SEEL", expected a part of the sheet parts`},
		{"a part nearly right", set("service-lines", 3, "part", "oil a"), `season.xlsx, sheet service-lines, B3 (part): found "oil a", expected a part of the sheet parts, such as OIL-A`},
		{"a service that is not listed", set("planned-jobs", 2, "service", "FS"), `season.xlsx, sheet planned-jobs, B2 (service): found "FS", expected a service of the sheet services`},
		{"a place that is not listed", set("parts", 2, "home in workshop", "W9"), `season.xlsx, sheet parts, H2 (home in workshop): found "W9", expected a place of the sheet places`},
		{"a trip that is not listed", set("top-ups", 2, "trip", "TR9"), `season.xlsx, sheet top-ups, A2 (trip): found "TR9", expected a trip of the sheet trips`},
		{"an order that is not listed", set("lots", 5, "order", "PO9"), `season.xlsx, sheet lots, D5 (order): found "PO9", expected an order of the sheet orders`},
		{"packed for a trip that is not listed", set("movements", 3, "reference", "TR9"), `season.xlsx, sheet movements, L3 (reference): found "TR9", expected a trip of the sheet trips`},

		// What is wrong between cells.
		{"no season", func(s *season) { s.drop("season", 2) }, `season.xlsx, sheet season: found no season, expected one row`},
		{"two seasons", func(s *season) { s.add("season", "2028|Next|AT|Europe/Vienna|EUR|2028-02-08|2028-10-15|95") }, `season.xlsx, sheet season, A3 (season): found "2028", expected one season only`},
		{"a zone that is none", set("season", 2, "time zone", "Vienna"), `season.xlsx, sheet season, D2 (time zone): found "Vienna", expected an IANA time zone, such as Europe/Vienna`},
		{"a currency that is none", set("offers", 2, "currency", "EURO"), `season.xlsx, sheet offers, H2 (currency): found "EURO", expected a currency code of ISO 4217, such as EUR`},
		{"a country by name", set("rounds", 2, "country", "Italy"), `season.xlsx, sheet rounds, G2 (country): found "Italy", expected a country code of ISO 3166 with two letters, such as AT`},
		{"all for certain", set("season", 2, "confidence %", "100"), `season.xlsx, sheet season, H2 (confidence %): found "100", expected more than 0 and less than 100`},
		{"a wet chance over all", set("rounds", 2, "wet chance %", "120"), `season.xlsx, sheet rounds, J2 (wet chance %): found "120", expected a chance of 0 to 100 %`},
		{"a round that ends before it begins", set("rounds", 2, "last day", "2027-04-21"), `season.xlsx, sheet rounds, F2 (last day): found "2027-04-21", expected a date not before the first day 2027-04-22`},
		{"a round outside the season", set("rounds", 3, "last day", "2027-10-16"), `season.xlsx, sheet rounds, F3 (last day): found "2027-10-16", expected a day of the season, 2027-02-08 to 2027-10-15`},
		{"a round after its trip", set("rounds", 2, "last day", "2027-04-28"), `season.xlsx, sheet rounds, F2 (last day): found "2027-04-28", expected not after 2027-04-27, when trip TR1 is back`},
		{"steeper than steep", set("rounds", 2, "steepness", "6"), `season.xlsx, sheet rounds, I2 (steepness): found "6", expected 1 to 5`},
		{"more riding than days", set("rounds", 2, "riding days", "5"), `season.xlsx, sheet rounds, K2 (riding days): found "5", expected at most 4, the days of the round`},
		{"packed after it left", set("trips", 2, "pack by", "2027-04-21"), `season.xlsx, sheet trips, F2 (leaves): found "2027-04-20", expected a date not before the pack date 2027-04-21`},
		{"a truck that is none", set("trips", 2, "truck", "W1"), `season.xlsx, sheet trips, D2 (truck): found "W1", expected a place of kind truck`},
		{"a top-up after the trip", set("top-ups", 2, "date", "2027-05-24"), `season.xlsx, sheet top-ups, B2 (date): found "2027-05-24", expected a day of the trip, 2027-04-20 to 2027-04-27`},
		{"a top-up of another trip's round", set("top-ups", 2, "round", "KAR"), `season.xlsx, sheet top-ups, C2 (round): found "KAR", expected a round of the trip TR1`},
		{"a line with both forms", set("service-lines", 2, "max", "3"), `season.xlsx, sheet service-lines, D2 (quantity): found "2", expected a blank, as min and max are given`},
		{"a line with no form", set("service-lines", 2, "quantity", ""), `season.xlsx, sheet service-lines, D2 (quantity): found a blank, expected a quantity, or min and max`},
		{"a range upside down", set("service-lines", 3, "max", "30"), `season.xlsx, sheet service-lines, G3 (max): found "30", expected at least the min 32`},
		{"typical beyond the range", set("service-lines", 3, "typical", "50"), `season.xlsx, sheet service-lines, F3 (typical): found "50", expected min to max, 32 to 48`},
		{"a range with a chance", set("service-lines", 3, "chance dry %", "10"), `season.xlsx, sheet service-lines, E3 (min): found "32", expected a quantity instead of a range, as a chance is given`},
		{"a line of two parts", set("service-lines", 6, "part", "OIL-D"), `season.xlsx, sheet service-lines, C6 (own part): found "damper oil", expected a blank, as the part is named`},
		{"a line of no part", set("service-lines", 2, "part", ""), `season.xlsx, sheet service-lines, B2 (part): found a blank, expected a part, or an own part`},
		{"half a beta", set("service-lines", 7, "beta dry b", ""), `season.xlsx, sheet service-lines, L7 (beta dry b): found a blank, expected a number above zero, as beta dry a is given`},
		{"a beta of nothing", set("service-lines", 7, "beta dry a", "0"), `season.xlsx, sheet service-lines, K7 (beta dry a): found "0", expected a number above zero`},
		{"a wet chance alone", set("service-lines", 4, "chance dry %", ""), `season.xlsx, sheet service-lines, I4 (chance dry %): found a blank, expected a chance, as one for wet rounds is given`},
		{"a fork spring on a bike", func(s *season) { s.add("service-lines", "WSH||fork spring|1") }, `season.xlsx, sheet service-lines, C11 (own part): found "fork spring", expected a part that a bike has: WSH is done on a bike`},
		{"an allowance on a fixed line", set("service-lines", 2, "allowance %", "5"), `season.xlsx, sheet service-lines, H2 (allowance %): found "5", expected a blank: only a range has an allowance`},
		{"damper oil of no assembly", set("planned-jobs", 3, "assembly", ""), `season.xlsx, sheet planned-jobs, C3 (assembly): found a blank, expected the assembly: DMP takes its own damper oil`},
		{"damper oil of a fork that has none", set("planned-jobs", 3, "assembly", "F02"), `season.xlsx, sheet planned-jobs, C3 (assembly): found "F02", expected an assembly with a damper oil: DMP takes it`},
		{"a plan for a crash", set("planned-jobs", 2, "service", "CRA"), `season.xlsx, sheet planned-jobs, B2 (service): found "CRA", expected a service that is planned: CRA only happens unplanned`},
		{"a fork to be washed as a bike", set("planned-jobs", 4, "assembly", "F01"), `season.xlsx, sheet planned-jobs, C4 (assembly): found "F01", expected a bike for WSH: that is a fork`},
		{"springs wanted over all", set("spring-choices", 3, "steepness 3 %", "41"), `season.xlsx, sheet spring-choices, E3 (steepness 3 %): found "41", expected at most 40: the chances of YM on FK add up to 100 %`},
		{"a seal wanted as a spring", set("spring-choices", 3, "spring", "SEAL"), `season.xlsx, sheet spring-choices, C3 (spring): found "SEAL", expected a part of kind spring: that is seal`},
		{"a rate and a gamma", set("unplanned-rates", 2, "gamma a", "3"), `season.xlsx, sheet unplanned-rates, C2 (gamma a): found "3", expected a blank, as the rate is known`},
		{"a place inside itself", set("places", 2, "in", "D1"), `season.xlsx, sheet places, C2 (in): found "D1", expected a place that is not inside W1 itself`},
		{"a case with no room", set("cases", 2, "limit kg", "6"), `season.xlsx, sheet cases, B2 (limit kg): found "6", expected at least 6.2, the case empty and its fixed content`},
		{"a fork on a fork", set("assemblies", 4, "on bike", "F01"), `season.xlsx, sheet assemblies, D4 (on bike): found "F01", expected a bike: that is a fork`},
		{"a seal for damper oil", set("assemblies", 3, "damper oil", "SEAL"), `season.xlsx, sheet assemblies, E3 (damper oil): found "SEAL", expected a part counted in ml`},
		{"a liquid as heavy as lead", set("liquids", 2, "density at 20 C g/ml", "8.72"), `season.xlsx, sheet liquids, D2 (density at 20 C g/ml): found "8.72", expected a density of 0.5 to 2 g/ml`},
		{"oil that thickens when warm", set("liquids", 2, "viscosity at 100 C cSt", "104"), `season.xlsx, sheet liquids, C2 (viscosity at 100 C cSt): found "104", expected less than at 40 C: oil thins when warm`},
		{"a liquid counted in pieces", set("liquids", 2, "part", "SEAL"), `season.xlsx, sheet liquids, A2 (part): found "SEAL", expected a part counted in ml`},
		{"a spring that is a seal", set("springs", 2, "part", "SEAL"), `season.xlsx, sheet springs, A2 (part): found "SEAL", expected a part of kind spring: that is seal`},
		{"a kit that is none", set("kit-contents", 2, "kit", "SEAL"), `season.xlsx, sheet kit-contents, A2 (kit): found "SEAL", expected a part of kind seal kit: that is seal`},
		{"oil inside a kit", set("kit-contents", 2, "part", "OIL-A"), `season.xlsx, sheet kit-contents, B2 (part): found "OIL-A", expected a part counted in pc`},
		{"an alternative to itself", set("alternatives", 2, "alternative", "SEAL"), `season.xlsx, sheet alternatives, B2 (alternative): found "SEAL", expected another part`},
		{"an alternative of another unit", set("alternatives", 2, "alternative", "OIL-A"), `season.xlsx, sheet alternatives, B2 (alternative): found "OIL-A", expected a part counted in pc`},
		{"a pack of nothing", set("offers", 2, "pack", "0"), `season.xlsx, sheet offers, E2 (pack): found "0", expected a quantity above zero`},
		{"slower for once than mostly", set("offers", 2, "lead days 95 %", "5"), `season.xlsx, sheet offers, K2 (lead days 95 %): found "5", expected at least the typical 9`},
		{"a break that costs more", set("price-breaks", 3, "price per pack", "64"), `season.xlsx, sheet price-breaks, D3 (price per pack): found "64", expected less than 63.2, the price of fewer packs`},
		{"a break of no offer", set("price-breaks", 3, "part", "RING"), `season.xlsx, sheet price-breaks, B3 (part): found "RING", expected a part that SRN offers in the sheet offers`},
		{"a closure upside down", set("closures", 2, "last day", "2027-07-04"), `season.xlsx, sheet closures, C2 (last day): found "2027-07-04", expected a date not before the first day 2027-07-05`},
		{"the season's own currency as foreign", set("exchange-rates", 2, "currency", "EUR"), `season.xlsx, sheet exchange-rates, A2 (currency): found "EUR", expected a foreign currency: this is the season's own`},
		{"a lot of nothing", set("lots", 3, "quantity", "0"), `season.xlsx, sheet lots, H3 (quantity): found "0", expected a quantity above zero`},
		{"expired before it came", set("lots", 2, "expires", "2027-01-14"), `season.xlsx, sheet lots, G2 (expires): found "2027-01-14", expected a date not before the day it was received 2027-01-15`},
		{"a lot split from itself", set("lots", 5, "from lot", "L4"), `season.xlsx, sheet lots, E5 (from lot): found "L4", expected a lot that was not split from L4 itself`},
		{"stock of another part's lot", set("stock", 3, "lot", "L3"), `season.xlsx, sheet stock, C3 (lot): found "L3", expected a lot of SEAL: that is one of OIL-D`},
		{"two of one tag", set("stock", 4, "quantity", "2"), `season.xlsx, sheet stock, E4 (quantity): found "2", expected 1: the tag SPR1#1 is one thing`},
		{"a tag in two places", func(s *season) { s.add("stock", "D1|OIL-D|L3|B1|200|ml|2027-02-08") }, `season.xlsx, sheet stock, D6 (tag): found "B1", expected each tag in one place: it is in W1 too`},
		{"stock among the used", set("stock", 2, "place", "used"), `season.xlsx, sheet stock, A2 (place): found "used", expected a place of the sheet places`},
		{"oil in a fork as stock", set("stock", 2, "place", "F01"), `season.xlsx, sheet stock, B2 (part): found "OIL-A", expected a spring: F01 is an assembly`},
		{"counted on a day of movement", func(s *season) { s.add("stock", "W1|SEAL|L1||30|pc|2027-04-20") }, `season.xlsx, sheet stock, G6 (counted on): found "2027-04-20", expected the time too, such as 2027-04-20 19:00: SEAL moved there that day`},
		{"moved to where it was", set("movements", 3, "to", "W1"), `season.xlsx, sheet movements, H3 (to): found "W1", expected another place than the one it left`},
		{"a movement of nothing", set("movements", 3, "quantity", "0"), `season.xlsx, sheet movements, I3 (quantity): found "0", expected a quantity above zero`},
		{"a receipt from the shelf", set("movements", 2, "from", "D1"), `season.xlsx, sheet movements, G2 (from): found "D1", expected supplier, as it is a receipt`},
		{"a job undone before it was done", set("job-log", 2, "undone at", "2027-04-22 08:00"), `season.xlsx, sheet job-log, G2 (undone at): found "2027-04-22 08:00", expected a time after the job was done`},
		{"a job's part without a number", set("job-parts", 2, "quantity", ""), `season.xlsx, sheet job-parts, G2 (quantity): found a blank, expected a whole number of pieces, such as 3`},
		{"lighter than empty", set("weighings", 2, "gross g", "80"), `season.xlsx, sheet weighings, E2 (gross g): found "80", expected at least the empty bottle, 92 g`},
		{"a spring on the scale", set("weighings", 2, "tag", "SPR1#1"), `season.xlsx, sheet weighings, D2 (tag): found "SPR1#1", expected a bottle or tub: SPR1 is counted in pieces`},

		// Sheets as a whole.
		{"no heading", func(s *season) { s.sheets["stock"] = s.sheets["stock"][1:2] }, `season.xlsx, sheet stock: found no heading in the first 20 rows, expected place, part, quantity, counted on`},
		{"a key column that is missing", set("stock", 1, "counted on", "when?"), `season.xlsx, sheet stock, row 1: found no column counted on, expected one in the heading row`},
		{"a needed column that is missing", set("parts", 1, "kind", "sort"), `season.xlsx, sheet parts: found no column kind, expected one: OIL-A is new`},
		{"a heading twice", set("parts", 1, "tare g", "unit"), `season.xlsx, sheet parts, F1 (unit): found "unit", expected each heading once: it stands in D too`},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := newSeason(t)
			c.do(s)
			_, faults := workbook.Load(s.input(), nil)
			require.Equal(t, []string{c.want}, faults.Lines())
		})
	}
}
