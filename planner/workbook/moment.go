package workbook

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"roundkit/planner/day"
)

// Serial dates count days from the end of 1899; day 60 is 1900-02-29, which never was, so
// that the days before it are one off (ISO/IEC 29500-1, 18.17.4.1).
var (
	serialZero     = day.Of(1899, time.December, 30)
	serialZero1904 = day.Of(1904, time.January, 1)
)

const lastSerial = 2_958_465 // 9999-12-31

// serialDay returns the day of a whole serial number.
func (p *parser) serialDay(n int64) (day.Day, bool) {
	if p.date1904 {
		return serialZero1904 + day.Day(n), n >= 0 && n <= lastSerial-1462
	}
	switch {
	case n < 1 || n > lastSerial || n == 60:
		return 0, false
	case n < 60:
		return serialZero + 1 + day.Day(n), true
	}
	return serialZero + day.Day(n), true
}

const (
	expectedDate = "a date such as 2027-06-05"
	expectedTime = "a time such as 2027-06-05 19:00"
)

// isoDay turns a date that ends in its year (31.10.2027, 10/31/2027, with or without a time) into
// the form of ISO 8601. Which of the two is the day shows where one of them is above 12; where
// both could be, expected says both. Any other text comes back as it is.
func isoDay(text string) (iso, expected string) {
	var numbers [3]int
	var mark byte
	at, i := 0, 0
	for start := 0; ; i++ {
		if i < len(text) && text[i] >= '0' && text[i] <= '9' {
			numbers[at] = numbers[at]*10 + int(text[i]-'0')
			if i-start >= 4 {
				return text, ""
			}
			continue
		}
		if digits := i - start; digits == 0 || at < 2 && digits > 2 || at == 2 && digits != 4 {
			return text, ""
		}
		if at == 2 {
			break
		}
		if i == len(text) || text[i] != '.' && text[i] != '/' && text[i] != '-' || at == 1 && text[i] != mark {
			return text, ""
		}
		mark, start = text[i], i+1
		at++
	}
	rest, a, b, year := text[i:], numbers[0], numbers[1], numbers[2]
	if rest != "" && rest[0] != ' ' && rest[0] != 'T' {
		return text, ""
	}
	write := func(month, dayOfMonth int) string { return fmt.Sprintf("%04d-%02d-%02d", year, month, dayOfMonth) }
	switch {
	case a > 12, a == b: // that there is such a day is seen later
		return write(b, a) + rest, ""
	case b > 12:
		return write(a, b) + rest, ""
	}
	return text, write(b, a) + " or " + write(a, b) + ": which of the two is the day cannot be told"
}

// date reads a date: ISO 8601, or the serial number of a spreadsheet.
func (p *parser) date(c Cell, text string) (day.Day, string) {
	serial, fraction, ok := p.serial(c, text)
	if ok {
		if d, right := p.serialDay(serial); right && fraction == 0 {
			return d, ""
		}
		return 0, expectedDate
	}
	if len(text) > 10 { // a date-time cell at midnight is a date
		if rest := strings.TrimLeft(text[10:], " T"); rest == "00:00" || rest == "00:00:00" {
			text = text[:10]
		}
	}
	d, err := day.Parse(text)
	if err != nil {
		return 0, expectedDate
	}
	return d, ""
}

// serial takes the serial number of a date cell apart into days and a fraction in
// seconds. A text is one only when it is five digits, as a CSV export may write it: the
// years 1927 to 2173.
func (p *parser) serial(c Cell, text string) (days, seconds int64, ok bool) {
	if c.Type == CellText || c.Type == CellBool || c.Type == CellError {
		if len(text) != 5 || strings.Trim(text, "0123456789") != "" || text[0] == '0' {
			return 0, 0, false
		}
	}
	f, err := strconv.ParseFloat(text, 64)
	if err != nil || f < 0 || f > lastSerial+1 {
		return 0, 0, false
	}
	whole, part := math.Modf(f)
	secs := int64(math.Round(part * 86400))
	if secs == 86400 {
		whole, secs = whole+1, 0
	}
	return int64(whole), secs, true
}

