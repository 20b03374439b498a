// Package cluster answers: at which address does this command find its database?
//
// Given a DATABASE_URL, at that one. Given none, Roundkit keeps a private
// PostgreSQL cluster in its data folder: the package finds the installed server
// programs, makes the cluster once, starts it on a unix socket (never on a TCP
// port) and leaves it running for the next command.
//
// Method: one exclusive lock beside the cluster covers "is it running, make it,
// start it", so any number of commands may begin at once. The cluster is made
// under another name and renamed, so an interrupted run leaves nothing half made.
// PostgreSQL recovers by itself from a crash; what it cannot judge (a lock file
// whose process number now belongs to something else, or to a dead process nobody
// has collected) is judged here, and only when no process runs in that folder.
//
// Source: the PostgreSQL manual (initdb, pg_ctl, postmaster.pid) and unix(7) for
// the length of a socket's path.
//
// Limits: the private cluster needs Linux, macOS or FreeBSD; elsewhere only
// DATABASE_URL serves. Clusters are not upgraded across major versions: back up
// and restore. The schema is package db's business, not ours.
package cluster

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// DefaultDatabase is the database of the private cluster when none is named.
const DefaultDatabase = "roundkit"

// MinMajor is the oldest major version of PostgreSQL that Roundkit works with.
const MinMajor = 15

// Options say where the database is to be. The zero value is the usual: the
// private cluster in the user's data folder, database "roundkit".
type Options struct {
	// URL is the user's DATABASE_URL (a URL or keyword=value string). If it is
	// set there is no private cluster and nothing below but Database counts.
	URL string
	// Home is the user's ROUNDKIT_HOME, the data folder; empty means the folder
	// "roundkit" in the XDG data folder.
	Home string
	// Database names the database: empty means DefaultDatabase, or with a URL the
	// one in it.
	Database string
	// BinDirs are the folders searched for server programs; nil means PATH and
	// the places packages put them.
	BinDirs []string
	// SystemDir is where root's clusters lie when Home is empty (root's own
	// folders are closed to the user the server runs as); empty means
	// /var/lib/roundkit.
	SystemDir string
	// Settings are further server settings as "name=value", applied when this
	// call starts the server.
	Settings []string
	// FreeBytes tells the free space of the disk a folder is on, in bytes; nil
	// asks the system.
	FreeBytes func(folder string) (uint64, error)
}

// Server is a database server that answers.
type Server struct {
	// URL is the address of the database asked for. For a server that was only
	// started (Start) it is that of its maintenance database.
	URL string
	// Private tells the private cluster from a DATABASE_URL.
	Private bool
	// Folder holds the private cluster (pg), its log (server.log) and its socket.
	Folder string
	// Created tells that the database asked for was made by this call: it is empty.
	Created bool
}

// State is what can be said of a server without changing anything.
type State struct {
	Private   bool
	Running   bool
	Folder    string    // of the private cluster; empty if there is none yet
	LogFile   string    // of the private cluster
	Socket    string    // folder of the unix socket
	PID       int       // of the private server
	Version   string    // as the server says it, such as "15.18 (Debian 15.18-0+deb12u1)"
	Since     time.Time // instant the server began
	Databases []string  // by name
}

// Open returns the server with the database asked for, having started the
// private cluster and created the database where needed. With a URL and no
// Database it returns the URL unseen: the server is not asked.
//
// errors.Is finds ErrName, ErrURL, and for the private cluster ErrNoPrograms,
// ErrWrongMajor, ErrNotWritable, ErrUnreachable, ErrDiskFull, ErrNotOurs,
// ErrStart or ErrUnsupported.
func Open(ctx context.Context, o Options) (*Server, error) {
	if o.Database != "" {
		if err := ValidName(o.Database); err != nil {
			return nil, err
		}
	}
	s, err := Start(ctx, o)
	if err != nil {
		return nil, err
	}
	name := o.Database
	if name == "" {
		if !s.Private {
			return s, nil
		}
		name = DefaultDatabase
	}
	if err := s.EnsureDatabase(ctx, name); err != nil {
		return nil, err
	}
	return s, nil
}

// Start makes sure that the private cluster runs; with a URL it only checks that
// the URL can be read. Errors are those of Open.
func Start(ctx context.Context, o Options) (*Server, error) {
	if o.URL != "" {
		if _, err := pgx.ParseConfig(o.URL); err != nil {
			return nil, urlError(err)
		}
		return &Server{URL: o.URL}, nil
	}
	return startPrivate(ctx, o)
}

// Stop ends the private server, rolling back what is unfinished, and tells
// whether there was one to end. With a URL it refuses: that server is not ours.
func Stop(ctx context.Context, o Options) (wasRunning bool, err error) {
	if o.URL != "" {
		return false, fmt.Errorf("%w: the server of DATABASE_URL is not Roundkit's to stop", ErrNotOurs)
	}
	return stopPrivate(ctx, o)
}

// Status tells how the server is, changing nothing. A server that does not answer
// is not an error: Running is false. One that answers and refuses is (ErrTurnedAway).
func Status(ctx context.Context, o Options) (State, error) {
	if o.URL == "" {
		return statusPrivate(ctx, o)
	}
	if _, err := pgx.ParseConfig(o.URL); err != nil {
		return State{}, urlError(err)
	}
	st := State{}
	conn, err := connect(ctx, o.URL)
	var refused *pgconn.PgError
	switch {
	case errors.As(err, &refused) && refused.Code != "57P03": // it answers: a wrong password is no "not running"
		return st, fmt.Errorf("%w: the server of DATABASE_URL runs and says: %s", ErrTurnedAway, refused.Message)
	case ctx.Err() != nil:
		return st, ctx.Err()
	case err != nil:
		return st, nil
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	st.Running = true
	return st, describe(ctx, conn, &st)
}

// describe fills in what the server says of itself.
func describe(ctx context.Context, conn *pgx.Conn, st *State) error {
	err := conn.QueryRow(ctx, `SELECT current_setting('server_version'), pg_postmaster_start_time(),
		array(SELECT datname::text FROM pg_database WHERE NOT datistemplate ORDER BY datname)`).
		Scan(&st.Version, &st.Since, &st.Databases)
	if err != nil {
		return fmt.Errorf("ask the server for its state: %w", err)
	}
	return nil
}
