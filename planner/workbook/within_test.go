package workbook_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/workbook"
)

// What lies far off the season, or beyond what a team has, is a slip of a key: each is refused
// at its cell, and the last value that still can be is not.
func TestWhatCannotBe(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ sheet, heading, can, cannot, expected string }{
		{"stock", "counted on", "2027-01-09", "2027-01-08", "a day of 2027-01-09 to 2028-04-12: the season is 2027-02-08 to 2027-10-15 (sheet season)"},
		{"stock", "counted on", "2028-04-12", "2072-06-05", "a day of 2027-01-09 to 2028-04-12: the season is 2027-02-08 to 2027-10-15 (sheet season)"},
		{"job-log", "done at", "2027-02-08 00:00", "2026-06-05 10:00", "a day of 2027-02-08 to 2028-04-12: the season is 2027-02-08 to 2027-10-15 (sheet season)"},
		{"trips", "pack by", "2026-09-01", "2026-01-05", "a day of 2026-08-12 to 2028-04-12: the season is 2027-02-08 to 2027-10-15 (sheet season)"},
		{"stock", "quantity", "1000000", "1000001", "at most 1000000 ml"},
		{"service-lines", "quantity", "100000", "100001", "at most 100000 pc"},
		{"charges", "amount", "999999999.99", "1000000000", "an amount below 1000000000"},
		{"charges", "currency", "EUR", "XXX", "a currency code of ISO 4217, such as EUR"},
		{"planned-jobs", "jobs", "1000", "1001", "at most 1000"},
		{"season", "last day", "2029-02-09", "2072-10-15", "a day of the two years from 2027-02-08 on"},
	} {
		s := newSeason(t)
		s.set(c.sheet, 2, c.heading, c.can)
		_, faults := workbook.Load(s.input(), nil)
		for _, f := range faults {
			require.NotEqual(t, c.heading, f.Heading, f.String())
		}
		s.set(c.sheet, 2, c.heading, c.cannot)
		_, faults = workbook.Load(s.input(), nil)
		var said []string
		for _, f := range faults {
			if f.Sheet == c.sheet && f.Heading == c.heading {
				said = append(said, f.Expected)
			}
		}
		require.Equal(t, []string{c.expected}, said, "%s, %s: %s", c.sheet, c.heading, c.cannot)
	}
}

// A code is what it looks like: what is hidden in it, or turns it round, is refused at its
// cell. A name may have two lines, a code may not.
func TestCodesAreWhatTheyLookLike(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text string
		can  bool
	}{
		{"crush washer", true}, {"Scheibe für Öl", true}, {"crush\u202ewasher", false}, {"crush\u200bwasher", false}, {"crush\x1bwasher", false},
		{"crush\nwasher", true}, {"crush\u0085washer", false}, {"crush\u2066washer", false},
	} {
		s := newSeason(t)
		s.set("parts", 2, "name", c.text)
		_, faults := workbook.Load(s.input(), nil)
		if c.can {
			require.Empty(t, faults.Lines(), "%q", c.text)
			continue
		}
		require.Len(t, faults, 1, "%q", c.text)
		require.Contains(t, faults[0].String(), "expected text without control characters and marks that turn its direction")
	}
	s := newSeason(t)
	s.add("people", "u\u202e9|Nobody|mechanic")
	_, faults := workbook.Load(s.input(), nil)
	require.Len(t, faults, 1)
}

// One text of 130,000 digits may stand in every cell of a small spreadsheet: it is refused
// before it is read as a number, and the fault does not carry it along.
func TestEndlessTextIsNotRead(t *testing.T) {
	t.Parallel()
	s := newSeason(t)
	endless := strings.Repeat("1", 130_000)
	s.set("stock", 2, "quantity", endless)
	s.set("stock", 2, "counted on", endless)
	s.set("parts", 2, "mass g", endless)
	_, faults := workbook.Load(s.input(), nil)
	require.Len(t, faults, 3)
	for _, f := range faults {
		require.Equal(t, "at most 4000 characters", f.Expected)
		require.Less(t, len(f.Found), 100)
	}
}