// time reads a local time of the season's zone, or one with an offset. bare says whether
// a date alone is taken, as the first instant of that day.
func (p *parser) time(c Cell, text string, bare bool) (time.Time, string) {
	expected := expectedTime
	if bare {
		expected = "a date or a time, such as 2027-06-05 or 2027-06-05 19:00"
	}
	if days, seconds, ok := p.serial(c, text); ok {
		d, right := p.serialDay(days)
		// Midnight is a time only where the cell shows a time of day.
		if !right || seconds == 0 && !bare && c.Type != CellDateTime {
			return time.Time{}, expected
		}
		return p.wall(d.UTC().Add(time.Duration(seconds)*time.Second), seconds == 0 && bare, expected)
	}
	if len(text) == 10 && bare {
		d, err := day.Parse(text)
		if err != nil {
			return time.Time{}, expected
		}
		return d.Start(p.zone).UTC(), ""
	}
	if len(text) < 16 || len(text) > 40 || text[10] != ' ' && text[10] != 'T' {
		return time.Time{}, expected
	}
	clock := text[:10] + " " + strings.TrimSpace(text[11:])
	for _, form := range []string{"2006-01-02 15:04", "2006-01-02 15:04:05"} {
		if wall, err := time.Parse(form, clock); err == nil {
			return p.wall(wall.Truncate(time.Microsecond), false, expected)
		}
	}
	for _, form := range []string{
		"2006-01-02 15:04Z07:00", "2006-01-02 15:04 Z07:00",
		"2006-01-02 15:04:05Z07:00", "2006-01-02 15:04:05 Z07:00",
	} {
		if t, err := time.Parse(form, clock); err == nil && t.Year() > 0 {
			return t.UTC().Truncate(time.Microsecond), "" // as finely as the ledger keeps time
		}
	}
	return time.Time{}, expected
}

// wall turns a time on the wall, given as if it were UTC, into the instant of the
// season's zone. In the gap of a clock change there is none; in the doubled hour there
// are two, and which one only an offset can say.
func (p *parser) wall(wall time.Time, midnight bool, expected string) (time.Time, string) {
	if wall.Year() < 1 || wall.Year() > 9999 {
		return time.Time{}, expected
	}
	instants := wallInstants(wall, p.zone)
	switch {
	case midnight && len(instants) != 1:
		return day.At(wall, time.UTC).Start(p.zone).UTC(), ""
	case len(instants) == 0:
		return time.Time{}, "a time that exists: clocks in " + p.zone.String() + " go forward over it"
	case len(instants) == 2:
		first := instants[0].In(p.zone).Format("2006-01-02 15:04-07:00")
		second := instants[1].In(p.zone).Format("-07:00")
		return time.Time{}, "an offset, " + first + " or " + second + ": clocks go back over that hour"
	}
	return instants[0], ""
}

// wallInstants returns the instants at which a clock in the zone shows the wall time.
func wallInstants(wall time.Time, zone *time.Location) []time.Time {
	var out []time.Time
	for _, near := range []time.Duration{-24 * time.Hour, 24 * time.Hour} {
		_, offset := wall.Add(near).In(zone).Zone()
		t := wall.Add(-time.Duration(offset) * time.Second)
		if _, there := t.In(zone).Zone(); there == offset && (len(out) == 0 || !out[0].Equal(t)) {
			out = append(out, t)
		}
	}
	return out
}

// clock reads a time of day, HH:MM, or the fraction of a day that a spreadsheet keeps.
func (p *parser) clock(c Cell, text string) (string, string) {
	const expected = "a time of day such as 12:00"
	if c.Type == CellClock || c.Type == CellNumber || c.Type == CellDateTime {
		f, err := strconv.ParseFloat(text, 64)
		if err != nil || f < 0 || f >= 1 {
			return "", expected
		}
		minutes := int(math.Round(f * 24 * 60))
		return time.Time{}.Add(time.Duration(minutes) * time.Minute).Format("15:04"), ""
	}
	for _, form := range []string{"15:04", "15:04:05"} {
		if t, err := time.Parse(form, text); err == nil {
			return t.Format("15:04"), ""
		}
	}
	return "", expected
}
