package db

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"

	"roundkit/db/backup"
	"roundkit/db/cluster"
	"roundkit/db/sqlcgen"
)

// RestoreOptions say what is restored.
type RestoreOptions struct {
	File     string
	Key      backup.Key
	Unsigned bool // a whole file that was made elsewhere will do
	Now      time.Time
}

// Restore makes the database named in the options from a back-up. The file is checked to its
// end, then a database is made of it beside the one that stands there, brought up to this
// program's schema and verified, and only then do both change their names, in one
// transaction. What stood there is kept under another name, which is returned. Whatever goes
// wrong before that leaves it as it was.
//
// errors.Is finds backup.ErrDamaged and backup.ErrUnsigned, both before anything is touched.
func Restore(ctx context.Context, o cluster.Options, r RestoreOptions) (kept string, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("restore the database: %w", err)
		}
	}()
	file, err := backup.Open(r.File, r.Key)
	if err != nil && !(r.Unsigned && errors.Is(err, backup.ErrUnsigned)) {
		if file != nil {
			file.Close()
		}
		return "", err
	}
	defer file.Close()
	server, err := cluster.Open(ctx, o)
	if err != nil {
		return "", err
	}
	if err := newEnough(ctx, server.URL); err != nil {
		return "", err
	}
	name, empty, err := nameOf(ctx, server.URL)
	if err != nil {
		return "", err
	}
	admin, err := server.Maintenance(ctx)
	if err != nil {
		return "", err
	}
	defer func() { _ = admin.Close(context.WithoutCancel(ctx)) }()
	if err := sweepLeftovers(ctx, admin); err != nil {
		return "", err
	}
	stamp := strings.Replace(r.Now.UTC().Format("20060102_150405.000"), ".", "_", 1)
	fresh := *server // the same server, another database
	freshName := shorten(name, restoring+stamp)
	if _, err := sqlcgen.New(admin).RestoreLock(ctx, freshName); err != nil { // so that nobody sweeps it
		wrap(&err, "begin")
		return "", err
	}
	if err := fresh.EnsureDatabase(ctx, freshName); err != nil {
		return "", err
	}
	defer func() {
		if err != nil {
			_, drop := admin.Exec(context.WithoutCancel(ctx), "DROP DATABASE IF EXISTS "+quoted(freshName)+" WITH (FORCE)")
			err = errors.Join(err, drop)
		}
	}()
	if err := rebuild(ctx, fresh.URL, file); err != nil {
		return "", err
	}
	if err := holds(ctx, fresh.URL); err != nil {
		return "", err
	}
	aside := shorten(name, "_before_"+stamp)
	if empty { // goes with the leftovers
		aside = shorten(name, restoring+"old_"+stamp)
	} else {
		kept = aside
	}
	if err := swap(ctx, admin, name, freshName, aside); err != nil {
		return "", err
	}
	if empty {
		_, _ = admin.Exec(ctx, "DROP DATABASE "+quoted(aside)) // the next restore sweeps it
	}
	return kept, nil
}

// restoring marks a database that is being made of a back-up; the next restore drops it if
// this one is killed.
const restoring = "_restoring_"

// nameOf is the database's name, and whether it has no table of ours.
func nameOf(ctx context.Context, url string) (name string, empty bool, err error) {
	defer wrap(&err, "look at the database that stands there")
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return "", false, err
	}
	q := sqlcgen.New(conn)
	name, nameErr := q.DatabaseName(ctx)
	tables, tablesErr := q.TableCount(ctx)
	return name, tables == 0, errors.Join(nameErr, tablesErr, conn.Close(ctx))
}

// sweepLeftovers drops what killed restores left: what nobody is connected to, and nobody
// makes just now.
func sweepLeftovers(ctx context.Context, admin *pgx.Conn) (err error) {
	defer wrap(&err, "look for what broken restores left")
	q := sqlcgen.New(admin)
	names, err := q.RestoreLeftovers(ctx)
	if err != nil {
		return err
	}
	for _, name := range names {
		free, err := q.RestoreLock(ctx, name)
		if err == nil && free {
			_, err = admin.Exec(ctx, "DROP DATABASE IF EXISTS "+quoted(name))
		}
		if err != nil && !cluster.InUse(err) {
			return err
		}
	}
	return nil
}

// rebuild makes the schema of the back-up's own version, puts the rows into it and brings both
// up to this program's.
func rebuild(ctx context.Context, url string, file *backup.File) error {
	if err := migrateTo(ctx, url, file.Head.Schema); err != nil {
		return err
	}
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		wrap(&err, "connect to the database")
		return err
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	err = pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error { return putRows(ctx, tx, file) })
	if err != nil {
		wrap(&err, "put the rows of the back-up in")
		return err
	}
	if _, err := Migrate(ctx, url); err != nil {
		return err
	}
	err = sqlcgen.New(conn).VersionsRaise(ctx)
	if err == nil {
		_, err = conn.Exec(ctx, "ANALYZE")
	}
	wrap(&err, "finish the restored database")
	return err
}

