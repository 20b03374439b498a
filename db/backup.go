package db

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"time"

	"github.com/jackc/pgx/v5"

	"roundkit/db/backup"
	"roundkit/db/sqlcgen"
)

// BackupOptions say how a back-up is written.
type BackupOptions struct {
	File    string
	Key     backup.Key
	Replace bool // a plain file that stands there already is replaced
	Now     time.Time
}

// Backup writes every row of one state of the database to a file: whole or not at all, and
// read back before it takes its name.
func (s *Store) Backup(ctx context.Context, o BackupOptions) (err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("back up the database: %w", err)
		}
	}()
	head := backup.Head{MadeAt: o.Now.UTC()}
	if head.Schema, err = schemaVersion(ctx, s.URL); err != nil {
		return err
	}
	tx, err := s.pool.BeginTx(ctx, readOnly)
	if err != nil {
		wrap(&err, "begin")
		return err
	}
	defer func() { _ = tx.Rollback(context.WithoutCancel(ctx)) }()
	if err := textForm(ctx, tx); err != nil {
		return err
	}
	q := sqlcgen.New(tx)
	if head.Database, err = q.DatabaseName(ctx); err != nil {
		return err
	}
	if err := tx.QueryRow(ctx, "SHOW server_version").Scan(&head.Server); err != nil {
		return err
	}
	tables, err := q.BackupTables(ctx)
	if err != nil {
		return err
	}
	sequences, err := q.BackupSequences(ctx)
	if err != nil {
		return err
	}
	w, err := backup.Create(o.File, o.Key, head, o.Replace)
	if err != nil {
		return err
	}
	// Who is told to stop may end before the copy heeds it: the part goes at once.
	stop := context.AfterFunc(ctx, w.Forget)
	defer stop()
	if err := writeTables(ctx, tx, w, tables, sequences); err != nil {
		w.Abort()
		return err
	}
	if err := w.Close(); err != nil {
		return cmp.Or(ctx.Err(), err) // the part was taken away under it
	}
	return nil
}

func writeTables(ctx context.Context, tx pgx.Tx, w *backup.Writer, tables []sqlcgen.BackupTablesRow, sequences []sqlcgen.BackupSequencesRow) error {
	for _, t := range tables {
		err := w.Table(t.Name, t.Columns, func(out io.Writer) (int64, error) {
			tag, err := tx.Conn().PgConn().CopyTo(ctx, out, "COPY "+tableOf(t.Name, t.Columns)+" TO STDOUT")
			return tag.RowsAffected(), err
		})
		if err != nil {
			wrap(&err, "copy table %s", t.Name)
			return err
		}
	}
	for _, s := range sequences {
		if err := w.Sequence(s.Name, s.Last); err != nil {
			return err
		}
	}
	return nil
}

// tableOf names a table and its columns in SQL.
func tableOf(name string, columns []string) string {
	text := pgx.Identifier{"public", name}.Sanitize() + " ("
	for i, c := range columns {
		if i > 0 {
			text += ", "
		}
		text += pgx.Identifier{c}.Sanitize()
	}
	return text + ")"
}

// textForm fixes how values look as text, whatever the server or the role is set to.
func textForm(ctx context.Context, tx pgx.Tx) error {
	_, err := tx.Exec(ctx, `SET LOCAL datestyle = 'ISO, YMD'; SET LOCAL timezone = 'UTC'; SET LOCAL intervalstyle = 'postgres';
		SET LOCAL bytea_output = 'hex'; SET LOCAL extra_float_digits = 1; SET LOCAL client_encoding = 'UTF8'`)
	wrap(&err, "begin")
	return err
}

// SafetyCopy backs the database up into a folder before something big happens to it, and
// lets the oldest of many such copies go. An empty database needs none: file is "".
func (s *Store) SafetyCopy(ctx context.Context, folder backup.Folder, reason string, now time.Time) (file string, err error) {
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
	key, err := folder.Key()
	if err != nil {
		return "", err
	}
	file = folder.Auto(name, reason, now)
	if err := s.Backup(ctx, BackupOptions{File: file, Key: key, Now: now}); err != nil {
		return "", err
	}
	return file, folder.Prune(now)
}

// Name is the name of the database.
func (s *Store) Name(ctx context.Context) (name string, err error) {
	defer wrap(&err, "ask the database for its name")
	return sqlcgen.New(s.pool).DatabaseName(ctx)
}
