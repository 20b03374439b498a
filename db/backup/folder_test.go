package backup

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Two years of a load a day, three on the last: what stays is all of the last 24 hours, the
// newest of 7 days, 4 weeks and 12 months (a week or month that a day stands for already
// counts), of each database by itself. The numbers are counted on a calendar by hand.
func TestPrune(t *testing.T) {
	t.Parallel()
	folder := Folder{Path: t.TempDir()}
	now := time.Date(2027, 6, 30, 18, 0, 0, 0, time.UTC) // a Wednesday
	make := func(database string, at time.Time) {
		require.NoError(t, os.WriteFile(folder.Auto(database, "load", at), []byte("12345678"), 0o600))
	}
	for d := range 730 {
		for _, database := range []string{"team", "team-2026"} {
			make(database, now.AddDate(0, 0, -d))
		}
	}
	make("team", now.Add(-time.Hour))
	make("team", now.Add(-2*time.Hour))
	hand := folder.Manual("team", now.AddDate(-5, 0, 0))
	require.NoError(t, os.WriteFile(hand, nil, 0o600))
	require.NoError(t, folder.Prune(now))
	all, err := folder.List()
	require.NoError(t, err)
	var team, other []string
	for _, c := range all {
		if !c.Auto {
			continue
		}
		if c.Database == "team" {
			team = append(team, c.At.Format("2006-01-02 15"))
		} else {
			other = append(other, c.At.Format("2006-01-02 15"))
		}
	}
	want := []string{
		"2027-06-30 18", "2027-06-29 18", "2027-06-28 18", "2027-06-27 18", "2027-06-26 18", "2027-06-25 18", "2027-06-24 18", // days
		"2027-06-20 18", "2027-06-13 18", // Sundays; 30 and 27 June stand for the first two weeks
		"2027-05-31 18", "2027-04-30 18", "2027-03-31 18", "2027-02-28 18", "2027-01-31 18", "2026-12-31 18",
		"2026-11-30 18", "2026-10-31 18", "2026-09-30 18", "2026-08-31 18", "2026-07-31 18", // with 30 June twelve months
	}
	require.Equal(t, want, other, "loads into team left the back-ups of team-2026 alone")
	require.Equal(t, append([]string{want[0], "2027-06-30 17", "2027-06-30 16"}, want[1:]...), team)
	require.FileExists(t, hand, "what a person made stays")
	require.NoError(t, folder.Prune(now))
	again, err := folder.List()
	require.NoError(t, err)
	require.Equal(t, all, again)
}

// They never take more than a twentieth of the disk, but the newest of each stays.
func TestPruneToTheDisk(t *testing.T) {
	t.Parallel()
	now := time.Date(2027, 6, 30, 18, 0, 0, 0, time.UTC)
	folder := Folder{Path: t.TempDir()}
	for d := range 6 {
		require.NoError(t, os.WriteFile(folder.Auto("team", "load", now.AddDate(0, 0, -d)), fmt.Appendf(nil, "%1000d", d), 0o600))
	}
	require.NoError(t, os.WriteFile(folder.Auto("old", "load", now.AddDate(-1, 0, 0)), fmt.Appendf(nil, "%1000d", 0), 0o600))
	left := func(diskBytes uint64) int {
		folder.DiskBytes = func(string) (uint64, error) { return diskBytes, nil }
		require.NoError(t, folder.Prune(now))
		all, err := folder.List()
		require.NoError(t, err)
		require.Equal(t, now, all[0].At)
		return len(all)
	}
	require.Equal(t, 7, left(0), "not known")
	require.Equal(t, 7, left(20*7000))
	require.Equal(t, 6, left(20*7000-20), "one byte over a twentieth")
	require.Equal(t, 4, left(20*4999))
	require.Equal(t, 2, left(20), "the newest of each database")
}

// A key is made once, of mode 0600, and refused when others can read it.
func TestKey(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "data", "backup.key")
	key, err := ReadKey(path)
	require.NoError(t, err)
	require.Len(t, key, 32)
	again, err := ReadKey(path)
	require.NoError(t, err)
	require.Equal(t, key, again)
	info, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	require.NoError(t, os.Chmod(path, 0o640))
	_, err = ReadKey(path)
	require.ErrorContains(t, err, "expected mode 0600")
	require.NoError(t, os.Chmod(path, 0o600))
	require.NoError(t, os.WriteFile(path, []byte("abc"), 0o600))
	_, err = ReadKey(path)
	require.ErrorContains(t, err, "found no key")
	entries, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, entries, 1)
}
