package icalendar_test

import (
	"bytes"
	"io"
	"strings"
	"testing"
	"time"

	independent "github.com/emersion/go-ical"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/agenda"
	"roundkit/planner/day"
	"roundkit/reports/icalendar"
)

// What is written is read by another parser than the one that wrote it; days, alarms and
// line ends are RFC 5545's (3.6.1: the end is the day after; 3.1: CR LF, 75 octets a line).
func TestWrittenIsReadByAnother(t *testing.T) {
	t.Parallel()
	title := "order by today: Höhenrausch Dichtungen, 412.50 EUR; two lines, and a comma"
	events := []agenda.Event{
		{Name: "round-KAR@2027", Title: "KAR, Karst", On: day.Of(2027, 6, 11), Until: day.Of(2027, 6, 13)},
		{Name: "order-HD-TR-ALP-1@2027", Title: title, On: day.Of(2027, 6, 1), Until: day.Of(2027, 6, 1), Note: strings.Repeat("2 x WIP-40, ", 20), Reminded: true},
	}
	var b bytes.Buffer
	require.NoError(t, icalendar.Write(&b, events, time.Date(2027, 5, 30, 22, 0, 0, 0, time.UTC)))
	for line := range strings.SplitSeq(strings.TrimSuffix(b.String(), "\r\n"), "\r\n") {
		require.LessOrEqual(t, len(line), 75)
		require.NotContains(t, line, "\n")
	}
	cal, err := independent.NewDecoder(&b).Decode()
	require.NoError(t, err)
	got := cal.Events()
	require.Len(t, got, 2)
	value := func(i int, name string) string { return got[i].Props.Get(name).Value }
	require.Equal(t, []string{"20270611", "20270614", "20270530T220000Z"}, []string{value(0, "DTSTART"), value(0, "DTEND"), value(0, "DTSTAMP")})
	require.Equal(t, "DATE", got[0].Props.Get("DTSTART").Params.Get("VALUE"))
	require.Empty(t, got[0].Children)
	summary, err := got[1].Props.Text("SUMMARY")
	require.NoError(t, err)
	require.Equal(t, title, summary)
	require.Len(t, got[1].Children, 2)
	for i, want := range []time.Duration{-15 * time.Hour, 9 * time.Hour} {
		require.Equal(t, "VALARM", got[1].Children[i].Name)
		trigger, err := got[1].Children[i].Props.Get("TRIGGER").Duration()
		require.NoError(t, err)
		require.Equal(t, want, trigger)
		words, err := got[1].Children[i].Props.Text("DESCRIPTION")
		require.NoError(t, err)
		require.Equal(t, title, words, "as an alarm says it")
	}
}

// Alarms by hand: 7 June 2027 is a Monday, its working day before the Friday, three days or 72
// hours less nine; a cut-off at 08:30 leaves two hours from 06:30, one at 16:00 is after nine
// o'clock by more; before 01:30 there is nothing earlier on the day than its midnight.
func TestAlarms(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		on          day.Day
		hour        string
		before, day time.Duration
	}{
		{day.Of(2027, 6, 7), "", -63 * time.Hour, 9 * time.Hour},
		{day.Of(2027, 6, 6), "", -39 * time.Hour, 9 * time.Hour}, // a Sunday: two days
		{day.Of(2027, 6, 8), "16:00", -15 * time.Hour, 9 * time.Hour},
		{day.Of(2027, 6, 8), "08:30", -15 * time.Hour, 6*time.Hour + 30*time.Minute},
		{day.Of(2027, 6, 8), "01:30", -15 * time.Hour, 0},
	} {
		var b bytes.Buffer
		require.NoError(t, icalendar.Write(&b, []agenda.Event{{Name: "a", Title: "t", On: c.on, Until: c.on, Reminded: true, Hour: c.hour}}, time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)))
		cal, err := independent.NewDecoder(&b).Decode()
		require.NoError(t, err)
		alarms := cal.Events()[0].Children
		require.Len(t, alarms, 2)
		for i, want := range []time.Duration{c.before, c.day} {
			got, err := alarms[i].Props.Get("TRIGGER").Duration()
			require.NoError(t, err)
			require.Equal(t, want, got, "%s %s", c.on, c.hour)
		}
	}
}

