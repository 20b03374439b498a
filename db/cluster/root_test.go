//go:build linux || darwin || freebsd

package cluster

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// The tests here are root's; an ordinary user has nothing to drop to, so for one
// they end at once (the same ground is covered by TestOpenAsOrdinaryUser).
func isRoot() bool { return os.Geteuid() == 0 }

// TestRootWithItsOwnHome: HOME is closed to the server's user, so the cluster goes
// to the system's folder and HOME holds a line saying where.
func TestRootWithItsOwnHome(t *testing.T) {
	t.Parallel()
	if !isRoot() {
		return
	}
	temp := openTemp(t)
	home, system := filepath.Join(temp, "root"), filepath.Join(temp, "lib", "roundkit")
	require.NoError(t, os.Mkdir(home, 0o700))
	env := func(home string) []string { return []string{"HOME=" + home, "HELPER_SYSTEM=" + system} }
	folderOf := func(got string) string {
		require.True(t, strings.HasPrefix(got, "ok "+system+"/"), got)
		return strings.Fields(got)[1]
	}
	folder := folderOf(asCommand(t, 0, env(home)...)())
	stop := func() {
		p := place{folder: folder, drop: true}
		require.NoError(t, p.chooseUser())
		require.NotZero(t, p.uid)
		if f, found, _ := readPIDFile(p.data()); found {
			require.NoError(t, syscall.Kill(f.pid, syscall.SIGINT))
			require.Eventually(t, func() bool { return !exists(filepath.Join(p.data(), "postmaster.pid")) }, wait, tick)
		}
	}
	t.Cleanup(stop)
	info, err := os.Stat(home)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o700), info.Mode().Perm(), "HOME stays closed")
	pointer := filepath.Join(home, ".local", "share", "roundkit", pointerFile)
	text, err := os.ReadFile(pointer)
	require.NoError(t, err)
	require.Equal(t, folder+"\n", string(text))
	require.Equal(t, folder, folderOf(asCommand(t, 0, env(home)...)()), "the same again")

	require.NoError(t, os.RemoveAll(home))
	require.NoError(t, os.Mkdir(home, 0o700))
	require.Equal(t, folder, folderOf(asCommand(t, 0, env(home)...)()), "a HOME made anew")
	text, err = os.ReadFile(pointer)
	require.NoError(t, err)
	require.Equal(t, folder+"\n", string(text))

	moved := home + "-moved"
	require.NoError(t, os.Rename(home, moved))
	require.Equal(t, folder, folderOf(asCommand(t, 0, env(moved)...)()), "the line leads there still")

	pointer = filepath.Join(moved, ".local", "share", "roundkit", pointerFile)
	for text, want := range map[string]string{
		"/no/such/folder\n": "lies in /no/such/folder, but there is none",
		"somewhere\n":       "expected one line with the folder of the database",
		"":                  "expected one line with the folder of the database",
	} {
		require.NoError(t, os.WriteFile(pointer, []byte(text), 0o644))
		got := asCommand(t, 0, env(moved)...)()
		require.Contains(t, got, "error not Roundkit's")
		require.Contains(t, got, want)
	}

	// An ordinary user with that HOME must not begin an empty database beside it.
	require.NoError(t, os.WriteFile(pointer, []byte(folder+"\n"), 0o644))
	require.NoError(t, os.Chmod(moved, 0o755))
	for _, closed := range []string{".local", ".local/share", ".local/share/roundkit"} {
		require.NoError(t, os.Chmod(filepath.Join(moved, closed), 0o755))
	}
	require.Contains(t, asCommand(t, ordinaryUID, env(moved)...)(), "was made by root and lies in "+folder)
}

// TestRootWithAFolderOthersCannotEnter: refused, and nothing made or changed.
func TestRootWithAFolderOthersCannotEnter(t *testing.T) {
	t.Parallel()
	if !isRoot() {
		return
	}
	closed := filepath.Join(openTemp(t), "closed")
	require.NoError(t, os.Mkdir(closed, 0o700))
	for _, home := range []string{closed, filepath.Join(closed, "a", "b")} {
		_, err := Open(t.Context(), Options{Home: home})
		oneLine(t, err, ErrUnreachable, closed, "ROUNDKIT_HOME")
	}
	entries, err := os.ReadDir(closed)
	require.NoError(t, err)
	require.Empty(t, entries)
	info, err := os.Stat(closed)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o700), info.Mode().Perm())
}

// TestRootUsesAnOrdinaryUsersCluster, as with sudo: the server runs as its owner,
// and the owner can go on afterwards.
func TestRootUsesAnOrdinaryUsersCluster(t *testing.T) {
	t.Parallel()
	if !isRoot() {
		return
	}
	temp := openTemp(t)
	require.NoError(t, os.Chown(temp, ordinaryUID, ordinaryUID))
	o := Options{Home: filepath.Join(temp, "home")}
	stopAfter(t, o)
	require.Contains(t, asCommand(t, ordinaryUID, "HELPER_HOME="+o.Home)(), "ok ")
	_, err := Stop(t.Context(), o)
	require.NoError(t, err)
	s, err := Open(t.Context(), o)
	require.NoError(t, err)
	require.False(t, s.Created)
	info, err := os.Stat(filepath.Join(o.Home, "db", "pg", "postmaster.pid"))
	require.NoError(t, err)
	require.EqualValues(t, ordinaryUID, info.Sys().(*syscall.Stat_t).Uid)
	require.Contains(t, asCommand(t, ordinaryUID, "HELPER_HOME="+o.Home)(), "ok ")
}
