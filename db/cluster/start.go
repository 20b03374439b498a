//go:build linux || darwin || freebsd

package cluster

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"golang.org/x/sys/unix"
)

const (
	// superuser is the role that owns the private cluster.
	superuser = "roundkit"
	// port only names the socket's file: there is no TCP port.
	port = "5432"
	// startRetry is how long a start is tried again while remains of the last
	// server are in the way that may not be removed: backends notice the loss of
	// their server and end.
	startRetry = 10 * time.Second
	// zombieWait leaves time for a dead server to be collected, which takes 1 to
	// 3 s, after which PostgreSQL itself clears up. Where nobody collects, we do.
	zombieWait = 4 * time.Second
	// startSeconds is what recovery from a crash may take.
	startSeconds = 120
	// maxLogBytes: a longer log is put aside when the server next starts.
	maxLogBytes = 4 << 20
)

// start makes the cluster if there is none and starts its server. The caller
// holds the lock and has seen that no server answers.
func (p *place) start(ctx context.Context, o Options) (address string, err error) {
	if err := p.checkSpace(o); err != nil {
		return "", err
	}
	if err := unix.Access(p.folder, unix.W_OK); err != nil {
		return "", notWritable(p.folder, err)
	}
	if p.drop {
		if err := p.reach(ctx, p.folder); err != nil {
			return "", err
		}
	}
	major, err := p.clusterMajor()
	if err != nil {
		return "", err
	}
	pg, err := serverFor(ctx, o.BinDirs, major, p.folder)
	if err != nil {
		return "", err
	}
	if major == 0 {
		if err := p.initdb(ctx, pg); err != nil {
			return "", err
		}
	}
	socket, err := p.socketFolder()
	if err != nil {
		return "", err
	}
	if info, err := os.Stat(p.logFile()); err == nil && info.Size() > maxLogBytes {
		if err := os.Rename(p.logFile(), p.logFile()+".old"); err != nil {
			return "", notWritable(p.folder, err)
		}
	}
	return p.startServer(ctx, pg, socket, o.Settings)
}

// startServer runs pg_ctl start, again while remains of the last server are in
// the way.
func (p *place) startServer(ctx context.Context, pg programs, socket string, settings []string) (string, error) {
	options := serverOptions(socket, settings)
	removed := false
	for began := time.Now(); ; {
		logged := fileSize(p.logFile())
		out, err := p.run(ctx, pg, "pg_ctl", "start", "-w", "-s", "-t", strconv.Itoa(startSeconds), "-l", filepath.Base(p.logFile()), "-o", options)
		if ctx.Err() != nil {
			return "", ctx.Err()
		}
		address, errRun := p.running(ctx) // after a failure too: somebody may have started it by hand
		if errRun != nil || address != "" {
			return address, errRun
		}
		if err == nil {
			return "", fmt.Errorf("%w: started, but nobody answers in %s; see %s", ErrStart, socket, p.logFile())
		}
		why := p.lastFault(logged, out)
		if !isRemains(why) {
			kind := ErrStart
			if strings.Contains(why, "No space left") {
				kind = ErrDiskFull
			}
			return "", fmt.Errorf("%w: %s; see %s", kind, why, p.logFile())
		}
		f, _, err := readPIDFile(p.data())
		if err != nil {
			return "", err
		}
		waited := time.Since(began)
		if !removed && (stateOf(f.pid) != zombie || waited > zombieWait) && stale(p.data(), f.pid) {
			if err := p.removeRemains(socket); err != nil {
				return "", err
			}
			removed = true
			continue
		}
		if waited > startRetry {
			inTheWay, sure := runningIn(p.data())
			if !sure {
				inTheWay = []int{f.pid}
			}
			return "", fmt.Errorf("%w: what is left of another server is in the way (%s); end process %s, then try again; see %s",
				ErrStart, why, strings.Trim(fmt.Sprint(inTheWay), "[]"), p.logFile())
		}
		if err := pause(ctx, 250*time.Millisecond); err != nil {
			return "", err
		}
	}
}

// isRemains tells from a fault whether the remains of another server are in the
// way: postmaster.pid, the socket's lock file with the same number in it, or
// backends that still have the shared memory.
func isRemains(fault string) bool {
	return strings.Contains(fault, `postmaster.pid"`) || strings.Contains(fault, `.s.PGSQL.`+port+`.lock"`) ||
		strings.Contains(fault, "pre-existing shared memory block")
}

// removeRemains removes the lock files of a server that is no more. The socket's
// lies in a folder that only this cluster uses.
func (p *place) removeRemains(socket string) error {
	for _, path := range []string{filepath.Join(socket, ".s.PGSQL."+port+".lock"), filepath.Join(p.data(), "postmaster.pid")} {
		if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return notWritable(path, err)
		}
	}
	return nil
}

// stop ends the server at once, whoever is connected, its data safe on disk.
func (p *place) stop(ctx context.Context, o Options) error {
	major, err := p.clusterMajor()
	if err != nil {
		return err
	}
	pg, err := serverFor(ctx, o.BinDirs, major, p.folder)
	if err != nil {
		return err
	}
	if out, err := p.run(ctx, pg, "pg_ctl", "stop", "-m", "fast", "-w", "-s"); err != nil {
		return fmt.Errorf("stop the server in %s: %w: %s", p.folder, err, lastLine(out))
	}
	return nil
}

// run runs one of the server's programs as its user and returns what it printed.
// It works in the cluster's folder with the data folder in PGDATA, because pg_ctl
// puts paths it is given into a shell command; and with an environment of its own,
// for PGPORT, PGOPTIONS or a locale would change what the server does.
func (p *place) run(ctx context.Context, pg programs, program string, args ...string) (string, error) {
	cmd := exec.CommandContext(ctx, filepath.Join(pg.folder, program), args...)
	cmd.Dir = p.folder
	cmd.SysProcAttr = p.attr()
	cmd.WaitDelay = 5 * time.Second
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "LC_ALL=C", "TZ=UTC", "PGDATA=" + p.data()}
	for _, name := range []string{"LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH"} {
		if value, ok := os.LookupEnv(name); ok {
			cmd.Env = append(cmd.Env, name+"="+value)
		}
	}
	out, err := cmd.CombinedOutput()
	if err != nil && len(out) == 0 {
		out = []byte(err.Error())
	}
	return string(out), err
}

// serverOptions writes the server's settings for the shell pg_ctl hands them to.
// The socket folder is a list to PostgreSQL, so it is quoted for that as well.
func serverOptions(socket string, settings []string) string {
	words := []string{"-c", "listen_addresses=", "-c", "port=" + port, "-k", `"` + strings.ReplaceAll(socket, `"`, `""`) + `"`}
	for _, setting := range settings {
		words = append(words, "-c", setting)
	}
	for i, word := range words {
		words[i] = "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
	}
	return strings.Join(words, " ")
}
