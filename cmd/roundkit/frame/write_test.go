package frame

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func hello(w io.Writer) error { _, err := io.WriteString(w, "hello"); return err }

func files(t *testing.T, folder string) []string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	names := []string{}
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func TestWriteFileWhole(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	path := filepath.Join(folder, "pack.xlsx")
	require.NoError(t, (&Env{}).WriteFile(path, hello))
	require.Equal(t, []string{"pack.xlsx"}, files(t, folder))

	// A second time it is refused; told to, it is replaced, with the mode it had.
	require.NoError(t, os.Chmod(path, 0o600))
	require.ErrorContains(t, (&Env{}).WriteFile(path, hello), "a file is there already, expected a new name, or --replace")
	require.NoError(t, (&Env{Replace: true}).WriteFile(path, hello))
	info, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, fs.FileMode(0o600), info.Mode().Perm())
}

func TestWriteFileNotAtAll(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	path := filepath.Join(folder, "pack.xlsx")
	broken := errors.New("no such trip")
	half := func(w io.Writer) error {
		// More than any buffer, so that some of it has reached the disk.
		if _, err := w.Write(make([]byte, 1<<20)); err != nil {
			return err
		}
		return broken
	}
	require.ErrorIs(t, (&Env{}).WriteFile(path, half), broken)
	require.Empty(t, files(t, folder))

	require.NoError(t, os.WriteFile(path, []byte("before"), 0o600))
	require.ErrorIs(t, (&Env{Replace: true}).WriteFile(path, half), broken)
	require.Equal(t, []string{"pack.xlsx"}, files(t, folder))
	kept, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "before", string(kept))
}

func TestWriteFileKeepsLinksDevicesAndFolders(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	path, link := filepath.Join(folder, "pack.xlsx"), filepath.Join(folder, "latest.xlsx")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	require.NoError(t, os.Symlink("pack.xlsx", link))
	require.NoError(t, (&Env{Replace: true}).WriteFile(link, hello))
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "hello", string(got))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	require.NotZero(t, info.Mode()&fs.ModeSymlink)

	require.NoError(t, (&Env{}).WriteFile(os.DevNull, hello))
	device, err := os.Stat(os.DevNull)
	require.NoError(t, err)
	require.NotZero(t, device.Mode()&fs.ModeDevice)

	require.EqualError(t, (&Env{}).WriteFile(folder, hello), "write "+folder+": it is a folder, expected a file")
	missing := filepath.Join(folder, "no", "pack.xlsx")
	require.EqualError(t, (&Env{}).WriteFile(missing, hello), "write "+missing+": no such file or directory")
}

func TestWriteFileToStandardOutput(t *testing.T) {
	t.Parallel()
	var out bytes.Buffer
	require.NoError(t, (&Env{Out: &out}).WriteFile("-", hello))
	require.Equal(t, "hello", out.String())
	require.ErrorIs(t, (&Env{Out: &out, OutTerminal: true}).WriteFile("-", hello), ErrUsage)
}

func TestPrintJSON(t *testing.T) {
	t.Parallel()
	var out bytes.Buffer
	env := &Env{Out: &out}
	require.NoError(t, env.PrintJSON(map[string]any{"part": "oil & seal <40>", "cover": 0.5}))
	require.Equal(t, "{\n  \"cover\": 0.5,\n  \"part\": \"oil & seal <40>\"\n}\n", out.String())

	out.Reset()
	require.Error(t, env.PrintJSON(map[string]float64{"cover": math.NaN()}))
	require.Empty(t, out.String())
}

// A folder is written whole or not at all: into none, into one that is there, over one that is
// there, and where the third of four files fails, or cannot take its place.
func TestWriteFolder(t *testing.T) {
	t.Parallel()
	text := func(name, text string) NamedFile {
		return NamedFile{name, func(w io.Writer) error { _, err := io.WriteString(w, text); return err }}
	}
	broken := NamedFile{"c.csv", func(io.Writer) error { return errors.New("no such trip") }}
	all := func(word string) []NamedFile {
		return []NamedFile{text("a.csv", word), text("b.csv", word), text("c.csv", word), text("d.csv", word)}
	}
	read := func(folder, name string) string {
		got, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		return string(got)
	}
	env := &Env{}
	home := t.TempDir()
	folder := filepath.Join(home, "far", "season")
	require.ErrorContains(t, env.WriteFolder(folder, []NamedFile{text("a.csv", "1"), text("b.csv", "1"), broken}), "c.csv: no such trip")
	require.Empty(t, files(t, filepath.Join(home, "far")))

	require.NoError(t, env.WriteFolder(folder+"/", all("1")))
	require.Equal(t, []string{"season"}, files(t, filepath.Join(home, "far")))
	require.Equal(t, []string{"a.csv", "b.csv", "c.csv", "d.csv"}, files(t, folder))

	private := filepath.Join(home, "private") // there, empty, and nobody else's: it stays so
	require.NoError(t, os.Mkdir(private, 0o700))
	require.NoError(t, env.WriteFolder(private, all("1")))
	require.Equal(t, []string{"a.csv", "b.csv", "c.csv", "d.csv"}, files(t, private))
	info, err := os.Stat(private)
	require.NoError(t, err)
	require.Equal(t, fs.FileMode(0o700), info.Mode().Perm())

	require.ErrorContains(t, env.WriteFolder(folder, all("2")), "a.csv: a file is there already, expected a new name, or --replace")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "mine.txt"), nil, 0o600))
	env.Replace = true
	require.Error(t, env.WriteFolder(folder, []NamedFile{text("a.csv", "2"), text("b.csv", "2"), broken}))
	require.Equal(t, "1", read(folder, "a.csv"))
	require.NoError(t, env.WriteFolder(folder, all("2")))
	require.Equal(t, []string{"a.csv", "b.csv", "c.csv", "d.csv", "mine.txt"}, files(t, folder))
	require.Equal(t, "2", read(folder, "d.csv"))

	// one that cannot take its place: all that were put in before go back
	require.NoError(t, os.Mkdir(filepath.Join(folder, "sub"), 0o700))
	made := filepath.Join(home, "made")
	require.NoError(t, os.Mkdir(made, 0o700))
	for _, name := range []string{"a.csv", "new.csv"} {
		require.NoError(t, os.WriteFile(filepath.Join(made, name), []byte("3"), 0o600))
	}
	require.Error(t, putInto(folder, made, []NamedFile{{Name: "a.csv"}, {Name: "new.csv"}, {Name: "gone.csv"}}))
	require.Equal(t, "2", read(folder, "a.csv"))
	require.NotContains(t, files(t, folder), "new.csv")
	require.ErrorContains(t, env.WriteFolder(folder, []NamedFile{text("sub", "3")}), "sub: a file is there already")
	require.Equal(t, []string{"far", "made", "private"}, files(t, home))
}
