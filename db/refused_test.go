package db_test

import (
	"encoding/csv"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
	"roundkit/testdata"
	"roundkit/testdata/answers"
)

// Each wrong workbook is refused with a line that names its sheet, row, column and what
// was found, and leaves every row of the database as it was: into an empty database, and
// over a season that is there.
func TestWrongWorkbooksChangeNothing(t *testing.T) {
	t.Parallel()
	folder, err := fs.Sub(testdata.Demo, "demo")
	require.NoError(t, err)
	living, fresh := store(t), store(t)
	_, err = living.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	before := rows(t, living, t.Context())
	require.Positive(t, before)

	for _, c := range []struct{ file, key, row, column, wrong string }{
		// what cannot be read
		{"season.csv", "season", "2027", "time zone", "Europe/Nowhere"},
		{"season.csv", "season", "2027", "currency", "EURO"},
		{"season.csv", "season", "2027", "confidence %", "120"},
		{"season.csv", "season", "2027", "first day", "8 February"},
		{"season.csv", "season", "2027", "last day", "2027-01-01"},
		{"people.csv", "person", "u1", "role", "driver"},
		{"riders.csv", "rider", "YM", "kitted mass kg", "heavy"},
		{"models.csv", "model", "FK40", "kind", "spoon"},
		{"parts.csv", "part", "WIP-40", "kind", "rubber thing"},
		{"parts.csv", "part", "WIP-40", "unit", "dozen"},
		{"parts.csv", "part", "WIP-40", "mass g", "-9"},
		{"parts.csv", "part", "OIL-B68", "contents", "one bottle"},
		{"parts.csv", "part", "WIP-40", "storage life months", "5.5"},
		{"parts.csv", "part", "WIP-40", "reusable", "sometimes"},
		{"liquids.csv", "part", "OIL-B68", "density at 20 C g/ml", "87"},
		{"springs.csv", "part", "SPF-58", "rate unit", "psi"},
		{"rounds.csv", "round", "KAR", "wet chance %", "135"},
		{"rounds.csv", "round", "KAR", "steepness", "6"},
		{"rounds.csv", "round", "KAR", "last day", "2027-06-01"},
		{"rounds.csv", "round", "KAR", "weather", "snow"},
		{"rounds.csv", "round", "KAR", "country", "Austria"},
		{"trips.csv", "trip", "TR-COM", "goes by", "boat"},
		{"services.csv", "service", "LLS", "minutes", "half an hour"},
		{"offers.csv", "part", "WIP-40", "price per pack", "cheap"},
		{"offers.csv", "part", "WIP-40", "pack", "0"},
		{"allocations.csv", "part", "KIT-DMP40", "free quantity", "many"},
		{"exchange-rates.csv", "currency", "GBP", "rate to home currency", "0"},
		{"lots.csv", "lot", "LT-0001", "received", "2027-02-30"},
		{"job-log.csv", "job", "J-0001", "done at", "2027-03-28 02:30"},
		{"movements.csv", "movement", "M-0001", "quantity", "0"},
		{"movements.csv", "movement", "M-0001", "reason", "lost"},
		{"counts.csv", "count", "C-001", "counted", "36.5"},
		{"weighings.csv", "weighing", "G-001", "gross g", "60"},
		{"budget.csv", "line", "parts", "amount", "lots"},
		{"charges.csv", "charge", "CH-001", "date", "09.02.2027"},
		// what names something that is not there
		{"parts.csv", "part", "WIP-40", "home in truck", "T-D99"},
		{"assemblies.csv", "assembly", "F01", "damper oil", "OIL-D11"},
		{"assemblies.csv", "assembly", "F01", "model", "FK41"},
		{"rounds.csv", "round", "KAR", "trip", "TR-APL"},
		{"top-ups.csv", "trip", "TR-ALP", "from", "workshp"},
		{"planned-jobs.csv", "round", "CMP", "service", "FFS"},
		{"service-lines.csv", "service", "SHK", "part", "KIT-VS57"},
		{"offers.csv", "part", "WIP-40", "supplier", "SRM"},
		{"kit-contents.csv", "kit", "KIT-DMP40", "part", "ORG-XX"},
		{"places.csv", "place", "W-A1", "in", "garage"},
		{"stock.csv", "part", "WIP-40", "lot", "LT-9999"},
		{"job-parts.csv", "job", "J-0001", "lot", "LT-9999"},
		{"counts.csv", "count", "C-001", "place", "lorry"},
		{"weighings.csv", "weighing", "G-001", "tag", "B-999"},
		{"unplanned-rates.csv", "service", "CRA", "service", "CRX"},
		{"spring-choices.csv", "spring", "SPF-67", "rider", "YY"},
		// what the ledger cannot take
		{"counts.csv", "count", "C-001", "book", "99"},
		{"weighings.csv", "weighing", "G-005", "book ml", "470"},
	} {
		t.Run(c.file+" "+c.column+" "+c.wrong, func(t *testing.T) {
			patched, err := answers.Patched(folder, []answers.Patch{{File: c.file, Where: map[string]string{c.key: c.row}, Set: map[string]string{c.column: c.wrong}}})
			require.NoError(t, err)
			in, err := seasonfile.ReadFolder(patched, "demo", seasonfile.Limits{})
			require.NoError(t, err)
			want := fmt.Sprintf("demo/%s, line %d, column %s: found %q, expected ", c.file, lineOf(t, folder, c.file, c.key, c.row), c.column, c.wrong)
			for name, s := range map[string]*db.Store{"fresh": fresh, "living": living} {
				_, err = s.Load(t.Context(), in, db.LoadOptions{})
				var faults workbook.Faults
				require.ErrorAs(t, err, &faults, name)
				if name == "living" && !slices.ContainsFunc(faults.Lines(), func(l string) bool { return strings.HasPrefix(l, want) }) {
					// over a season that is there, a changed record is refused as such, in its row
					want = strings.Split(want, ", column")[0]
				}
				require.True(t, slices.ContainsFunc(faults.Lines(), func(l string) bool { return strings.HasPrefix(l, want) }), "%s: %q\n%s", name, want, strings.Join(faults.Lines(), "\n"))
			}
		})
	}
	require.Equal(t, before, rows(t, living, t.Context()))
	require.Zero(t, rows(t, fresh, t.Context()))
	requireSound(t, living)
}

// lineOf is the line of the first row whose cell of a column is the value.
func lineOf(t *testing.T, folder fs.FS, file, column, value string) int {
	t.Helper()
	text, err := fs.ReadFile(folder, file)
	require.NoError(t, err)
	sheet, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	require.NoError(t, err)
	at := slices.Index(sheet[0], column)
	for i, row := range sheet[1:] {
		if row[at] == value {
			return i + 2
		}
	}
	t.Fatalf("%s: no row with %s %s", file, column, value)
	return 0
}
