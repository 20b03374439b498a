// Package icalendar answers: how does a season get into the calendar on a phone, and
// rounds out of one?
//
// Method: one all-day event for each event of the agenda, with alarms at nine in the
// morning of the working day before, and of the day itself (earlier where a cut-off is early); read with the same library.
//
// Source: RFC 5545 (2009): 3.6.1 (an all-day event ends on the day after its last),
// 3.6.6 (alarms), 3.8.7.2 (the time stamp).
//
// Limits: events with a time of day are taken by their dates as written; Saturday and
// Sunday are the days without work, public holidays are not known; events that
// repeat are refused by name, since a round is held once.
package icalendar

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"roundkit/planner/agenda"
	"roundkit/planner/day"
)

// sequenceStart is where revisions of an event are counted from, in seconds: a later file's
// is always higher, and it fits 32 bits until 2088.
var sequenceStart = time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)

// Write writes events as a calendar file stamped with the instant it was made at. A program
// that has the events already takes those of a later stamp instead (RFC 5545, 3.8.7.4).
func Write(w io.Writer, events []agenda.Event, stamp time.Time) error {
	cal := ics.NewCalendar()
	cal.SetMethod(ics.MethodPublish)
	cal.SetProductId("-//Roundkit//season//EN")
	for _, e := range events {
		v := cal.AddEvent(e.Name)
		v.SetDtStampTime(stamp)
		v.SetSequence(max(0, int(stamp.Sub(sequenceStart)/time.Second)))
		v.SetAllDayStartAt(e.On.UTC())
		v.SetAllDayEndAt((e.Until + 1).UTC())
		v.SetSummary(e.Title)
		v.SetTimeTransparency(ics.TransparencyTransparent)
		if e.Note != "" {
			v.SetDescription(e.Note)
		}
		if !e.Reminded {
			continue
		}
		for _, trigger := range []string{workdayBefore(e.On), morning(e.Hour)} {
			alarm := v.AddAlarm()
			alarm.SetAction(ics.ActionDisplay)
			alarm.SetTrigger(trigger)
			alarm.SetProperty(ics.ComponentPropertyDescription, e.Title) // the library escapes it, once
		}
	}
	return cal.SerializeTo(w, ics.WithNewLine("\r\n"))
}

// atHour is when an alarm rings if nothing says otherwise; beforeCutOff is how long before a
// supplier's cut-off it rings at the latest: time to read the order and send it.
const (
	atHour       = 9
	beforeCutOff = 2
)

// workdayBefore is nine in the morning of the last day before that is no Saturday and no
// Sunday, in hours before the midnight on which the event begins.
func workdayBefore(on day.Day) string {
	before := on - 1
	for before.Weekday() == time.Saturday || before.Weekday() == time.Sunday {
		before--
	}
	return fmt.Sprintf("-PT%dH", int(on-before)*24-atHour)
}

// morning is nine of the day itself, or two hours before the cut-off where that is earlier.
func morning(cutOff string) string {
	at, err := time.Parse("15:04", cutOff)
	if err != nil {
		return fmt.Sprintf("PT%dH", atHour)
	}
	minutes := max(0, min(atHour*60, at.Hour()*60+at.Minute()-beforeCutOff*60))
	return fmt.Sprintf("PT%dH%dM", minutes/60, minutes%60)
}

// Read reads the events of a calendar file that could be rounds, with every fault at once.
func Read(r io.Reader) ([]agenda.Dated, error) {
	cal, err := ics.ParseCalendar(r)
	if err != nil {
		return nil, fmt.Errorf("found no calendar that can be read, expected an iCalendar file (RFC 5545): %w", err)
	}
	var out []agenda.Dated
	var faults []error
	for i, v := range cal.Events() {
		d := agenda.Dated{Name: text(v, ics.ComponentPropertyUniqueId), Title: text(v, ics.ComponentPropertySummary)}
		fault := func(format string, args ...any) {
			faults = append(faults, fmt.Errorf("event %d (%s): "+format, append([]any{i + 1, d.Title}, args...)...))
		}
		if v.GetProperty(ics.ComponentPropertyRrule) != nil {
			fault("found one that repeats, expected a round, which is held once")
			continue
		}
		first, err := date(text(v, ics.ComponentPropertyDtStart))
		if err != nil {
			fault("first day: %w", err)
			continue
		}
		d.FirstOn, d.LastOn = first, first
		if end := text(v, ics.ComponentPropertyDtEnd); end != "" {
			if d.LastOn, err = date(end); err != nil {
				fault("last day: %w", err)
				continue
			}
			if len(end) == len("20060102") { // the day after the last
				d.LastOn--
			}
		}
		out = append(out, d)
	}
	return out, errors.Join(faults...)
}

func text(v *ics.VEvent, p ics.ComponentProperty) string {
	if found := v.GetProperty(p); found != nil {
		return found.Value
	}
	return ""
}

// date reads the day of a DATE or a DATE-TIME as written.
func date(text string) (day.Day, error) {
	head, _, _ := strings.Cut(text, "T")
	t, err := time.Parse("20060102", head)
	if err != nil {
		return 0, fmt.Errorf("found %q, expected a date such as 20270612", text)
	}
	return day.Of(t.Year(), t.Month(), t.Day()), nil
}
