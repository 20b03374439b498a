//go:build linux || darwin || freebsd

package cluster

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"

	"golang.org/x/sys/unix"
)

// make creates the folder with the right owner and mode. It never changes the mode
// of a folder that was there.
func (p *place) make(ctx context.Context) error {
	if exists(p.folder) {
		return p.settleOwner()
	}
	parent := filepath.Dir(p.folder)
	if p.drop {
		// Ask before making anything, so that a refusal leaves nothing behind.
		if err := p.reach(ctx, nearest(p.folder)); err != nil {
			return err
		}
	}
	mode := fs.FileMode(0o700)
	if p.drop {
		mode = 0o755 // the server's user must pass through
	}
	if parent != p.home {
		if err := makeFolders(p.home, 0o700); err != nil {
			return err
		}
	}
	if err := makeFolders(parent, mode); err != nil {
		return err
	}
	if err := os.Mkdir(p.folder, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return notWritable(p.folder, err)
	}
	return p.settleOwner()
}

// makeFolders makes a folder and what is missing above it, all with this mode
// whatever the umask.
func makeFolders(folder string, mode fs.FileMode) error {
	if info, err := os.Stat(folder); err == nil && info.IsDir() {
		return nil
	}
	if above := filepath.Dir(folder); above != folder {
		if err := makeFolders(above, mode); err != nil {
			return err
		}
	}
	switch err := os.Mkdir(folder, mode); {
	case errors.Is(err, fs.ErrExist):
		if info, errStat := os.Stat(folder); errStat != nil || !info.IsDir() {
			return notWritable(folder, syscall.ENOTDIR)
		}
		return nil // another command was first
	case err != nil:
		return notWritable(folder, err)
	}
	if err := os.Chmod(folder, mode); err != nil {
		return notWritable(folder, err)
	}
	return nil
}

// settleOwner gives the folder to the server's user if it is still root's, as it
// is when new or when a command was killed before it came to this.
func (p *place) settleOwner() error {
	info, err := os.Stat(p.folder)
	if err != nil {
		return notWritable(p.folder, err)
	}
	if !p.drop || info.Sys().(*syscall.Stat_t).Uid != 0 {
		return nil
	}
	return p.own(p.folder)
}

// own gives a file root made to the server's user.
func (p *place) own(path string) error {
	if !p.drop {
		return nil
	}
	if err := os.Lchown(path, p.uid, p.gid); err != nil {
		return notWritable(path, err)
	}
	return nil
}

// reach proves by doing it that the server's user can enter a folder: mode bits
// alone would miss access lists, mounts and confinement.
func (p *place) reach(ctx context.Context, folder string) error {
	cmd := exec.CommandContext(ctx, "/bin/sh", "-c", `cd -- "$1"`, "sh", folder)
	cmd.Dir = "/"
	cmd.SysProcAttr = p.attr()
	err := cmd.Run()
	var exit *exec.ExitError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &exit) && ctx.Err() == nil:
		return fmt.Errorf("%w: root's server runs as %s, who cannot enter %s; set ROUNDKIT_HOME to a folder everyone may enter, or leave it unset",
			ErrUnreachable, userName(p.uid), folder)
	}
	return fmt.Errorf("%w: become user %s: %w", ErrUnreachable, userName(p.uid), err)
}

// attr makes a child process run as the server's user, with none of our groups.
func (p *place) attr() *syscall.SysProcAttr {
	if !p.drop {
		return nil
	}
	return &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(p.uid), Gid: uint32(p.gid)}}
}

// checkSpace refuses to begin on a full disk, where initdb or the restart of a
// server that has stopped would fail half way.
func (p *place) checkSpace(o Options) error {
	free := o.FreeBytes
	if free == nil {
		free = freeBytes
	}
	folder := nearest(p.folder)
	got, err := free(folder)
	if err != nil {
		return fmt.Errorf("%w: ask for the free space of %s: %w", ErrDiskFull, folder, err)
	}
	if got < minFreeMB<<20 {
		return fmt.Errorf("%w: %d MB free on the disk of %s, expected at least %d MB; free some, or choose another disk with ROUNDKIT_HOME",
			ErrDiskFull, got>>20, folder, minFreeMB)
	}
	return nil
}

// minFreeMB is what a cluster needs to be made (39 MB measured) and to write its
// log ahead (two segments of 16 MB and what a load adds), with room to spare.
const minFreeMB = 200

func freeBytes(folder string) (uint64, error) {
	var st unix.Statfs_t
	if err := unix.Statfs(folder, &st); err != nil {
		return 0, err
	}
	return uint64(st.Bavail) * uint64(st.Bsize), nil
}

func diskBytes(folder string) (uint64, error) {
	var st unix.Statfs_t
	if err := unix.Statfs(nearest(folder), &st); err != nil {
		return 0, err
	}
	return st.Blocks * uint64(st.Bsize), nil
}

// notWritable says in one line why a folder cannot be used.
func notWritable(folder string, err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		folder, err = path.Path, path.Err
	}
	kind := ErrNotWritable
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) {
		kind = ErrDiskFull
	}
	return fmt.Errorf("%w: %s: %w; choose another with ROUNDKIT_HOME", kind, folder, err)
}

// nearest is the folder itself, or the closest one above it that exists.
func nearest(folder string) string {
	for !exists(folder) && folder != filepath.Dir(folder) {
		folder = filepath.Dir(folder)
	}
	return folder
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

func userName(uid int) string {
	if u, err := user.LookupId(strconv.Itoa(uid)); err == nil {
		return u.Username
	}
	return "user number " + strconv.Itoa(uid)
}