// A file saved later is the newer one of the same event: RFC 5545, 3.8.7.4.
func TestSequenceRises(t *testing.T) {
	t.Parallel()
	sequence := func(stamp time.Time) int {
		var b bytes.Buffer
		require.NoError(t, icalendar.Write(&b, []agenda.Event{{Name: "a", Title: "t"}}, stamp))
		cal, err := independent.NewDecoder(&b).Decode()
		require.NoError(t, err)
		n, err := cal.Events()[0].Props.Get("SEQUENCE").Int()
		require.NoError(t, err)
		return n
	}
	at := time.Date(2027, 6, 5, 19, 0, 0, 0, time.UTC)
	require.Greater(t, sequence(at.Add(time.Minute)), sequence(at))
	require.Less(t, sequence(time.Date(2087, 1, 1, 0, 0, 0, 0, time.UTC)), 1<<31)
}

func TestRead(t *testing.T) {
	t.Parallel()
	file := func(events ...string) io.Reader {
		return strings.NewReader("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//another//EN\r\n" + strings.Join(events, "") + "END:VCALENDAR\r\n")
	}
	event := func(lines ...string) string {
		return "BEGIN:VEVENT\r\nDTSTAMP:20270101T000000Z\r\n" + strings.Join(lines, "\r\n") + "\r\nEND:VEVENT\r\n"
	}
	got, err := icalendar.Read(file(
		event("UID:1", "SUMMARY:KAR: Karst", "DTSTART;VALUE=DATE:20270611", "DTEND;VALUE=DATE:20270614"),
		event("UID:2", "SUMMARY:NEW", "DTSTART:20270701T080000Z", "DTEND:20270702T180000Z"),
		event("UID:3", "SUMMARY:ONE", "DTSTART;VALUE=DATE:20270711")))
	require.NoError(t, err)
	require.Equal(t, []agenda.Dated{
		{Name: "1", Title: "KAR: Karst", FirstOn: day.Of(2027, 6, 11), LastOn: day.Of(2027, 6, 13)},
		{Name: "2", Title: "NEW", FirstOn: day.Of(2027, 7, 1), LastOn: day.Of(2027, 7, 2)},
		{Name: "3", Title: "ONE", FirstOn: day.Of(2027, 7, 11), LastOn: day.Of(2027, 7, 11)},
	}, got)
	_, err = icalendar.Read(file(
		event("UID:1", "SUMMARY:KAR", "DTSTART:soon"),
		event("UID:2", "SUMMARY:WK", "DTSTART;VALUE=DATE:20270611", "RRULE:FREQ=WEEKLY")))
	require.ErrorContains(t, err, `event 1 (KAR): first day: found "soon", expected a date such as 20270612`)
	require.ErrorContains(t, err, "event 2 (WK): found one that repeats, expected a round, which is held once")
	_, err = icalendar.Read(strings.NewReader("round,first\n"))
	require.ErrorContains(t, err, "expected an iCalendar file")
}

func TestRounds(t *testing.T) {
	t.Parallel()
	season := planner.Season{Code: "2027", FirstOn: day.Of(2027, 2, 1), LastOn: day.Of(2027, 11, 1)}
	known := []planner.Round{{Code: "KAR", Trip: "TR-ALP", FirstOn: day.Of(2027, 6, 11), LastOn: day.Of(2027, 6, 13)}}
	same := agenda.Dated{Name: "round-KAR@2027", Title: "moved by hand", FirstOn: day.Of(2027, 6, 11), LastOn: day.Of(2027, 6, 13)}
	changes, faults := agenda.Rounds(season, known, []agenda.Dated{same, {Name: "pack-TR-ALP@2027", Title: "packed", FirstOn: day.Of(2027, 6, 1), LastOn: day.Of(2027, 6, 1)}})
	require.Empty(t, faults)
	require.Empty(t, changes, "the days stand; packing is no round")
	moved := same
	moved.FirstOn, moved.LastOn = day.Of(2027, 6, 12), day.Of(2027, 6, 14)
	changes, faults = agenda.Rounds(season, known, []agenda.Dated{moved, {Name: "x", Title: "NEW, hill", FirstOn: day.Of(2027, 9, 1), LastOn: day.Of(2027, 9, 2)}})
	require.Empty(t, faults)
	require.Len(t, changes, 2)
	require.Equal(t, "TR-ALP", changes[0].Round.Trip, "the rest of the round stays")
	require.Equal(t, day.Of(2027, 6, 11), changes[0].Was.FirstOn)
	require.Nil(t, changes[1].Was)
	require.Equal(t, "hill", changes[1].Round.Name)
	_, faults = agenda.Rounds(season, known, []agenda.Dated{moved, moved, {Title: "", FirstOn: 1, LastOn: 1}, {Title: "OLD", FirstOn: day.Of(2026, 9, 1), LastOn: day.Of(2026, 9, 2)}})
	require.Len(t, faults, 3)
}
