//go:build linux || darwin || freebsd

package cluster

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTooLittleDisk(t *testing.T) {
	t.Parallel()
	o := setup(t)
	o.FreeBytes = func(string) (uint64, error) { return 200<<20 - 1, nil }
	_, err := Open(t.Context(), o)
	oneLine(t, err, ErrDiskFull, "199 MB free", "at least 200 MB", "ROUNDKIT_HOME")
	require.NoFileExists(t, o.Home)

	o.FreeBytes = func(string) (uint64, error) { return 200 << 20, nil }
	_, err = Open(t.Context(), o)
	require.NoError(t, err)
	o.FreeBytes = func(string) (uint64, error) { return 0, nil }
	_, err = Open(t.Context(), o)
	require.NoError(t, err, "a running server stays up on a full disk")
	_, err = Stop(t.Context(), o)
	require.NoError(t, err)
	_, err = Open(t.Context(), o)
	oneLine(t, err, ErrDiskFull, "0 MB free")
	o.FreeBytes = func(string) (uint64, error) { return 0, errors.New("no such device") }
	_, err = Open(t.Context(), o)
	oneLine(t, err, ErrDiskFull, "no such device")
}

// TestFaultLine: messages as PostgreSQL 15 logged them on a full disk, on a
// leftover lock file and on a folder that cannot be written.
func TestFaultLine(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"UTC [1] PANIC:  could not write to file \"x\": No space left on device\nUTC [2] FATAL:  checkpoint request failed\nbye\n":     `UTC [1] PANIC:  could not write to file "x": No space left on device`,
		"FATAL:  lock file \"postmaster.pid\" already exists\nHINT:  Is another postmaster running?\npg_ctl: could not start server\n": `lock file "postmaster.pid" already exists`,
		"/bin/sh: 1: cannot create server.log: Permission denied\npg_ctl: could not start server\nExamine the log output.\n":           "cannot create server.log: Permission denied",
		// a session of the killed server, which ended after the new one had looked
		"[572] FATAL:  lock file \"postmaster.pid\" already exists\n[565] FATAL:  terminating connection due to unexpected postmaster exit\n": `lock file "postmaster.pid" already exists`,
		"one\ntwo\n": "two",
		"":           "",
	} {
		require.Equal(t, want, faultLine(text))
	}
}

func TestFreeBytes(t *testing.T) {
	t.Parallel()
	got, err := freeBytes("/")
	require.NoError(t, err)
	require.Positive(t, got)
	_, err = freeBytes("/no/such/folder")
	require.Error(t, err)
}

// TestNoPrograms: the message names the three ways on, and nothing is left behind.
func TestNoPrograms(t *testing.T) {
	t.Parallel()
	clientOnly := openTemp(t)
	fakeProgram(t, clientOnly, "psql", "psql (PostgreSQL) 15.14")
	partly := openTemp(t)
	fakeProgram(t, partly, "initdb", "initdb (PostgreSQL) 15.14")
	fakeProgram(t, partly, "pg_ctl", "pg_ctl (PostgreSQL) 15.14")
	for name, folders := range map[string][]string{
		"nothing": {}, "no such folder": {"/no/such/folder"}, "client only": {clientOnly}, "no postgres": {partly},
	} {
		o := setup(t)
		o.BinDirs = folders
		_, err := Open(t.Context(), o)
		oneLine(t, err, ErrNoPrograms, "apt-get install postgresql", "brew install", "docker compose up -d", "DATABASE_URL")
		require.NoFileExists(t, o.Home, name)
	}
}

// fakeProgram stands for a PostgreSQL that is not installed here: it only tells
// its version, and is never asked for more.
func fakeProgram(t *testing.T, folder, name, version string) {
	t.Helper()
	writeProgram(t, filepath.Join(folder, name), strings.NewReader("#!/bin/sh\necho '"+version+"'\n"))
}

func fakeServer(t *testing.T, version string) string {
	folder := openTemp(t)
	for _, name := range serverPrograms {
		fakeProgram(t, folder, name, name+" (PostgreSQL) "+version)
	}
	return folder
}

func TestWhichServer(t *testing.T) {
	t.Parallel()
	v14, v16, v18 := fakeServer(t, "14.20 (Debian 14.20-1)"), fakeServer(t, "16.4"), fakeServer(t, "18beta1")
	dumb := fakeServer(t, "")
	for name, c := range map[string]struct {
		folders []string
		major   int
		want    string
		kind    error
		parts   []string
	}{
		"the newest for a new cluster": {[]string{v16, v14, v18, dumb}, 0, v18, nil, nil},
		"its own for an old one":       {[]string{v18, v16, v14}, 14, v14, nil, nil},
		"too old":                      {[]string{v14}, 0, "", ErrNoPrograms, []string{"found PostgreSQL 14", "expected 15 or newer"}},
		"only another":                 {[]string{v16, v18}, 15, "", ErrWrongMajor, []string{"of PostgreSQL 15, but only 18, 16 is installed", "db backup", "db restore"}},
		"one that tells no version":    {[]string{dumb}, 0, "", ErrNoPrograms, nil},
	} {
		got, err := serverFor(t.Context(), c.folders, c.major, "/folder")
		if c.kind != nil {
			oneLine(t, err, c.kind, c.parts...)
			continue
		}
		require.NoError(t, err, name)
		require.Equal(t, c.want, got.folder, name)
	}
}

