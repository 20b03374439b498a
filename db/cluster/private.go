//go:build linux || darwin || freebsd

package cluster

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"
	"golang.org/x/sys/unix"
)

// lockWait is how long a command waits for others that start or stop the server:
// many times what making a cluster takes on a slow machine (7 s measured).
const lockWait = 2 * time.Minute

// startPrivate returns the running private server, having made and started it
// where needed.
func startPrivate(ctx context.Context, o Options) (*Server, error) {
	p, err := locate(o)
	if err != nil {
		return nil, err
	}
	if !exists(p.folder) {
		if err := p.checkSpace(o); err != nil {
			return nil, err
		}
		// Look for the programs before making folders: without them nothing is left behind.
		if _, err := serverFor(ctx, o.BinDirs, 0, p.folder); err != nil {
			return nil, err
		}
	}
	if err := p.make(ctx); err != nil {
		return nil, err
	}
	unlock, err := p.lock(ctx)
	if err != nil {
		return nil, err
	}
	defer unlock()
	address, err := p.running(ctx)
	if err != nil {
		return nil, err
	}
	if address == "" {
		if err := p.endUnreachable(ctx, o); err != nil {
			return nil, err
		}
		if address, err = p.start(ctx, o); err != nil {
			return nil, err
		}
	}
	if err := p.writePointer(); err != nil {
		return nil, err
	}
	return &Server{URL: address, Private: true, Folder: p.folder}, nil
}

// stopPrivate ends the server of an existing cluster.
func stopPrivate(ctx context.Context, o Options) (bool, error) {
	p, err := locate(o)
	if err != nil || !exists(p.data()) {
		return false, err
	}
	unlock, err := p.lock(ctx)
	if err != nil {
		return false, err
	}
	defer unlock()
	f, found, err := readPIDFile(p.data())
	if err != nil || !found {
		return false, err
	}
	if state := stateOf(f.pid); state != postgres && state != cannotJudge {
		return false, nil
	}
	if pids, sure := runningIn(p.data()); sure && len(pids) == 0 {
		return false, nil
	}
	return true, p.stop(ctx, o)
}

// statusPrivate looks without locking or making anything.
func statusPrivate(ctx context.Context, o Options) (State, error) {
	st := State{Private: true}
	p, err := locate(o)
	if err != nil || !exists(p.data()) {
		return st, err
	}
	st.Folder, st.LogFile = p.folder, p.logFile()
	address, err := p.running(ctx)
	if err != nil || address == "" {
		return st, err
	}
	f, _, err := readPIDFile(p.data())
	if err != nil {
		return st, err
	}
	conn, err := connect(ctx, address)
	if err != nil {
		return st, nil // it has stopped since
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	st.Running, st.PID, st.Socket = true, f.pid, f.socket
	return st, describe(ctx, conn, &st)
}

// running returns the address of this cluster's server if one answers, else "".
//
// The socket is where the server itself says, not where we would put it: the
// folder chosen depends on the session. The server must also say that it serves
// this folder, for a copied data folder carries the original's postmaster.pid.
func (p *place) running(ctx context.Context) (string, error) {
	f, found, err := readPIDFile(p.data())
	if err != nil || !found || !p.trusted(f.socket) {
		return "", err
	}
	address := socketURL(f.socket, maintenance)
	// A server that starts up or shuts down says so (cannot_connect_now): wait.
	var conn *pgx.Conn
	for began := time.Now(); ; {
		conn, err = connect(ctx, address)
		if sqlState(err) != "57P03" {
			break
		}
		if time.Since(began) > lockWait {
			return "", fmt.Errorf("%w: the server in %s has been starting or stopping for %s; see %s", ErrStart, p.folder, lockWait, p.logFile())
		}
		if err := pause(ctx, 100*time.Millisecond); err != nil {
			return "", err
		}
	}
	switch code := sqlState(err); {
	case code != "":
		return "", fmt.Errorf("%w: the server in %s refused the connection: %w", ErrStart, p.folder, err)
	case ctx.Err() != nil:
		return "", ctx.Err()
	case err != nil:
		return "", nil // nobody listens
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	var data string
	if err := conn.QueryRow(ctx, `SELECT current_setting('data_directory')`).Scan(&data); err != nil {
		return "", fmt.Errorf("%w: ask the server in %s for its folder: %w", ErrStart, p.folder, err)
	}
	theirs, err := os.Stat(data)
	if err != nil {
		return "", nil // moved or gone: not this one
	}
	ours, err := os.Stat(p.data())
	if err != nil {
		return "", notWritable(p.folder, err)
	}
	if !os.SameFile(theirs, ours) {
		return "", nil
	}
	return address, nil
}

// lock takes the exclusive lock beside the cluster; it goes with the process, so
// a killed command leaves none. Opened for reading only, it also works where the
// folder has become read-only under a running server.
func (p *place) lock(ctx context.Context) (unlock func(), err error) {
	path := filepath.Join(p.folder, "lock")
	isNew := !exists(path)
	file, err := os.OpenFile(path, os.O_RDONLY|os.O_CREATE, 0o600)
	if err != nil {
		return nil, notWritable(p.folder, err)
	}
	if isNew {
		if err := p.own(path); err != nil {
			_ = file.Close()
			return nil, err
		}
	}
	for began := time.Now(); ; {
		err := unix.Flock(int(file.Fd()), unix.LOCK_EX|unix.LOCK_NB)
		if err == nil {
			return func() { _ = file.Close() }, nil // closing releases it
		}
		if !errors.Is(err, syscall.EWOULDBLOCK) && !errors.Is(err, syscall.EINTR) {
			_ = file.Close()
			return nil, fmt.Errorf("%w: lock %s: %w", ErrNotWritable, path, err)
		}
		if time.Since(began) > lockWait {
			_ = file.Close()
			return nil, fmt.Errorf("%w: another command has held %s for %s", ErrStart, path, lockWait)
		}
		if err := pause(ctx, 20*time.Millisecond); err != nil {
			_ = file.Close()
			return nil, err
		}
	}
}

// pause waits, or returns the context's error.
func pause(ctx context.Context, d time.Duration) error {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-timer.C:
		return nil
	}
}
