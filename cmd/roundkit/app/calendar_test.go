package app

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db/dbtest"
)

// The season's days go into a file; the same file back changes nothing; a round moved in
// it moves the round, once, and a day outside the season is refused.
func TestCalendar(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	file := filepath.Join(t.TempDir(), "season.ics")
	out, _ := run(frame.Done, "calendar", "save", file)
	require.Contains(t, out, "events written to")
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Contains(t, string(text), "round-KAR@")
	require.Contains(t, string(text), "pack-TR-TES@")
	require.Contains(t, string(text), "order by today")

	out, _ = run(frame.Done, "calendar", "load", file)
	require.Contains(t, out, "0 of ")
	moved := strings.Replace(string(text), "DTEND;VALUE=DATE:20270614", "DTEND;VALUE=DATE:20270613", 1)
	require.NotEqual(t, string(text), moved, "Karst ends on 2027-06-13")
	require.NoError(t, os.WriteFile(file, []byte(moved), 0o600))
	out, _ = run(frame.Done, "calendar", "load", file, "--dry-run")
	require.Contains(t, out, "dry run, nothing was changed")
	out, _ = run(frame.Done, "calendar", "load", file)
	require.Contains(t, out, "to 2027-06-12 (before: ")
	out, _ = run(frame.Done, "calendar", "load", file)
	require.Contains(t, out, "0 of ")

	require.NoError(t, os.WriteFile(file, []byte(strings.ReplaceAll(moved, "DTSTART;VALUE=DATE:2027", "DTSTART;VALUE=DATE:2029")), 0o600))
	_, errs := run(frame.Refused, "calendar", "load", file)
	require.Contains(t, errs, "before it begins")
}

// A round cannot be moved out of its trip: the trip's new days are offered, and with them the
// saved season loads again. By hand: Karst moves by seven days, TR-ALP's first round stays, so
// the trip leaves as planned and is back seven days later, 2027-06-21 for 2027-06-14; the van
// for Karst goes seven days later too, 2027-06-14 for 2027-06-07.
func TestCalendarKeepsTrips(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := person(t, url)
	file := filepath.Join(t.TempDir(), "season.ics")
	event := func(title, first, after string) string {
		return "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//t//EN\r\nBEGIN:VEVENT\r\nUID:a\r\nDTSTAMP:20270101T000000Z\r\nSUMMARY:" + title +
			"\r\nDTSTART;VALUE=DATE:" + first + "\r\nDTEND;VALUE=DATE:" + after + "\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
	}
	write := func(text string) { require.NoError(t, os.WriteFile(file, []byte(text), 0o600)) }
	write(event("KAR", "20270617", "20270621"))

	for _, more := range [][]string{nil, {"--dry-run"}} {
		_, errs := run(frame.Refused, append([]string{"calendar", "load", file}, more...)...)
		require.Contains(t, errs, `found "2027-06-20", expected not after 2027-06-14, when trip TR-ALP is back (KAR)`)
		require.Contains(t, errs, "moved with its rounds, trip TR-ALP: back 2027-06-21 (before: 2027-06-14), top-up 2027-06-14 (before: 2027-06-07)")
		require.Contains(t, errs, "hint: if the trip moves too: the same again with --move-trips")
	}
	_, asked := typing(t, url, frame.Refused, "n\n", "calendar load "+file)
	require.Contains(t, asked, "Move the trip too? [y/N]")
	require.Contains(t, asked, "nothing was changed")
	out, _ := run(frame.Done, "calendar", "load", file, "--move-trips")
	require.Contains(t, out, "KAR: 2027-06-17 to 2027-06-20 (before: 2027-06-10 to 2027-06-13)\ntrip TR-ALP: back 2027-06-21")
	out, _ = run(frame.Done, "calendar", "load", file)
	require.Contains(t, out, "0 of 1")

	// a code that no workbook takes is refused, and so is a job that one would refuse
	write(event("K\u202eAR", "20270701", "20270702"))
	_, errs := run(frame.Refused, "calendar", "load", file)
	require.Contains(t, errs, "odd characters")
	write(event("NEW\\, a new one", "20270920", "20270922"))
	run(frame.Done, "calendar", "load", file)

	saved := filepath.Join(t.TempDir(), "saved.xlsx")
	run(frame.Done, "workbook", "save", saved)
	out, _ = run(frame.Done, "workbook", "load", saved, "--dry-run")
	require.Contains(t, out, "nothing changed")
	again := person(t, dbtest.URL(t, empty()))
	out, _ = again(frame.Done, "workbook", "load", saved)
	require.Contains(t, out, "season 2027 loaded")
}

// A job that the workbook would refuse is not planned in the pits either: a fork has no damper oil on record, and the rebuild takes it.
func TestPlanIsCheckedLikeALoad(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	defer func() { require.NoError(t, conn.Close(t.Context())) }()
	_, err = conn.Exec(t.Context(), "UPDATE assembly SET damper_oil = NULL WHERE code = 'F08'")
	require.NoError(t, err)
	run := person(t, url)
	_, errs := run(frame.Refused, "plan", "add", "WB3", "DMP", "--on", "F08")
	require.Contains(t, errs, `found "F08", expected an assembly with a damper oil: DMP takes it`)
	_, errs = run(frame.Done, "plan", "add", "WB3", "DMP", "--on", "F07")
	require.Empty(t, errs)
}

// A path that ends in a slash is a folder, made where there is none; what is there already is
// written over only when told so, by every command that writes.
func TestSaveMakesTheFolder(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	folder := filepath.Join(t.TempDir(), "far", "season") + "/"
	run(frame.Done, "workbook", "save", folder)
	out, _ := run(frame.Done, "workbook", "load", folder, "--dry-run")
	require.Contains(t, out, "nothing changed")
	_, errs := run(frame.Refused, "workbook", "save", folder)
	require.Contains(t, errs, "a file is there already, expected a new name, or --replace")
	run(frame.Done, "workbook", "save", folder, "--replace")
	for _, line := range []string{"workbook save f.xlsx", "calendar save f.ics", "labels --out f.xlsx", "reorder --out f.xlsx", "reorder --csv f"} {
		words := strings.Fields(line)
		last := len(words) - 1
		words[last] = filepath.Join(t.TempDir(), words[last])
		run(frame.Done, words...)
		_, errs := run(frame.Refused, words...)
		require.Contains(t, errs, "a file is there already", line)
		run(frame.Done, append(words, "--replace")...)
	}
}
