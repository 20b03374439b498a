package day_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner/day"
)

func TestParseAndWrite(t *testing.T) {
	t.Parallel()
	d, err := day.Parse("2027-06-05")
	require.NoError(t, err)
	require.Equal(t, "2027-06-05", d.String())
	require.Equal(t, time.Saturday, d.Weekday(), "a Saturday: proleptic Gregorian calendar")
	for _, bad := range []string{"", "2027-6-5", "2027-02-29", "05.06.2027", "2027-13-01"} {
		_, err := day.Parse(bad)
		require.Error(t, err, bad)
	}
}

// The Unix epoch and the ISO 8601 week examples of 2027-01-01 (a Friday).
func TestKnownDays(t *testing.T) {
	t.Parallel()
	require.Equal(t, day.Day(0), day.Of(1970, time.January, 1))
	require.Equal(t, day.Day(-1), day.Of(1969, time.December, 31))
	require.Equal(t, time.Friday, day.Of(2027, time.January, 1).Weekday())
}

// Months after opening end on the same day of the month (common practice), or on
// the last one where the month is shorter.
func TestAddMonths(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		from string
		n    int
		want string
	}{
		{"2027-01-31", 1, "2027-02-28"},
		{"2028-01-31", 1, "2028-02-29"},
		{"2027-06-05", 12, "2028-06-05"},
		{"2027-11-30", 3, "2028-02-29"},
		{"2027-03-31", -1, "2027-02-28"},
	} {
		d, err := day.Parse(c.from)
		require.NoError(t, err)
		require.Equal(t, c.want, d.AddMonths(c.n).String(), c.from)
	}
}

// Lisbon, Havana and Vienna: the last local instant of a day is before its End,
// also where the clocks change (IANA time zone database).
func TestDayBounds(t *testing.T) {
	t.Parallel()
	for _, zone := range []string{"Europe/Vienna", "America/Havana", "Pacific/Auckland"} {
		loc, err := time.LoadLocation(zone)
		require.NoError(t, err)
		for d := day.Of(2027, 1, 1); d < day.Of(2028, 1, 1); d++ {
			require.Equal(t, d, day.At(d.Start(loc), loc), "%s %s", zone, d)
			require.Equal(t, d, day.At(d.End(loc).Add(-time.Nanosecond), loc), "%s %s", zone, d)
		}
	}
}

func TestTextRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := day.Day(rapid.IntRange(-700000, 2900000).Draw(t, "day"))
		text, err := d.MarshalText()
		require.NoError(t, err)
		var back day.Day
		require.NoError(t, back.UnmarshalText(text))
		require.Equal(t, d, back)
	})
}
