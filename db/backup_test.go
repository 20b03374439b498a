package db_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/db/backup"
	"roundkit/db/cluster"
	"roundkit/db/dbtest"
)

// backups is a folder of a test's own, with a key.
func backups(t *testing.T) backup.Folder {
	folder := t.TempDir()
	return backup.Folder{Path: filepath.Join(folder, "backups"), KeyFile: filepath.Join(folder, "backup.key")}
}

// filled is a database with the demo season, and a back-up of it.
func filled(t *testing.T) (s *db.Store, url string, r db.RestoreOptions) {
	t.Helper()
	url = dbtest.URL(t, demoSchema(t))
	s, err := db.Connect(t.Context(), url)
	require.NoError(t, err)
	t.Cleanup(s.Close)
	return s, url, backUp(t, s)
}

// demoSchema is a template with the demo season in it.
func demoSchema(t *testing.T) dbtest.Schema {
	return dbtest.Schema{Name: "demo for back-ups", Files: db.Migrations, Up: func(ctx context.Context, url string) error {
		s, err := db.Connect(ctx, url)
		if err != nil {
			return err
		}
		defer s.Close()
		_, err = s.Load(ctx, demoInput(t), db.LoadOptions{})
		return err
	}}
}

func backUp(t *testing.T, s *db.Store) db.RestoreOptions {
	t.Helper()
	key, err := backups(t).Key()
	require.NoError(t, err)
	r := db.RestoreOptions{File: filepath.Join(t.TempDir(), "season.backup"), Key: key, Now: time.Now()}
	require.NoError(t, s.Backup(t.Context(), db.BackupOptions{File: r.File, Key: key, Now: r.Now}))
	return r
}

// contents is every row of every table but the plan's version, which a restore raises.
func contents(t *testing.T, s *db.Store) map[string]string {
	t.Helper()
	rows, err := s.Pool().Query(t.Context(), `SELECT tablename FROM pg_tables WHERE schemaname = 'public' AND tablename NOT IN ('goose_db_version', 'plan_version') ORDER BY 1`)
	require.NoError(t, err)
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	require.NoError(t, err)
	require.Greater(t, len(names), 40)
	all := map[string]string{}
	for _, name := range names {
		var text string
		require.NoError(t, s.Pool().QueryRow(t.Context(), `SELECT coalesce(string_agg(t::text, E'\n' ORDER BY t::text), '') FROM `+name+` AS t`).Scan(&text))
		all[name] = text
	}
	return all
}

// databases lists those of one database's name and what was made beside it.
func databases(t *testing.T, s *db.Store, name string) []string {
	t.Helper()
	rows, err := s.Pool().Query(t.Context(), `SELECT datname::text FROM pg_database WHERE datname LIKE $1 || '%' ORDER BY 1`, strings.ReplaceAll(name, "_", `\_`))
	require.NoError(t, err)
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	require.NoError(t, err)
	return names
}

// requireNothingBeside holds that a refused restore left no database of its own: those have
// the first of the name's letters, which other tests' may share.
func requireNothingBeside(t *testing.T, s *db.Store, name, what string) {
	t.Helper()
	for _, other := range databases(t, s, name[:33]) {
		require.NotContains(t, other, "_restoring_", what)
		require.NotContains(t, other, "_before_", what)
	}
}

// A back-up brings the season back as it was, row by row; what stood there in between is
// kept, and the work goes on from there.
func TestBackupAndRestore(t *testing.T) {
	t.Parallel()
	s, url, r := filled(t)
	before := contents(t, s)
	require.NotEmpty(t, before["movement"])
	info, err := os.Stat(r.File)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "prices and people are in it")
	changed, err := s.PlanAdd(t.Context(), db.PlanChange{Round: "KAR", Service: "LLS"}, 6, db.ChangeOptions{})
	require.NoError(t, err)
	require.Equal(t, 16, changed.Was)
	require.Equal(t, 22, changed.Now)
	var version int64
	require.NoError(t, s.Pool().QueryRow(t.Context(), `SELECT version FROM plan_version`).Scan(&version))
	s.Close()

	o := cluster.Options{URL: url}
	kept, err := db.Restore(t.Context(), o, r)
	require.NoError(t, err)
	require.NotEmpty(t, kept)
	back, err := db.Connect(t.Context(), url)
	require.NoError(t, err)
	t.Cleanup(back.Close)
	require.Equal(t, before, contents(t, back))
	requireSound(t, back)
	steps := 0
	all, err := back.VerifyStepwise(t.Context(), func() { steps++ })
	require.NoError(t, err)
	require.Equal(t, db.VerifySteps, steps)
	require.Len(t, all, db.VerifySteps)
	var raised int64
	require.NoError(t, back.Pool().QueryRow(t.Context(), `SELECT version FROM plan_version`).Scan(&raised))
	require.Greater(t, raised, version, "what a program remembers of the plan that stood here is not taken for this one")
	for i := range 2 { // numbers go on where they were
		done, err := back.Receive(t.Context(), db.Receipt{Act: db.Act{ID: uuid.Must(uuid.NewV7())}, Part: "CRW-10", Quantity: 5})
		require.NoError(t, err, i)
		require.Len(t, done.Entries, 1)
	}
	requireSound(t, back)
	_, err = back.Pool().Exec(t.Context(), `DELETE FROM entry`)
	require.ErrorContains(t, err, "refused", "the triggers stand again")
	_, err = back.Pool().Exec(t.Context(), `UPDATE lot SET part_id = 2000000000`)
	require.Error(t, err, "and the references")
	dropKept(t, back, kept)

	_, err = db.Restore(t.Context(), o, db.RestoreOptions{File: filepath.Join(t.TempDir(), "none.backup"), Key: r.Key})
	require.ErrorIs(t, err, os.ErrNotExist)
}

