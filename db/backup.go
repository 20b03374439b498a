package db

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"roundkit/db/cluster"
	"roundkit/db/sqlcgen"
)

// keptBackups is how many back-ups made by themselves stay in a folder: a season of
// loads, at under a megabyte each.
const keptBackups = 50

// Backup writes the whole database to a file in PostgreSQL's custom format: whole or not
// at all. It needs pg_dump of the server's major version or newer.
func (s *Store) Backup(ctx context.Context, o cluster.Options, file string) (err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("back up the database: %w", err)
		}
	}()
	major, err := sqlcgen.New(s.pool).ServerMajor(ctx)
	if err != nil {
		return err
	}
	dump, err := cluster.FindTool(ctx, o, "pg_dump", int(major))
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		return err
	}
	part := file + ".part"
	defer func() { _ = os.Remove(part) }()
	if err := run(ctx, dump, "--format=custom", "--no-owner", "--no-privileges", "--file="+part, "--dbname="+s.URL); err != nil {
		return err
	}
	return os.Rename(part, file)
}

// run runs a PostgreSQL program and returns what it complained of.
func run(ctx context.Context, program string, args ...string) error {
	cmd := exec.CommandContext(ctx, program, args...)
	cmd.Dir = "/"
	out, err := cmd.CombinedOutput()
	if err != nil {
		return fmt.Errorf("%s: %w: %s", filepath.Base(program), err, strings.ReplaceAll(strings.TrimSpace(string(out)), "\n", "; "))
	}
	return nil
}

// SafetyCopy backs the database up into a folder before something big happens to it, and
// lets the oldest of many such copies go. An empty database needs none: file is "".
func (s *Store) SafetyCopy(ctx context.Context, o cluster.Options, folder, reason string, now time.Time) (file string, err error) {
	seasons, err := sqlcgen.New(s.pool).SeasonCount(ctx)
	if err != nil {
		wrap(&err, "look whether there is something to back up")
		return "", err
	}
	if seasons == 0 {
		return "", nil
	}
	name, err := s.Name(ctx)
	if err != nil {
		return "", err
	}
	file = filepath.Join(folder, fmt.Sprintf("%s-%s-before-%s.dump", name, now.UTC().Format("20060102T150405.000Z"), reason))
	if err := s.Backup(ctx, o, file); err != nil {
		return "", err
	}
	old, err := filepath.Glob(filepath.Join(folder, name+"-*-before-*.dump"))
	if err != nil {
		return file, err
	}
	slices.Sort(old)
	for len(old) > keptBackups {
		if err := os.Remove(old[0]); err != nil {
			return file, err
		}
		old = old[1:]
	}
	return file, nil
}

// Name is the name of the database.
func (s *Store) Name(ctx context.Context) (name string, err error) {
	defer wrap(&err, "ask the database for its name")
	return sqlcgen.New(s.pool).DatabaseName(ctx)
}

// Restore makes the database named in the options from a back-up. A database that holds
// something already is kept under another name, which is returned: nothing is lost.
func Restore(ctx context.Context, o cluster.Options, file string, now time.Time) (kept string, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("restore the database: %w", err)
		}
	}()
	if _, err := os.Stat(file); err != nil {
		return "", fmt.Errorf("%s: found no such back-up", file)
	}
	server, err := cluster.Open(ctx, o)
	if err != nil {
		return "", err
	}
	tool, err := cluster.FindTool(ctx, o, "pg_restore", cluster.MinMajor)
	if err != nil {
		return "", err
	}
	conn, err := pgx.Connect(ctx, server.URL)
	if err != nil {
		return "", err
	}
	q := sqlcgen.New(conn)
	name, nameErr := q.DatabaseName(ctx)
	tables, tablesErr := q.TableCount(ctx)
	if err := errors.Join(nameErr, tablesErr, conn.Close(ctx)); err != nil {
		return "", err
	}
	stamp := now.UTC().Format("20060102_150405")
	fresh := shorten(name, "_restoring_"+stamp)
	if err := server.EnsureDatabase(ctx, fresh); err != nil {
		return "", err
	}
	restored := server.URL
	if err := run(ctx, tool, "--no-owner", "--no-privileges", "--exit-on-error", "--single-transaction", "--dbname="+restored, file); err != nil {
		return "", errors.Join(err, dropDatabase(ctx, server, fresh))
	}
	if _, err := Migrate(ctx, restored); err != nil {
		return "", errors.Join(err, dropDatabase(ctx, server, fresh))
	}
	if tables > 0 {
		kept = shorten(name, "_before_"+stamp)
	}
	return kept, swap(ctx, server, name, fresh, kept)
}

// shorten keeps a database name within PostgreSQL's 63 bytes.
func shorten(name, tail string) string { return name[:min(len(name), 63-len(tail))] + tail }

// swap gives the restored database the name, and the old one its new name (or, empty, drops it).
func swap(ctx context.Context, server *cluster.Server, name, fresh, kept string) error {
	// from another database: one in use cannot be renamed
	if err := server.EnsureDatabase(ctx, fresh); err != nil {
		return err
	}
	admin, err := server.Maintenance(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = admin.Close(context.WithoutCancel(ctx)) }()
	quoted := func(s string) string { return pgx.Identifier{s}.Sanitize() }
	first := "DROP DATABASE " + quoted(name)
	if kept != "" {
		first = "ALTER DATABASE " + quoted(name) + " RENAME TO " + quoted(kept)
	}
	for _, sql := range []string{first, "ALTER DATABASE " + quoted(fresh) + " RENAME TO " + quoted(name)} {
		if _, err := admin.Exec(ctx, sql); err != nil {
			return fmt.Errorf("%w (another command may be using the database: close it and try again; what was restored is in database %s)", err, fresh)
		}
	}
	return nil
}

func dropDatabase(ctx context.Context, server *cluster.Server, name string) error {
	admin, err := server.Maintenance(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = admin.Close(context.WithoutCancel(ctx)) }()
	_, err = admin.Exec(ctx, "DROP DATABASE IF EXISTS "+pgx.Identifier{name}.Sanitize())
	return err
}