// putRows copies the rows in as they were: triggers are off, because what they would add is
// in the file, and references are taken away and put back, which checks every one of them.
func putRows(ctx context.Context, tx pgx.Tx, file *backup.File) error {
	if err := textForm(ctx, tx); err != nil {
		return err
	}
	q := sqlcgen.New(tx)
	tables, err := q.BackupTables(ctx)
	if err != nil {
		return err
	}
	references, err := q.ForeignKeys(ctx)
	if err != nil {
		return err
	}
	for _, r := range references {
		if _, err := tx.Exec(ctx, "ALTER TABLE "+quoted(r.TableName)+" DROP CONSTRAINT "+quoted(r.Name)); err != nil {
			return err
		}
	}
	missing := map[string][]string{}
	var names []string
	for _, t := range tables {
		missing[t.Name] = t.Columns
		names = append(names, quoted(t.Name))
		if _, err := tx.Exec(ctx, "ALTER TABLE "+quoted(t.Name)+" DISABLE TRIGGER USER"); err != nil {
			return err
		}
	}
	if _, err := tx.Exec(ctx, "TRUNCATE "+strings.Join(names, ", ")); err != nil { // what the migrations put in
		return err
	}
	err = file.Read(backup.Into{
		Table: func(name string, columns []string, rows io.Reader) (int64, error) {
			if want := missing[name]; want == nil || !slices.Equal(want, columns) {
				return 0, fmt.Errorf("%w: table %s is not that of schema version %d", backup.ErrDamaged, name, file.Head.Schema)
			}
			delete(missing, name)
			tag, err := tx.Conn().PgConn().CopyFrom(ctx, rows, "COPY "+tableOf(name, columns)+" FROM STDIN")
			return tag.RowsAffected(), err
		},
		Sequence: func(name string, last int64) error { return q.SequenceSet(ctx, name, last) },
	})
	if err != nil {
		return err
	}
	if len(missing) > 0 {
		return fmt.Errorf("%w: %d tables of schema version %d are not in it", backup.ErrDamaged, len(missing), file.Head.Schema)
	}
	for _, r := range references {
		if _, err := tx.Exec(ctx, "ALTER TABLE "+quoted(r.TableName)+" ADD CONSTRAINT "+quoted(r.Name)+" "+r.Definition); err != nil {
			return err
		}
	}
	for _, t := range tables {
		if _, err := tx.Exec(ctx, "ALTER TABLE "+quoted(t.Name)+" ENABLE TRIGGER USER"); err != nil {
			return err
		}
	}
	return nil
}

// holds tells whether the books of a restored database are sound.
func holds(ctx context.Context, url string) error {
	s, err := open(ctx, url)
	if err != nil {
		return err
	}
	defer s.Close()
	all, err := s.Verify(ctx)
	if err != nil {
		return err
	}
	for _, v := range all {
		if len(v.Faults) > 0 {
			return fmt.Errorf("%w: its books are not sound: not so that %s: %s (%d such)", ErrRefused, v.What, v.Faults[0], len(v.Faults))
		}
	}
	return nil
}

// swap gives the restored database the name and the old one its new name, both or neither.
// What renames a database must not be connected to it, nor may anybody else be.
func swap(ctx context.Context, admin *pgx.Conn, name, fresh, aside string) error {
	err := pgx.BeginFunc(ctx, admin, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, "ALTER DATABASE "+quoted(name)+" RENAME TO "+quoted(aside)); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, "ALTER DATABASE "+quoted(fresh)+" RENAME TO "+quoted(name))
		return err
	})
	if cluster.InUse(err) {
		return fmt.Errorf("%w: another command is using the database %s, which stays as it was: end it and try again", ErrRefused, name)
	}
	wrap(&err, "give the restored database its name (if that happened, what stood there is now %s)", aside)
	return err
}

// shorten keeps a database name within PostgreSQL's 63 bytes.
func shorten(name, tail string) string { return name[:min(len(name), 63-len(tail))] + tail }

func quoted(name string) string { return pgx.Identifier{name}.Sanitize() }

// migrateTo brings an empty database to the version of the schema that a back-up has.
func migrateTo(ctx context.Context, url string, version int64) (err error) {
	defer wrap(&err, "make the schema of the back-up")
	config, err := pgx.ParseConfig(url)
	if err != nil {
		return err
	}
	conn := stdlib.OpenDB(*config)
	defer conn.Close()
	p, err := provider(conn)
	if err != nil {
		return err
	}
	_, newest, err := versions(ctx, p)
	switch {
	case err != nil:
		return err
	case version > newest:
		return fmt.Errorf("%w: found schema version %d, expected at most %d: it was made by a newer Roundkit; use that one", ErrRefused, version, newest)
	case version < 1:
		return fmt.Errorf("%w: found schema version %d, expected 1 or more", backup.ErrDamaged, version)
	}
	_, err = p.UpTo(ctx, version)
	return err
}
