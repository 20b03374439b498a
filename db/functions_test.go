package db

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"roundkit/db/dbtest"
)

func functionsFile(t *testing.T) string {
	t.Helper()
	file, err := Migrations.ReadFile("functions.sql")
	require.NoError(t, err)
	return string(file)
}

// Who changes a function raises the revision: databases that are out there go by it.
func TestFunctionsSayTheirHash(t *testing.T) {
	t.Parallel()
	f, said, err := readFunctions(functionsFile(t))
	require.NoError(t, err)
	require.Equal(t, f.sha256, said, "raise the revision in line 1 of functions.sql, then put this hash there")
}

// emptyDatabase is one without tables.
func emptyDatabase(t *testing.T) string {
	return dbtest.URL(t, dbtest.Schema{Name: "nothing", Files: Migrations})
}

// Programs that open a new database at the same time bring it up to date once.
func TestProgramsMigrateAtOnce(t *testing.T) {
	t.Parallel()
	const programs = 4
	url := emptyDatabase(t)
	var all sync.WaitGroup
	var errs [programs]error
	for i := range programs {
		all.Go(func() { _, errs[i] = Migrate(t.Context(), url) })
	}
	all.Wait()
	for _, err := range errs {
		require.NoError(t, err)
	}
	loaded, err := loadFunctions(t.Context(), url, functionsFile(t))
	require.NoError(t, err)
	require.False(t, loaded, "they are there")
}

// A database with older functions gets this program's, whatever arguments the old ones
// took; newer ones, and others under the same revision, are refused and stay.
func TestFunctionsOfAnotherRevision(t *testing.T) {
	t.Parallel()
	url := emptyDatabase(t)
	_, err := Migrate(t.Context(), url)
	require.NoError(t, err)
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	t.Cleanup(func() { _ = conn.Close(t.Context()) })
	body := func() (n int) {
		t.Helper()
		require.NoError(t, conn.QueryRow(t.Context(), `SELECT count(*) FROM pg_proc WHERE proname = 'record_write'`).Scan(&n))
		return n
	}

	_, err = conn.Exec(t.Context(), `UPDATE functions_loaded SET revision = 0;
		CREATE FUNCTION record_write(integer) RETURNS integer LANGUAGE sql AS 'SELECT 1'`)
	require.NoError(t, err)
	require.Equal(t, 2, body())
	_, err = Migrate(t.Context(), url)
	require.NoError(t, err)
	require.Equal(t, 1, body(), "the old one is gone")

	head, text, _ := strings.Cut(functionsFile(t), "\n")
	changed := head + "\n" + text + "\nSELECT 1;"
	_, err = loadFunctions(t.Context(), url, changed)
	require.ErrorIs(t, err, ErrRefused)
	require.ErrorContains(t, err, "two makes of one version")
	loaded, err := loadFunctions(t.Context(), url, strings.Replace(changed, "-- revision ", "-- revision 9", 1))
	require.NoError(t, err)
	require.True(t, loaded)
	_, err = Migrate(t.Context(), url)
	require.ErrorIs(t, err, ErrRefused)
	require.ErrorContains(t, err, "this Roundkit is older than the database")
}

// A database that an older Roundkit made ends with the very tables, functions and triggers
// of a new one.
func TestOldDatabaseEndsAsANewOne(t *testing.T) {
	t.Parallel()
	old, err := os.ReadFile(filepath.Join("testdata", "version-4.sql"))
	require.NoError(t, err)
	shape := func(before string) (lines []string) {
		t.Helper()
		url := emptyDatabase(t)
		conn, err := pgx.Connect(t.Context(), url)
		require.NoError(t, err)
		defer func() { _ = conn.Close(t.Context()) }()
		_, err = conn.Exec(t.Context(), before)
		require.NoError(t, err)
		_, err = Migrate(t.Context(), url)
		require.NoError(t, err)
		_, err = conn.Exec(t.Context(), `SET search_path = public`) // which the old dump has emptied
		require.NoError(t, err)
		rows, err := conn.Query(t.Context(), `
			SELECT format('column %s.%s %s %s %s', attrelid::regclass, attname, format_type(atttypid, atttypmod), attnotnull, pg_get_expr(adbin, adrelid)) AS line
				FROM pg_attribute JOIN pg_class AS c ON c.oid = attrelid LEFT JOIN pg_attrdef ON adrelid = attrelid AND adnum = attnum
				WHERE relnamespace = 'public'::regnamespace AND relkind IN ('r', 'v') AND attnum > 0 AND NOT attisdropped
			UNION ALL SELECT format('constraint %s %s %s', conrelid::regclass, conname, pg_get_constraintdef(oid)) FROM pg_constraint WHERE connamespace = 'public'::regnamespace
			UNION ALL SELECT indexdef FROM pg_indexes WHERE schemaname = 'public'
			UNION ALL SELECT pg_get_triggerdef(t.oid) || t.tgenabled::text FROM pg_trigger AS t WHERE NOT t.tgisinternal
			UNION ALL SELECT pg_get_functiondef(oid) FROM pg_proc WHERE pronamespace = 'public'::regnamespace AND prokind = 'f'
			UNION ALL SELECT format('aggregate %s', oid::regprocedure) FROM pg_proc WHERE pronamespace = 'public'::regnamespace AND prokind = 'a'
			UNION ALL SELECT format('%s %s', oid::regclass, reloptions) FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind IN ('r', 'v')
			ORDER BY line`)
		require.NoError(t, err)
		lines, err = pgx.CollectRows(rows, pgx.RowTo[string])
		require.NoError(t, err)
		return lines
	}
	fresh, migrated := shape("SELECT 1"), shape(string(old))
	require.Greater(t, len(fresh), 300)
	require.Equal(t, fresh, migrated)
	require.Equal(t, fresh, shape(string(old)+versions5to10), "with what grouped jobs needed")
}

// versions5to10 is what of those versions is gone from the migrations, in short: of the
// functions only that they are there.
const versions5to10 = `
	SET search_path = public;
	CREATE TABLE part_stock (part_id integer PRIMARY KEY REFERENCES part (id), version bigint NOT NULL DEFAULT 1, last_at timestamptz NOT NULL DEFAULT '-infinity');
	CREATE FUNCTION part_stock_add() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NULL; END';
	CREATE TRIGGER part_stock_add AFTER INSERT ON part REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION part_stock_add();
	CREATE FUNCTION likely_doubles(in_season integer, in_but uuid[], in_service text, in_assembly text, in_happened_at timestamptz) RETURNS json LANGUAGE sql AS 'SELECT NULL::json';
	CREATE FUNCTION record_together(in_season integer, in_plan bigint, in_ids uuid[], in_part_ids integer[], in_versions bigint[], in_last_at timestamptz[],
		in_entries json, in_movements json, in_balances json, in_jobs json, in_opened json) RETURNS json LANGUAGE sql AS 'SELECT NULL::json';
	SET search_path = '';`
