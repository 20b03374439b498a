package app

import (
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
)

// onSeason runs a line on a database; full is a disk behind the output without room.
func onSeason(t *testing.T, url string, full bool, line string) (status int, out, errs string) {
	t.Helper()
	env, o, e := terminal(map[string]string{"DATABASE_URL": url, "NO_COLOR": "1", "ROUNDKIT_PERSON": "u1"})
	if full {
		env.Out = fullDisk{}
	}
	status = Run(t.Context(), env, words(t, line))
	return status, o.String(), e.String()
}

// What stands in the ledger is said to, whatever becomes of the answer: whoever is told that
// it failed does it again.
func TestRecordedThoughNotShown(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	rows := func() (n int) {
		conn, err := pgx.Connect(t.Context(), url)
		require.NoError(t, err)
		defer func() { require.NoError(t, conn.Close(t.Context())) }()
		require.NoError(t, conn.QueryRow(t.Context(), `SELECT (SELECT count(*) FROM entry) + (SELECT count(*) FROM closed_month)`).Scan(&n))
		return n
	}
	before := rows()
	for i, line := range []string{"receive CRW-10 5", "receive CRW-10 6 --json", "move CRW-10 1 --from T-D03 --to T-D01", "job log LLS --on F03 --as-usual", "charge add freight 12.34"} {
		status, _, errs := onSeason(t, url, true, line)
		require.Equal(t, frame.Done, status, "%s: %s", line, errs)
		require.Regexp(t, `(?m)^roundkit: recorded as \S.*; the rest could not be shown: no space left$`, errs, line)
		require.Equal(t, before+i+1, rows(), line)
	}
	for _, line := range []string{"receive CRW-10 5 --dry-run", "stock"} {
		status, _, errs := onSeason(t, url, true, line)
		require.Equal(t, frame.Refused, status, line)
		require.Contains(t, errs, "write the answer: no space left", line)
	}

	// the season cannot be read any more once the record is in
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	_, err = conn.Exec(t.Context(), `CREATE FUNCTION hide() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN ALTER TABLE IF EXISTS budget RENAME TO hidden; RETURN NULL; END $$;
		CREATE TRIGGER hide AFTER INSERT ON entry FOR EACH STATEMENT EXECUTE FUNCTION hide()`)
	require.NoError(t, err)
	require.NoError(t, conn.Close(t.Context()))
	before = rows()
	status, out, errs := onSeason(t, url, false, "receive CRW-10 7")
	require.Equal(t, frame.Done, status, errs)
	require.Regexp(t, `(?m)^roundkit: recorded as \S+; the rest could not be shown: `, errs)
	require.Contains(t, out, "CRW-10 7: received")
	require.Equal(t, before+1, rows())
}

// What is said twice is recorded twice, with a warning: a parcel that two people book in.
func TestLikelyTheSameAgain(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	const order = "PO-006"
	for _, line := range []string{"receive CRW-10 50", "move CRW-10 2 --from T-D03 --to T-D01", "scrap CRW-10 1", "charge add freight 85.50 --date 2027-06-01",
		"charge add freight 30 --over " + order, "charge add freight 31 --over " + order + " --by-mass", "move CRW-10 3 --from T-D03 --to T-D04 --trip TR-ALP"} {
		for i := range 2 {
			status, out, errs := onSeason(t, url, false, line)
			require.Equal(t, frame.Done, status, errs)
			require.Equal(t, i == 1, strings.Contains(plain(out), "likely the same again"), "%s, time %d: %s", line, i+1, out)
		}
	}
	// another quantity or place is another thing; what was taken back is no double
	for _, line := range []string{"receive CRW-10 51", "move CRW-10 2 --from T-D03 --to T-D02"} {
		_, out, _ := onSeason(t, url, false, line)
		require.NotContains(t, plain(out), "likely the same", line)
	}
	status, out, errs := onSeason(t, url, false, "receive WIP-40 9")
	require.Equal(t, frame.Done, status, errs)
	require.NotContains(t, plain(out), "likely the same")
	status, _, errs = onSeason(t, url, false, "undo")
	require.Equal(t, frame.Done, status, errs)
	_, out, _ = onSeason(t, url, false, "receive WIP-40 9")
	require.NotContains(t, plain(out), "likely the same")
}

// plain is a screen's text without its line breaks.
func plain(out string) string { return strings.Join(strings.Fields(out), " ") }
