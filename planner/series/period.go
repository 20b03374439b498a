package series

import (
	"fmt"
	"regexp"
	"strconv"
	"time"
)

// Length is how long a period is.
type Length string

// The lengths.
const (
	Month Length = "month"
	Week  Length = "week" // ISO 8601: from Monday, named after the year of its Thursday
)

// Period is one month or week, counted so that the next is one more.
type Period int

var periodName = regexp.MustCompile(`^([0-9]{4})-(W?)([0-9]{2})$`)

// ParsePeriod reads a month (2026-03) or a week (2026-W09).
func ParsePeriod(text string) (Period, Length, error) {
	m := periodName.FindStringSubmatch(text)
	if m == nil {
		return 0, "", fmt.Errorf("found %q, expected a month such as 2026-03 or a week such as 2026-W09", text)
	}
	year, _ := strconv.Atoi(m[1])
	n, _ := strconv.Atoi(m[3])
	if m[2] == "" {
		if n < 1 || n > 12 {
			return 0, "", fmt.Errorf("found %q, expected a month from 01 to 12", text)
		}
		return Period(year*12 + n - 1), Month, nil
	}
	p := firstWeek(year) + Period(n-1)
	if n < 1 || p >= firstWeek(year+1) {
		return 0, "", fmt.Errorf("found %q, expected a week from W01 to W%02d", text, firstWeek(year+1)-firstWeek(year))
	}
	return p, Week, nil
}

const secondsADay = 24 * 60 * 60

// firstWeek is the week of 4 January, in weeks since that of Monday 3 January 0000.
func firstWeek(year int) Period {
	start := time.Date(0, 1, 3, 0, 0, 0, 0, time.UTC)
	fourth := time.Date(year, 1, 4, 0, 0, 0, 0, time.UTC)
	return Period((fourth.Unix() - start.Unix()) / secondsADay / 7)
}

// Name writes the period as it is read.
func (p Period) Name(l Length) string {
	if l == Month {
		return fmt.Sprintf("%04d-%02d", int(p)/12, int(p)%12+1)
	}
	thursday := time.Date(0, 1, 3+3+7*int(p), 0, 0, 0, 0, time.UTC)
	year, week := thursday.ISOWeek()
	return fmt.Sprintf("%04d-W%02d", year, week)
}
