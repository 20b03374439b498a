//go:build linux || darwin || freebsd

package cluster

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"

	"github.com/adrg/xdg"
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
	if err := makeFolders(p.home, 0o700); err != nil { // a HOME that was removed and made anew
		return err
	}
	if err := os.WriteFile(path+".new", []byte(p.folder+"\n"), 0o644); err != nil {
		return notWritable(p.home, err)
	}
	if err := os.Rename(path+".new", path); err != nil {
		return notWritable(p.home, err)
	}
	return nil
}
