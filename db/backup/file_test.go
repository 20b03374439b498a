package backup

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var testKey = Key(strings.Repeat("k", keyBytes))

func write(t *testing.T, path string, replace bool, tables map[string]string) error {
	t.Helper()
	w, err := Create(path, testKey, Head{Database: "team", Schema: 3}, replace)
	if err != nil {
		return err
	}
	for name, rows := range tables {
		require.NoError(t, w.Table(name, []string{"a", "b"}, func(out io.Writer) (int64, error) {
			_, err := io.WriteString(out, rows)
			return int64(strings.Count(rows, "\n")), err
		}))
	}
	require.NoError(t, w.Sequence("a_id_seq", 7))
	return w.Close()
}

// What is written is read, long lines and lines like our own included; sources of the
// awkward rows: COPY's text format escapes a backslash, so "\\." is data and "\." is not.
func TestWriteAndRead(t *testing.T) {
	t.Parallel()
	for _, rows := range []string{"", "1\tx\n", "\\\\.\t2\n\n{\"end\":true}\tx\n", strings.Repeat("y", 1<<20) + "\n" + strings.Repeat("z", 1<<16) + "\n1\n"} {
		path := filepath.Join(t.TempDir(), "a.backup")
		require.NoError(t, write(t, path, false, map[string]string{"part": rows}))
		f, err := Open(path, testKey)
		require.NoError(t, err)
		got, last := "", int64(0)
		require.NoError(t, f.Read(Into{
			Table: func(name string, columns []string, from io.Reader) (int64, error) {
				require.Equal(t, "part", name)
				require.Equal(t, []string{"a", "b"}, columns)
				text, err := io.ReadAll(from)
				got = string(text)
				return int64(strings.Count(got, "\n")), err
			},
			Sequence: func(_ string, n int64) error { last = n; return nil },
		}))
		require.Equal(t, rows, got)
		require.EqualValues(t, 7, last)
		require.EqualValues(t, 3, f.Head.Schema)
		f.Close()
	}
}

// Nothing is overwritten unasked, nothing but a plain file ever, and nothing is left of a
// write that was refused.
func TestOverwrite(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	path := filepath.Join(folder, "a.backup")
	require.NoError(t, os.WriteFile(path, []byte("mine"), 0o644))
	require.ErrorIs(t, write(t, path, false, nil), ErrExists)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "mine", string(text))
	link := filepath.Join(folder, "link")
	require.NoError(t, os.Symlink(path, link))
	for _, bad := range []string{os.DevNull, folder, link} {
		require.ErrorIs(t, write(t, bad, true, nil), ErrExists, bad)
	}
	info, err := os.Stat(os.DevNull)
	require.NoError(t, err)
	require.NotZero(t, info.Mode()&os.ModeDevice)
	require.NoError(t, write(t, path, true, nil))
	info, err = os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Len(t, entries, 2)

	// somebody takes the name while the file is written
	late := filepath.Join(folder, "late.backup")
	w, err := Create(late, testKey, Head{}, false)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(late, []byte("theirs"), 0o600))
	require.ErrorIs(t, w.Close(), ErrExists)
	text, err = os.ReadFile(late)
	require.NoError(t, err)
	require.Equal(t, "theirs", string(text))
}

// A table that says another number of rows than it wrote is found in reading back.
func TestReadBack(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "a.backup")
	w, err := Create(path, testKey, Head{}, false)
	require.NoError(t, err)
	require.NoError(t, w.Table("part", nil, func(out io.Writer) (int64, error) {
		_, err := io.WriteString(out, "1\n2\n")
		return 3, err
	}))
	require.ErrorIs(t, w.Close(), ErrDamaged)
	entries, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Empty(t, entries)
}

// Somebody without the key who alters a file and sums it up anew is found out, whichever
// name of a key he leaves there.
func TestForged(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "a.backup")
	require.NoError(t, write(t, path, false, nil))
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	theirs := newSeal(Key("another"))
	altered := strings.Replace(string(whole[:len(whole)-footLength]), "team", "tame", 1)
	_, err = theirs.Write([]byte(altered))
	require.NoError(t, err)
	foot := theirs.footer()
	for footer, want := range map[string]error{
		foot: ErrUnsigned,
		strings.Replace(foot, Key("another").name(), testKey.name(), 1): ErrDamaged,
		foot[:len(foot)-2] + "G\n":                                      ErrDamaged,
	} {
		require.NoError(t, os.WriteFile(path, []byte(altered+footer), 0o600))
		_, err := Open(path, testKey)
		require.ErrorIs(t, err, want)
	}
}