// 200 back-ups with one bit flipped, 60 cut short and some that are something else: each is
// refused before anything is touched.
func TestRestoreRefusesDamage(t *testing.T) {
	t.Parallel()
	s, url, r := filled(t)
	name, err := s.Name(t.Context())
	require.NoError(t, err)
	before := contents(t, s)
	whole, err := os.ReadFile(r.File)
	require.NoError(t, err)
	const seed = 20270605
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 1))
	damaged := [][]byte{{}, []byte("PGDMP\x01\x0e\x00"), []byte("Roundkit back-up 1\n"), append(slices.Clone(whole), 'x'), append(slices.Clone(whole), whole...)}
	for range 200 {
		one := slices.Clone(whole)
		one[random.IntN(len(one))] ^= 1 << random.IntN(8)
		damaged = append(damaged, one)
	}
	for i := len(whole) - 200; i < len(whole); i++ { // every byte of the footer, one bit each
		one := slices.Clone(whole)
		one[i] ^= 1 << random.IntN(8)
		damaged = append(damaged, one)
	}
	for range 60 {
		damaged = append(damaged, whole[:random.IntN(len(whole))])
	}
	s.Close()
	for i, content := range damaged {
		one := r
		one.File = filepath.Join(t.TempDir(), "one.backup")
		require.NoError(t, os.WriteFile(one.File, content, 0o600))
		_, err := db.Restore(t.Context(), cluster.Options{URL: url}, one)
		require.Error(t, err, i)
		require.True(t, errors.Is(err, backup.ErrDamaged) || errors.Is(err, backup.ErrUnsigned), "%d: %v", i, err)
	}
	after, err := db.Connect(t.Context(), url)
	require.NoError(t, err)
	t.Cleanup(after.Close)
	require.Equal(t, before, contents(t, after))
	require.Equal(t, []string{name}, databases(t, after, name))
}

// A back-up of another computer is whole but not ours: it is restored only when asked for.
func TestRestoreOfAnotherKey(t *testing.T) {
	t.Parallel()
	s, url, r := filled(t)
	before := contents(t, s)
	s.Close()
	var err error
	r.Key, err = backups(t).Key()
	require.NoError(t, err)
	_, err = db.Restore(t.Context(), cluster.Options{URL: url}, r)
	require.ErrorIs(t, err, backup.ErrUnsigned)
	r.Unsigned = true
	kept, err := db.Restore(t.Context(), cluster.Options{URL: url}, r)
	require.NoError(t, err)
	after, err := db.Connect(t.Context(), url)
	require.NoError(t, err)
	t.Cleanup(after.Close)
	dropKept(t, after, kept)
	require.Equal(t, before, contents(t, after))
}

// dropKept removes what a restore kept, which must be there.
func dropKept(t *testing.T, s *db.Store, kept string) {
	t.Helper()
	_, err := s.Pool().Exec(t.Context(), "DROP DATABASE "+pgx.Identifier{kept}.Sanitize())
	require.NoError(t, err, "the old database is there, under its new name")
}

