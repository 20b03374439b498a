package app

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
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
