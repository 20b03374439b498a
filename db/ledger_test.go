package db_test

import (
	"context"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/require"

	"roundkit/db"
)

// The ledger's tables refuse change, for their owner too.
func TestLedgerIsAppendOnly(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	for _, table := range []string{"entry", "entry_seq", "movement", "job", "count_line", "weighing", "lot_cost", "place_move"} {
		for _, sql := range []string{"DELETE FROM " + table, "TRUNCATE " + table + " CASCADE"} {
			_, err := s.Pool().Exec(t.Context(), sql)
			var pg *pgconn.PgError
			require.ErrorAs(t, err, &pg, sql)
			require.Equal(t, "23001", pg.Code, "%s: restrict_violation (PostgreSQL manual, appendix A)", sql)
		}
	}
	_, err = s.Pool().Exec(t.Context(), "UPDATE movement SET quantity = quantity + 1")
	require.Error(t, err)
}

// A movement names an entry, a lot, a tag of that lot and places that are there, also where
// several are inserted at once; and what it may name is neither removed nor renumbered.
func TestMovementsReferToWhatIsThere(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	refused := func(code, sql string) {
		t.Helper()
		_, err := s.Pool().Exec(t.Context(), sql)
		var pg *pgconn.PgError
		require.ErrorAs(t, err, &pg, sql)
		require.Equal(t, code, pg.Code, "%s: %s", sql, pg.Message)
	}
	const foreignKey, restrict = "23503", "23001" // PostgreSQL manual, appendix A
	insert := func(entry, lot, tag, from, to string) string {
		const row = "INSERT INTO movement (entry_id, quantity, lot_id, tag_id, from_id, to_id, n) SELECT "
		return row + entry + ", 1, " + lot + ", " + tag + ", " + from + ", " + to + ", 900 + i FROM generate_series(1, 2) AS i, " +
			"(SELECT * FROM movement ORDER BY entry_id, n LIMIT 1) AS m"
	}
	refused(foreignKey, insert("gen_random_uuid()", "m.lot_id", "NULL::integer", "m.from_id", "m.to_id"))
	refused(foreignKey, insert("m.entry_id", "CASE i WHEN 2 THEN 999999 ELSE m.lot_id END", "NULL::integer", "m.from_id", "m.to_id"))
	refused(foreignKey, insert("m.entry_id", "m.lot_id", "NULL::integer", "999999", "m.to_id"))
	refused(foreignKey, insert("m.entry_id", "m.lot_id", "NULL::integer", "m.from_id", "999999"))
	refused(foreignKey, insert("m.entry_id", "m.lot_id", "(SELECT t.id FROM tag AS t WHERE t.lot_id <> m.lot_id LIMIT 1)", "m.from_id", "m.to_id"))
	for _, table := range []string{"lot", "tag", "place"} {
		refused(restrict, "DELETE FROM "+table)
		refused(restrict, "UPDATE "+table+" SET id = DEFAULT")
	}
	_, err := s.Pool().Exec(t.Context(), "BEGIN; "+insert("m.entry_id", "m.lot_id", "NULL::integer", "m.from_id", "m.to_id")+"; ROLLBACK")
	require.NoError(t, err, "what is there may be named")
	requireSound(t, s)
}

// What must hold of every ledger: each lot sums to zero over all places, no place of ours
// is below zero, balances are the sums of the movements.
func requireSound(t *testing.T, s *db.Store) {
	t.Helper()
	for name, sql := range map[string]string{
		"a lot whose places do not sum to zero":      `SELECT count(*) FROM (SELECT lot_id FROM balance GROUP BY lot_id HAVING sum(quantity) <> 0) AS x`,
		"a place of ours below zero":                 `SELECT count(*) FROM balance WHERE kept AND quantity < 0`,
		"a balance that is not its movements' sum":   soundSQL,
		"an entry without its number in the arrival": `SELECT count(*) FROM entry AS e LEFT JOIN entry_seq AS s ON s.entry_id = e.id WHERE s.seq IS NULL`,
	} {
		var n int
		require.NoError(t, s.Pool().QueryRow(t.Context(), sql).Scan(&n))
		require.Zero(t, n, name)
	}
}

const soundSQL = `
SELECT count(*) FROM (
    SELECT lot_id, tag_id, place_id, sum(q) AS q FROM (
        SELECT lot_id, tag_id, to_id AS place_id, quantity AS q FROM movement
        UNION ALL SELECT lot_id, tag_id, from_id, -quantity FROM movement) AS m
    GROUP BY lot_id, tag_id, place_id) AS m
FULL JOIN balance AS b ON b.lot_id = m.lot_id AND b.place_id = m.place_id AND b.tag_id IS NOT DISTINCT FROM m.tag_id
WHERE coalesce(m.q, 0) <> coalesce(b.quantity, 0)`

func TestDemoLedgerIsSound(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	requireSound(t, s)
}

// A dry run finds the same and leaves no row behind.
func TestDryRunWritesNothing(t *testing.T) {
	t.Parallel()
	s := store(t)
	report, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{DryRun: true})
	require.NoError(t, err)
	require.NotEmpty(t, report.Changes)
	require.Zero(t, rows(t, s, t.Context()))
}

// rows counts every row of every table but the ones a new database has.
func rows(t *testing.T, s *db.Store, ctx context.Context) (n int) {
	t.Helper()
	found, err := s.Pool().Query(ctx, `SELECT quote_ident(tablename) FROM pg_tables WHERE schemaname = 'public' AND tablename NOT IN ('goose_db_version', 'clock', 'plan_version', 'functions_loaded', 'place')`)
	require.NoError(t, err)
	tables, err := pgx.CollectRows(found, pgx.RowTo[string])
	require.NoError(t, err)
	require.NotEmpty(t, tables)
	for _, table := range tables {
		var one int
		require.NoError(t, s.Pool().QueryRow(ctx, "SELECT count(*) FROM "+table).Scan(&one))
		n += one
	}
	return n
}
