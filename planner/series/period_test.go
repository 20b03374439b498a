package series

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Every day of four centuries: its ISO week as the standard library says (ISO 8601), and its
// month, are read back, and the next period is one more.
func TestPeriodsOfEveryDay(t *testing.T) {
	t.Parallel()
	last := map[Length]Period{}
	for at := time.Date(1899, 12, 1, 0, 0, 0, 0, time.UTC); at.Year() < 2300; at = at.AddDate(0, 0, 1) {
		year, week := at.ISOWeek()
		for length, text := range map[Length]string{Week: name("%04d-W%02d", year, week), Month: at.Format("2006-01")} {
			p, l, err := ParsePeriod(text)
			require.NoError(t, err)
			require.Equal(t, length, l)
			require.Equal(t, text, p.Name(l))
			if was, ok := last[l]; ok {
				require.True(t, p == was || p == was+1, "%s", text)
			}
			last[l] = p
		}
	}
}

// Years of 53 weeks: those that begin on a Thursday, and leap years that begin on a Wednesday
// (ISO 8601): 2015, 2020, 2026, 2032 among these.
func TestWeek53(t *testing.T) {
	t.Parallel()
	long := map[int]bool{2015: true, 2020: true, 2026: true, 2032: true}
	for year := 2014; year < 2035; year++ {
		_, _, err := ParsePeriod(name("%04d-W%02d", year, 53))
		require.Equal(t, long[year], err == nil, year)
	}
	for _, wrong := range []string{"2026-13", "2026-00", "2026-W00", "2026-W54", "2026-1", "2026", "2026-03-01", "W09-2026", "2026-w09", ""} {
		_, _, err := ParsePeriod(wrong)
		require.ErrorContains(t, err, "expected", wrong)
	}
}
