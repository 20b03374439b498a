package db_test

import (
	"os/exec"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"
)

// psql itself, as the role that roundkit connects as: the database refuses to change what
// was recorded, whoever asks, and nothing is changed. The role owns the tables here as it
// does in a private cluster, so no right that could be taken away would help.
func TestPsqlIsRefused(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	psql, err := exec.LookPath("psql")
	require.NoError(t, err)
	conn, err := pgx.Connect(t.Context(), s.URL)
	require.NoError(t, err)
	var owner, role string
	require.NoError(t, conn.QueryRow(t.Context(), "SELECT tableowner, current_user FROM pg_tables WHERE tablename = 'movement'").Scan(&owner, &role))
	require.NoError(t, conn.Close(t.Context()))
	require.Equal(t, owner, role)
	before := where(t, s, "CRW-10")
	for _, sql := range []string{
		"UPDATE movement SET quantity = quantity + 1", "DELETE FROM movement", "TRUNCATE movement CASCADE",
		"UPDATE movement SET quantity = 1 WHERE false", // refused by the statement, not by the row
		"UPDATE entry SET person = 'u4'", "DELETE FROM entry", "TRUNCATE entry CASCADE",
		"WITH gone AS (DELETE FROM movement RETURNING 1) SELECT count(*) FROM gone",
		"MERGE INTO movement AS m USING movement AS n ON m.entry_id = n.entry_id AND m.n = n.n WHEN MATCHED THEN DELETE",
	} {
		out, err := exec.CommandContext(t.Context(), psql, "--no-psqlrc", "--set=ON_ERROR_STOP=1", s.URL, "--command="+sql).CombinedOutput()
		require.Error(t, err, sql)
		require.Contains(t, string(out), "the ledger is append-only", sql)
	}
	out, err := exec.CommandContext(t.Context(), psql, "--no-psqlrc", s.URL, "--command=SELECT count(*) FROM movement").CombinedOutput()
	require.NoError(t, err, "psql itself works: %s", out)
	require.Equal(t, before, where(t, s, "CRW-10"))
	requireSound(t, s)
}
