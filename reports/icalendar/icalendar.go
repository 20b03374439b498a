// Package icalendar answers: how does a season get into the calendar on a phone, and
// rounds out of one?
//
// Method: one all-day event for each event of the agenda, with alarms at nine in the
// morning of the day before, and of the day itself; read with the same library.
//
// Source: RFC 5545 (2009): 3.6.1 (an all-day event ends on the day after its last),
// 3.6.6 (alarms), 3.8.7.2 (the time stamp).
//
// Limits: events with a time of day are taken by their dates as written; events that
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

// Write writes events as a calendar file stamped with an instant.
func Write(w io.Writer, events []agenda.Event, stamp time.Time) error {
	cal := ics.NewCalendar()
	cal.SetMethod(ics.MethodPublish)
	cal.SetProductId("-//Roundkit//season//EN")
	for _, e := range events {
		v := cal.AddEvent(e.Name)
		v.SetDtStampTime(stamp)
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
		for _, trigger := range []string{"-PT15H", "PT9H"} { // nine in the morning, the day before and the day
			alarm := v.AddAlarm()
			alarm.SetAction(ics.ActionDisplay)
			alarm.SetTrigger(trigger)
			alarm.SetProperty(ics.ComponentPropertyDescription, ics.ToText(e.Title))
		}
	}
	return cal.SerializeTo(w, ics.WithNewLine("\r\n"))
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