// TestWrongMajor: a cluster of a version that is not installed is left alone.
func TestWrongMajor(t *testing.T) {
	t.Parallel()
	o := setup(t)
	_, err := Open(t.Context(), o)
	require.NoError(t, err)
	_, err = Stop(t.Context(), o)
	require.NoError(t, err)
	data := filepath.Join(o.Home, "db", "pg")
	version := filepath.Join(data, "PG_VERSION")
	real, err := os.ReadFile(version)
	require.NoError(t, err)
	for text, kind := range map[string]error{"9\n": ErrWrongMajor, "soup\n": ErrNotOurs, "": ErrNotOurs} {
		require.NoError(t, os.WriteFile(version, []byte(text), 0o600))
		_, err = Open(t.Context(), o)
		oneLine(t, err, kind, filepath.Join(o.Home, "db"))
	}
	require.NoError(t, os.Remove(version))
	_, err = Open(t.Context(), o)
	oneLine(t, err, ErrNotOurs, "no PG_VERSION")
	require.NoError(t, os.WriteFile(version, real, 0o600))
	p, err := locate(o)
	require.NoError(t, err)
	require.NoError(t, p.own(version))
	_, err = Open(t.Context(), o)
	require.NoError(t, err, "nothing was harmed")
}

// TestReadOnlyFolder is an ordinary user's: mode bits do not bind root.
func TestReadOnlyFolder(t *testing.T) {
	t.Parallel()
	if asOrdinaryUser(t) {
		return
	}
	closed := openTemp(t)
	require.NoError(t, os.Chmod(closed, 0o555))
	_, err := Open(t.Context(), Options{Home: filepath.Join(closed, "home")})
	oneLine(t, err, ErrNotWritable, closed, "permission denied", "ROUNDKIT_HOME")

	o := setup(t)
	_, err = Open(t.Context(), o)
	require.NoError(t, err)
	folder := filepath.Join(o.Home, "db")
	require.NoError(t, os.Chmod(folder, 0o500))
	_, err = Open(t.Context(), o)
	require.NoError(t, err, "a running server serves")
	_, err = Stop(t.Context(), o)
	require.NoError(t, err)
	_, err = Open(t.Context(), o)
	oneLine(t, err, ErrNotWritable, folder)
	require.NoError(t, os.Chmod(folder, 0o700))
	_, err = Open(t.Context(), o)
	require.NoError(t, err)

	file := filepath.Join(openTemp(t), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err = Open(t.Context(), Options{Home: file})
	oneLine(t, err, ErrNotWritable, "not a directory")
}

// TestSomebodyElsesCluster: root's server's user is not who runs this.
func TestSomebodyElsesCluster(t *testing.T) {
	t.Parallel()
	p := place{folder: filepath.Join(openTemp(t), "db"), uid: os.Geteuid() + 1}
	require.NoError(t, os.MkdirAll(p.data(), 0o700))
	oneLine(t, p.checkOwner(), ErrNotOurs, "belongs to")
}

// TestSocketFolder: 107 bytes hold a socket's path on Linux (unix(7): sun_path is
// 108 with its zero), so a folder of 93 with "/.s.PGSQL.5432".
func TestSocketFolder(t *testing.T) {
	t.Parallel()
	temp := openTemp(t)
	most := maxSocketPath() - len("/.s.PGSQL.5432")
	p := place{uid: os.Geteuid()}
	for length, inside := range map[int]bool{most: true, most + 1: false} {
		p.folder = filepath.Join(temp, strings.Repeat("x", length-len("/run")-len(temp)-1))
		require.NoError(t, os.MkdirAll(p.folder, 0o700))
		got, err := p.socketFolder()
		require.NoError(t, err)
		if inside {
			require.Equal(t, filepath.Join(p.folder, "run"), got)
			continue
		}
		t.Cleanup(func() { _ = os.RemoveAll(got) })
		require.NotContains(t, got, p.folder)
		require.LessOrEqual(t, len(got), most)
	}
}

// TestSocketFolderTaken: in a shared temp folder others can guess the name.
func TestSocketFolderTaken(t *testing.T) {
	t.Parallel()
	p := place{uid: os.Geteuid()}
	for name, take := range map[string]func(path string) error{
		"open":    func(path string) error { return errors.Join(os.Mkdir(path, 0o700), os.Chmod(path, 0o755)) },
		"a file":  func(path string) error { return os.WriteFile(path, nil, 0o700) },
		"a link":  func(path string) error { return os.Symlink(filepath.Dir(path), path) },
		"nowhere": func(path string) error { return os.Symlink(path+"2", path) },
	} {
		path := filepath.Join(openTemp(t), "taken")
		require.NoError(t, take(path), name)
		oneLine(t, p.privateFolder(path), ErrNotOurs, path, "expected a folder of")
	}
	path := filepath.Join(openTemp(t), "theirs")
	require.NoError(t, os.Mkdir(path, 0o700))
	somebody := place{uid: os.Geteuid() + 1}
	oneLine(t, somebody.privateFolder(path), ErrNotOurs, path)
	require.NoError(t, p.privateFolder(path), "ours and closed: fine")
}

// TestProcessStates checks against processes of known state.
func TestProcessStates(t *testing.T) {
	t.Parallel()
	require.Equal(t, another, stateOf(os.Getpid()))
	require.Equal(t, gone, stateOf(0))
	require.Equal(t, gone, stateOf(999999999))
	require.ErrorIs(t, syscall.Kill(999999999, 0), syscall.ESRCH)
	working, err := os.Getwd()
	require.NoError(t, err)
	pids, sure := runningIn(working)
	if sure { // there is a /proc
		require.Contains(t, pids, os.Getpid())
	}
}