// Rows that somebody crafted are put into our own tables or nowhere, and only if the books
// they make are sound.
func TestRestoreRefusesCrafted(t *testing.T) {
	t.Parallel()
	s, _, r := filled(t)
	name, err := s.Name(t.Context())
	require.NoError(t, err)
	before := contents(t, s)
	for what, change := range map[string]struct{ sql, says string }{
		"a table of its own":         {`CREATE TABLE evil (run text)`, "table evil is not that of schema version"},
		"a column of its own":        {`ALTER TABLE part ADD COLUMN evil text`, "table part is not that of schema version"},
		"a balance without movement": {`UPDATE balance SET quantity = quantity + 1 WHERE kept`, "not sound"},
		"goods of no part":           {`ALTER TABLE allocation DROP CONSTRAINT allocation_part_fkey; UPDATE allocation SET part = 'EVIL' WHERE ctid = (SELECT min(ctid) FROM allocation)`, "allocation_part_fkey"},
		"a movement of no place":     {`ALTER TABLE movement DISABLE TRIGGER USER; UPDATE movement SET to_id = 2000000000`, "not sound"},
	} {
		url := dbtest.URL(t, demoSchema(t))
		other, err := db.Connect(t.Context(), url)
		require.NoError(t, err)
		t.Cleanup(other.Close)
		_, err = other.Pool().Exec(t.Context(), change.sql)
		require.NoError(t, err, what)
		crafted := r
		crafted.File = filepath.Join(t.TempDir(), "crafted.backup")
		require.NoError(t, other.Backup(t.Context(), db.BackupOptions{File: crafted.File, Key: r.Key, Now: r.Now}))
		_, err = db.Restore(t.Context(), cluster.Options{URL: url}, crafted)
		require.ErrorContains(t, err, change.says, what)
		stands, err := other.Name(t.Context())
		require.NoError(t, err)
		requireNothingBeside(t, other, stands, what)
	}
	require.Equal(t, before, contents(t, s))
	requireNothingBeside(t, s, name, "all")
}

// While another command uses the database nothing changes its name, and nothing is left.
// What a killed restore left goes with the next one.
func TestRestoreInUse(t *testing.T) {
	t.Parallel()
	s, url, r := filled(t)
	name, err := s.Name(t.Context())
	require.NoError(t, err)
	left := name[:33] + "_restoring_20260101_101010_000"
	_, err = s.Pool().Exec(t.Context(), "CREATE DATABASE "+left)
	require.NoError(t, err)
	_, err = db.Restore(t.Context(), cluster.Options{URL: url}, r)
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "another command is using the database "+name)
	requireNothingBeside(t, s, name, "in use")
}

// A back-up of an older schema is restored and brought up to this program's, as the
// database itself is.
func TestRestoreOfAnOlderSchema(t *testing.T) {
	t.Parallel()
	url := dbtest.URL(t, dbtest.Schema{Name: "nothing", Files: db.Migrations})
	old, err := os.ReadFile(filepath.Join("testdata", "version-4.sql"))
	require.NoError(t, err)
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	_, err = conn.Exec(t.Context(), string(old))
	require.NoError(t, err)
	require.NoError(t, conn.Close(t.Context()))
	folder := backups(t)
	s, err := db.Open(t.Context(), cluster.Options{URL: url}, folder)
	require.NoError(t, err)
	migrated := contents(t, s)
	s.Close()
	copies, err := folder.List()
	require.NoError(t, err)
	require.Len(t, copies, 1)
	key, err := folder.Key()
	require.NoError(t, err)
	file, err := backup.Open(copies[0].Path, key)
	require.NoError(t, err)
	require.EqualValues(t, 4, file.Head.Schema)
	file.Close()

	kept, err := db.Restore(t.Context(), cluster.Options{URL: url}, db.RestoreOptions{File: copies[0].Path, Key: key, Now: time.Now()})
	require.NoError(t, err)
	s, err = db.Connect(t.Context(), url)
	require.NoError(t, err)
	t.Cleanup(s.Close)
	dropKept(t, s, kept)
	require.Equal(t, migrated, contents(t, s))
	requireSound(t, s)
}

// A copy is made before something big happens; an empty database needs none.
func TestSafetyCopy(t *testing.T) {
	t.Parallel()
	s, err := db.Connect(t.Context(), dbtest.URL(t, schema()))
	require.NoError(t, err)
	t.Cleanup(s.Close)
	folder := backups(t)
	file, err := s.SafetyCopy(t.Context(), folder, "load", time.Now())
	require.NoError(t, err)
	require.Empty(t, file)
	_, err = s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	file, err = s.SafetyCopy(t.Context(), folder, "load", time.Now())
	require.NoError(t, err)
	require.FileExists(t, file)
	name, err := s.Name(t.Context())
	require.NoError(t, err)
	last, found, err := folder.LastGood(name)
	require.NoError(t, err)
	require.True(t, found)
	require.Equal(t, file, last.Path)
	_, found, err = folder.LastGood(name + "-2026")
	require.NoError(t, err)
	require.False(t, found, "of another database")
	require.NoError(t, os.Truncate(file, 1000))
	_, found, err = folder.LastGood(name)
	require.NoError(t, err)
	require.False(t, found, "a damaged one is no good")
}
