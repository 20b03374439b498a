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
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"

	"github.com/adrg/xdg"
	"golang.org/x/sys/unix"
)

const (
	// pointerFile in root's data folder says where the cluster lies.
	pointerFile = "database-folder"
	// systemDir is for root, whose own folders the server's user cannot enter.
	systemDir = "/var/lib/roundkit"
)

// place is where a private cluster lies and as whom its server runs.
type place struct {
	home   string // the data folder
	folder string // holds pg, server.log, run and the lock
	uid    int    // whom the server runs as
	gid    int
	drop   bool // we are root and must become uid to run the server
}

func (p *place) data() string    { return filepath.Join(p.folder, "pg") }
func (p *place) logFile() string { return filepath.Join(p.folder, "server.log") }

// dataFolder is the absolute path of the data folder.
func dataFolder(o Options) (string, error) {
	home := o.Home
	if home == "" {
		home = filepath.Join(xdg.DataHome, "roundkit")
		if !filepath.IsAbs(home) { // neither HOME nor XDG_DATA_HOME is set
			return "", fmt.Errorf("%w: neither HOME, XDG_DATA_HOME nor ROUNDKIT_HOME says where it is; set ROUNDKIT_HOME", ErrNotWritable)
		}
	}
	home, err := filepath.Abs(home)
	if err != nil {
		return "", fmt.Errorf("%w: %w", ErrNotWritable, err)
	}
	if strings.ContainsAny(home, "\n\r\x00") { // postmaster.pid holds paths line by line
		return "", fmt.Errorf("%w: its path %q has a line break in it", ErrNotWritable, home)
	}
	if real, err := filepath.EvalSymlinks(home); err == nil {
		home = real
	}
	return home, nil
}

// locate says where the cluster of these options lies, or would, making nothing.
//
// An ordinary user's lies in the data folder. Root's server runs as another user:
// an existing cluster's owner, else "postgres", else "nobody". Where root names a
// data folder the cluster lies in it too; root's own data folder is closed to
// others, so there the cluster goes under SystemDir and a file points to it.
func locate(o Options) (*place, error) {
	home, err := dataFolder(o)
	if err != nil {
		return nil, err
	}
	p := &place{home: home, folder: filepath.Join(home, "db"), uid: os.Geteuid(), gid: os.Getegid()}
	pointed, err := readPointer(home)
	if err != nil {
		return nil, err
	}
	if os.Geteuid() != 0 {
		if pointed != "" {
			return nil, fmt.Errorf("%w: the database of %s was made by root and lies in %s; run as root, or choose another data folder with ROUNDKIT_HOME", ErrNotOurs, home, pointed)
		}
		return p, p.checkOwner()
	}
	p.drop = true
	switch {
	case exists(p.data()): // such as an ordinary user's, run with sudo
	case pointed != "":
		p.folder = pointed
		if !exists(p.data()) {
			return nil, fmt.Errorf("%w: %s says that the database lies in %s, but there is none; bring it back, or remove the first file to begin with an empty one",
				ErrNotOurs, filepath.Join(home, pointerFile), pointed)
		}
	case o.Home == "":
		system := o.SystemDir
		if system == "" {
			system = systemDir
		}
		sum := sha256.Sum256([]byte(home))
		p.folder = filepath.Join(system, hex.EncodeToString(sum[:8]))
	}
	return p, p.chooseUser()
}

// checkOwner refuses another user's cluster: PostgreSQL would, less clearly.
func (p *place) checkOwner() error {
	info, err := os.Stat(p.data())
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENOTDIR):
		return nil
	case err != nil:
		return notWritable(p.home, err)
	}
	if owner := int(info.Sys().(*syscall.Stat_t).Uid); owner != p.uid {
		return fmt.Errorf("%w: the database in %s belongs to %s; run as that user, or choose another data folder with ROUNDKIT_HOME", ErrNotOurs, p.folder, userName(owner))
	}
	return nil
}

// chooseUser sets whom root's server runs as.
func (p *place) chooseUser() error {
	if info, err := os.Stat(p.data()); err == nil {
		stat := info.Sys().(*syscall.Stat_t)
		p.uid, p.gid = int(stat.Uid), int(stat.Gid)
		if p.uid == 0 {
			return fmt.Errorf("%w: the database in %s belongs to root, as whom PostgreSQL does not run; give it to the user it is to run as (chown -R)", ErrNotOurs, p.folder)
		}
		return nil
	}
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, errU := strconv.Atoi(u.Uid)
		gid, errG := strconv.Atoi(u.Gid)
		if errU == nil && errG == nil && uid > 0 {
			p.uid, p.gid = uid, gid
			return nil
		}
	}
	return fmt.Errorf("%w: PostgreSQL does not run as root, and there is no user postgres or nobody; run as an ordinary user", ErrUnreachable)
}

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

// readPointer returns the folder the data folder points to, or "".
func readPointer(home string) (string, error) {
	path := filepath.Join(home, pointerFile)
	text, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENOTDIR):
		return "", nil
	case err != nil:
		return "", notWritable(home, err)
	}
	line := strings.TrimSpace(string(text))
	if !filepath.IsAbs(line) || strings.Contains(line, "\n") {
		return "", fmt.Errorf("%w: %s holds %q, expected one line with the folder of the database", ErrNotOurs, path, line)
	}
	return line, nil
}

// writePointer says in the data folder where the cluster lies, if elsewhere.
func (p *place) writePointer() error {
	path := filepath.Join(p.home, pointerFile)
	if filepath.Dir(p.folder) == p.home || exists(path) {
		return nil
	}
	if err := os.WriteFile(path+".new", []byte(p.folder+"\n"), 0o644); err != nil {
		return notWritable(p.home, err)
	}
	if err := os.Rename(path+".new", path); err != nil {
		return notWritable(p.home, err)
	}
	return nil
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
