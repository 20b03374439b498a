package db_test

import (
	"os"
	"testing"

	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
	"github.com/stretchr/testify/require"

	"github.com/jackc/pgx/v5"

	"roundkit/db"
	"roundkit/db/cluster"
	"roundkit/db/dbtest"
)

// A schema newer than the program is refused: an old program must not write into it.
func TestNewerSchemaIsRefused(t *testing.T) {
	t.Parallel()
	url := dbtest.URL(t, schema())
	s, err := db.Connect(t.Context(), url)
	require.NoError(t, err)
	_, err = s.Pool().Exec(t.Context(), "INSERT INTO goose_db_version (version_id, is_applied) VALUES (99999, true)")
	require.NoError(t, err)
	s.Close()
	_, err = db.Connect(t.Context(), url)
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "found schema version 99999, expected at most")
}

// A database with an older schema is backed up before it is brought up to date; an empty
// one, and one that is up to date, need no copy.
func TestBackUpBeforeMigration(t *testing.T) {
	t.Parallel()
	url := dbtest.URL(t, dbtest.Schema{Name: "nothing", Files: db.Migrations})
	config, err := pgx.ParseConfig(url)
	require.NoError(t, err)
	conn := stdlib.OpenDB(*config)
	files := os.DirFS("migrations")
	p, err := goose.NewProvider(goose.DialectPostgres, conn, files, goose.WithDisableGlobalRegistry(true))
	require.NoError(t, err)
	_, err = p.UpTo(t.Context(), 3)
	require.NoError(t, err)
	_, err = conn.ExecContext(t.Context(), `INSERT INTO season (code, time_zone, currency, first_on, last_on) VALUES ('2026', 'Europe/Vienna', 'EUR', '2026-01-01', '2026-12-31')`)
	require.NoError(t, err)
	require.NoError(t, conn.Close())

	folder := backups(t)
	s, err := db.Open(t.Context(), cluster.Options{URL: url}, folder)
	require.NoError(t, err)
	s.Close()
	made, err := os.ReadDir(folder.Path)
	require.NoError(t, err)
	require.Len(t, made, 1)
	require.Contains(t, made[0].Name(), "-before-migration.backup")

	s, err = db.Open(t.Context(), cluster.Options{URL: url}, folder)
	require.NoError(t, err)
	s.Close()
	made, err = os.ReadDir(folder.Path)
	require.NoError(t, err)
	require.Len(t, made, 1, "up to date: no second copy")
}
