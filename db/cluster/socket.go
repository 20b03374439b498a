//go:build linux || darwin || freebsd

package cluster

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"

	"github.com/adrg/xdg"
)

// maxSocketPath is how many bytes the path of a unix socket may have: sun_path
// holds 108 on Linux (unix(7)) and 104 on macOS and FreeBSD, with the final zero.
func maxSocketPath() int {
	if runtime.GOOS == "linux" {
		return 107
	}
	return 103
}

// socketFolder chooses and makes the folder of the server's socket: in the
// cluster's own folder where its path will do, else in the user's runtime
// folder, else in the temp folder. Its mode is 0700, for whoever reaches the
// socket is the database's superuser.
func (p *place) socketFolder() (string, error) {
	sum := sha256.Sum256([]byte(p.folder))
	name := "roundkit-" + strconv.Itoa(p.uid) + "-" + hex.EncodeToString(sum[:6])
	candidates := []string{filepath.Join(p.folder, "run")}
	if !p.drop && xdg.RuntimeDir != "" && exists(xdg.RuntimeDir) { // root's is closed to the server's user
		candidates = append(candidates, filepath.Join(xdg.RuntimeDir, name))
	}
	candidates = append(candidates, filepath.Join(os.TempDir(), name), filepath.Join("/tmp", name))
	var failed error
	for _, folder := range candidates {
		if len(folder)+len("/.s.PGSQL."+port) > maxSocketPath() || strings.Contains(folder, ",") {
			continue // in an address a comma separates hosts
		}
		if failed = p.privateFolder(folder); failed == nil {
			return folder, nil
		}
	}
	if failed != nil {
		return "", failed
	}
	return "", fmt.Errorf("%w: the path %s will not do for a unix socket (%d bytes, expected at most %d and no comma), nor will the temp folder's; choose a shorter one with ROUNDKIT_HOME",
		ErrNotWritable, candidates[0], len(candidates[0]), maxSocketPath()-len("/.s.PGSQL."+port))
}

// privateFolder makes a folder only the server's user can enter, or checks that it
// is one: in a shared temp folder somebody else may have taken the name.
func (p *place) privateFolder(folder string) error {
	switch err := os.Mkdir(folder, 0o700); {
	case err == nil:
		return p.own(folder)
	case !errors.Is(err, fs.ErrExist):
		return notWritable(folder, err)
	}
	info, err := os.Lstat(folder)
	if err != nil {
		return notWritable(folder, err)
	}
	owner := int(info.Sys().(*syscall.Stat_t).Uid)
	if !info.IsDir() || owner != p.uid || info.Mode().Perm() != 0o700 {
		return fmt.Errorf("%w: %s is %s of %s, expected a folder of %s with mode 0700; remove it, or name another temp folder with TMPDIR", ErrNotOurs, folder, info.Mode(), userName(owner), userName(p.uid))
	}
	return nil
}

// trusted tells whether the socket in a folder is our server's: it must belong to the user
// the server runs as, in a folder where nobody else could put one in its place. Where our own
// is gone from a shared temp folder, anybody may have made one of the same name.
func (p *place) trusted(folder string) bool {
	if folder == "" {
		return false
	}
	info, err := os.Lstat(folder)
	if err != nil || !info.IsDir() {
		return false
	}
	owner := int(info.Sys().(*syscall.Stat_t).Uid)
	closed := info.Mode().Perm()&0o022 == 0 || info.Mode()&fs.ModeSticky != 0
	if owner != p.uid && owner != 0 || !closed {
		return false
	}
	socket, err := os.Lstat(filepath.Join(folder, ".s.PGSQL."+port))
	return err == nil && socket.Mode()&fs.ModeSocket != 0 && int(socket.Sys().(*syscall.Stat_t).Uid) == p.uid
}

// endUnreachable ends a server of this cluster whose socket is gone or not to be trusted, as
// when a temp folder was cleared: nobody can reach it, and it would hinder the next.
func (p *place) endUnreachable(ctx context.Context, o Options) error {
	f, found, err := readPIDFile(p.data())
	if err != nil || !found || f.socket == "" || p.trusted(f.socket) || stateOf(f.pid) != postgres {
		return err
	}
	if pids, sure := runningIn(p.data()); !sure || len(pids) == 0 {
		return nil
	}
	return p.stop(ctx, o)
}
