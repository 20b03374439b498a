package db_test

import (
	"context"
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/db"
)

// What the server says when a record comes, by a trigger that says it; the codes are those of
// the PostgreSQL manual, appendix A.
func TestServersTroubles(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	takeWasher(t, s)
	says := func(body string) {
		t.Helper()
		_, err := s.Pool().Exec(t.Context(), `CREATE OR REPLACE FUNCTION trouble() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN `+body+`; RETURN NEW; END $$;
			CREATE OR REPLACE TRIGGER trouble BEFORE INSERT ON entry FOR EACH ROW EXECUTE FUNCTION trouble()`)
		require.NoError(t, err)
	}
	before := rows(t, s, t.Context())
	for body, want := range map[string]struct {
		kind error
		text string
	}{
		`RAISE EXCEPTION 'could not extend file: No space left on device' USING ERRCODE = '53100'`: {db.ErrLater, "the disk of the database is full: make room on it"},
		`RAISE EXCEPTION 'sorry, too many clients already' USING ERRCODE = '53300'`:                {db.ErrLater, "takes no more connections: close other programs"},
		`RAISE EXCEPTION 'out of memory' USING ERRCODE = '53200'`:                                  {db.ErrLater, "out of memory: close other programs"},
		`RAISE EXCEPTION 'a limit' USING ERRCODE = '53400'`:                                        {db.ErrLater, "lacks what it needs for this: look at its log"},
		`RAISE EXCEPTION 'could not read block' USING ERRCODE = '58030'`:                           {db.ErrLater, "cannot read or write its files"},
		`RAISE EXCEPTION 'a name that is not there' USING ERRCODE = '23503'`:                       {db.ErrRefused, "a name that is not there"},
		// asked again and again: in the end it says so
		`RAISE EXCEPTION 'could not serialize access' USING ERRCODE = '40001'`: {db.ErrConflict, "the record could not be written in 5 tries, send it again: record: conflict: could not serialize access"},
		`UPDATE plan_version SET version = version + 1`:                        {db.ErrConflict, "the record could not be written in 5 tries, send it again: conflict: record: the plan has changed"},
	} {
		says(body)
		_, _, err := s.LogJob(t.Context(), oneWasher(t))
		require.ErrorIs(t, err, want.kind, body)
		require.ErrorContains(t, err, want.text)
		require.NotContains(t, err.Error(), "SQLSTATE")
		require.NotContains(t, err.Error(), "%!")
	}
	require.Equal(t, before, rows(t, s, t.Context()), "nothing was written")
	_, err := s.Pool().Exec(t.Context(), `DROP TRIGGER trouble ON entry`)
	require.NoError(t, err)
	takeWasher(t, s)
	requireSound(t, s)
}

// A database that is only read, as a standby is, says so and is left as it is.
func TestReadOnlyServer(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	_, err := s.Pool().Exec(t.Context(), `DO $$ BEGIN EXECUTE format('ALTER DATABASE %I SET default_transaction_read_only = on', current_database()); END $$`)
	require.NoError(t, err)
	reader, err := db.Connect(t.Context(), s.URL)
	require.NoError(t, err)
	t.Cleanup(reader.Close)
	j := oneWasher(t)
	_, _, err = reader.LogJob(t.Context(), j)
	require.ErrorIs(t, err, db.ErrLater)
	require.ErrorContains(t, err, "this database can only be read, it may be a standby")
	_, err = reader.DraftOrders(t.Context(), nil, seen(t, reader), db.ChangeOptions{})
	require.ErrorIs(t, err, db.ErrLater)
	_, _, err = s.LogJob(t.Context(), j) // a session from before may still write
	require.NoError(t, err)
}

// A server whose connections are all taken says so to whoever opens the database.
func TestNoConnectionLeft(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	_, err := s.Pool().Exec(t.Context(), `DROP ROLE IF EXISTS roundkit_guest; CREATE ROLE roundkit_guest LOGIN CONNECTION LIMIT 0`)
	require.NoError(t, err)
	t.Cleanup(func() { _, _ = s.Pool().Exec(context.Background(), `DROP ROLE IF EXISTS roundkit_guest`) })
	u, err := url.Parse(s.URL)
	require.NoError(t, err)
	q := u.Query()
	q.Set("user", "roundkit_guest")
	u.RawQuery = q.Encode()
	_, err = db.Connect(t.Context(), u.String())
	require.ErrorIs(t, err, db.ErrLater)
	require.ErrorContains(t, err, "takes no more connections")
}
