//go:build linux || darwin || freebsd

package cluster

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// clusterMajor reads the version of PostgreSQL that made the cluster; 0: none yet.
func (p *place) clusterMajor() (int, error) {
	text, err := os.ReadFile(filepath.Join(p.data(), "PG_VERSION"))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if entries, err := os.ReadDir(p.data()); err == nil && len(entries) > 0 {
			return 0, fmt.Errorf("%w: %s has files in it but no PG_VERSION, so it is no database; bring it back whole, or move it away", ErrNotOurs, p.data())
		}
		return 0, nil
	case err != nil:
		return 0, notWritable(p.data(), err)
	}
	major, err := strconv.Atoi(strings.TrimSpace(string(text)))
	if err != nil || major < 1 {
		return 0, fmt.Errorf("%w: %s/PG_VERSION holds %q, expected a version number", ErrNotOurs, p.data(), strings.TrimSpace(string(text)))
	}
	return major, nil
}

// initdb makes the cluster under another name and renames it, so that a cluster is
// there whole or not at all. The name is new each time: a killed command's initdb
// may still be writing.
func (p *place) initdb(ctx context.Context, pg programs) error {
	leftovers, err := filepath.Glob(filepath.Join(globEscape(p.folder), "pg.new-*"))
	if err != nil {
		return notWritable(p.folder, err)
	}
	for _, old := range leftovers {
		if err := os.RemoveAll(old); err != nil {
			return notWritable(p.folder, err)
		}
	}
	made, err := os.MkdirTemp(p.folder, "pg.new-")
	if err != nil {
		return notWritable(p.folder, err)
	}
	defer func() { _ = os.RemoveAll(made) }() // after the rename there is none
	if err := p.own(made); err != nil {
		return err
	}
	// Locale C: text sorts by its bytes on every machine. Trust: the folder of the
	// socket is closed to everyone else; over TCP nobody is let in, ever.
	out, err := p.run(ctx, pg, "initdb", "-D", made, "-U", superuser, "-A", "trust", "--auth-host=reject", "-k",
		"--encoding=UTF8", "--locale=C")
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		kind := ErrStart
		if strings.Contains(out, "No space left") {
			kind = ErrDiskFull
		}
		return fmt.Errorf("%w: initdb in %s: %s", kind, p.folder, faultLine(out))
	}
	// Said in the file, for whoever starts the cluster by hand and wherever it is
	// started: no TCP, and no time zone of the machine's.
	conf, err := os.OpenFile(filepath.Join(made, "postgresql.conf"), os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		return notWritable(made, err)
	}
	_, err = conf.WriteString("\n# Roundkit\nlisten_addresses = ''\ntimezone = 'UTC'\nlog_timezone = 'UTC'\n")
	if err := errors.Join(err, conf.Sync(), conf.Close()); err != nil {
		return notWritable(made, err)
	}
	if err := os.Rename(made, p.data()); err != nil {
		return notWritable(p.folder, err)
	}
	return syncFolder(p.folder)
}

// syncFolder makes a rename survive a power cut.
func syncFolder(path string) error {
	folder, err := os.Open(path)
	if err != nil {
		return notWritable(path, err)
	}
	defer func() { _ = folder.Close() }()
	if err := folder.Sync(); err != nil && !errors.Is(err, syscall.EINVAL) { // some file systems cannot
		return notWritable(path, err)
	}
	return nil
}

// globEscape makes a path match only itself.
func globEscape(path string) string {
	return strings.NewReplacer(`\`, `\\`, `*`, `\*`, `?`, `\?`, `[`, `\[`).Replace(path)
}
