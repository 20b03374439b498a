// Package day answers: which calendar day is it, and how many days lie between?
//
// A Day is a date of the season calendar without a clock or a zone. Method: the
// number of days since 1970-01-01 in the proleptic Gregorian calendar, so that
// comparing and counting are integer arithmetic. Limits: years 1 to 9999, as
// ISO 8601 writes them.
package day

import (
	"fmt"
	"time"
)

// Day is a calendar date: days since 1970-01-01.
type Day int32

const secondsPerDay = 24 * 60 * 60

// Of returns the day of a year, month and day of the month; out-of-range values
// carry over as in time.Date.
func Of(year int, month time.Month, dayOfMonth int) Day {
	return fromUTC(time.Date(year, month, dayOfMonth, 0, 0, 0, 0, time.UTC))
}

// At returns the day that holds the instant in the given zone.
func At(instant time.Time, zone *time.Location) Day {
	y, m, d := instant.In(zone).Date()
	return Of(y, m, d)
}

// Parse reads an ISO 8601 calendar date such as 2027-06-05.
func Parse(text string) (Day, error) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return 0, fmt.Errorf("found %q, expected a date such as 2027-06-05", text)
	}
	if t.Year() < 1 {
		return 0, fmt.Errorf("found %q, expected a year from 0001 to 9999", text)
	}
	return fromUTC(t), nil
}

func fromUTC(t time.Time) Day {
	s := t.Unix()
	d := s / secondsPerDay
	if s%secondsPerDay < 0 {
		d--
	}
	return Day(d)
}

// UTC returns midnight of the day in UTC, the form the database driver takes.
func (d Day) UTC() time.Time { return time.Unix(int64(d)*secondsPerDay, 0).UTC() }

// Start returns the first instant of the day in the zone. Where clocks change at
// midnight it is the first instant that carries this date.
func (d Day) Start(zone *time.Location) time.Time {
	y, m, dd := d.UTC().Date()
	t := time.Date(y, m, dd, 0, 0, 0, 0, zone)
	if At(t, zone) < d { // midnight does not exist that day: take the end of the gap
		t = t.Add(time.Hour)
	}
	return t
}

// End returns the first instant after the day in the zone: "by the end of the
// day" is everything before it.
func (d Day) End(zone *time.Location) time.Time { return (d + 1).Start(zone) }

// String writes the day as ISO 8601.
func (d Day) String() string { return d.UTC().Format(time.DateOnly) }

// Weekday of the day.
func (d Day) Weekday() time.Weekday { return d.UTC().Weekday() }

// AddMonths returns the same day of the month n months on, or the last day of
// that month where it is shorter (common practice for "12 months after opening").
func (d Day) AddMonths(n int) Day {
	y, m, dd := d.UTC().Date()
	first := Of(y, m+time.Month(n), 1)
	fy, fm, _ := first.UTC().Date()
	last := Of(fy, fm+1, 0)
	_, _, lastDay := last.UTC().Date()
	return first + Day(min(dd, lastDay)-1)
}

// MarshalText writes ISO 8601, so that JSON shows dates as text.
func (d Day) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads ISO 8601.
func (d *Day) UnmarshalText(text []byte) error {
	v, err := Parse(string(text))
	if err != nil {
		return err
	}
	*d = v
	return nil
}
