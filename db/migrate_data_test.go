package db_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/db/dbtest"
	"roundkit/planner/ledger"
)

// A database that an older Roundkit filled is brought up to date with all that is in it:
// the figures below are those the older program showed, and the work goes on from there.
func TestMigrationKeepsWhatWasRecorded(t *testing.T) {
	t.Parallel()
	url := dbtest.URL(t, dbtest.Schema{Name: "nothing", Files: db.Migrations})
	old, err := os.ReadFile(filepath.Join("testdata", "version-4.sql"))
	require.NoError(t, err)
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	_, err = conn.Exec(t.Context(), string(old))
	require.NoError(t, err)
	require.NoError(t, conn.Close(t.Context()))
	pending, err := db.Pending(t.Context(), url)
	require.NoError(t, err)
	require.True(t, pending)

	s, err := db.Connect(t.Context(), url)
	require.NoError(t, err)
	defer s.Close()
	sound := func() {
		t.Helper()
		verified, err := s.Verify(t.Context())
		require.NoError(t, err)
		require.NotEmpty(t, verified)
		for _, v := range verified {
			require.Empty(t, v.Faults, v.What)
		}
	}
	sound()
	require.EqualValues(t, 1, held(t, s, "FSK-48", "V1"))
	require.EqualValues(t, 4, held(t, s, "DUST-48", "shop"))
	require.EqualValues(t, 1, held(t, s, "DUST-48", "V1"))
	require.EqualValues(t, 2, held(t, s, "DUST-48", "HERON"))
	require.EqualValues(t, 4, held(t, s, "ORG-FC", "V1"))
	require.EqualValues(t, 590_000, held(t, s, "OIL-5W", "V2"))
	require.EqualValues(t, 590_000, held(t, s, "OIL-7W", "V2"))
	require.EqualValues(t, 1, held(t, s, "SSK-46", "shop"), "that job was taken back")

	jobs, err := s.Jobs(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	require.Len(t, jobs, 3)
	require.Equal(t, "RBS", jobs[0].Service)
	require.NotNil(t, jobs[0].UndoneAt)
	first := jobs[2]
	require.Equal(t, "FA", first.Assembly)
	require.Nil(t, first.UndoneAt)

	// an old record can be taken back, and new ones follow it
	_, err = s.Undo(t.Context(), db.Act{ID: uuid.Must(uuid.NewV7()), Person: "mech"}, first.ID.String())
	require.NoError(t, err)
	require.EqualValues(t, 1_000_000, held(t, s, "OIL-5W", "V2"))
	_, _, err = s.LogJob(t.Context(), db.JobLog{
		ID: uuid.Must(uuid.NewV7()), Person: "mech", Service: "RBF", Assembly: "FA", Round: "GOR",
		Used: []ledger.Amount{{Part: "OIL-5W", Quantity: 400_000}},
	})
	require.NoError(t, err)
	require.EqualValues(t, 600_000, held(t, s, "OIL-5W", "V2"))
	sound()
}
