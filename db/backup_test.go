package db_test

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/db/cluster"
	"roundkit/db/dbtest"
)

// A back-up brings the season back as it was; what stood there in between is kept.
func TestBackupAndRestore(t *testing.T) {
	t.Parallel()
	url := dbtest.URL(t, schema())
	s, err := db.Connect(t.Context(), url)
	require.NoError(t, err)
	_, err = s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	before, err := s.Book(t.Context(), "")
	require.NoError(t, err)
	o := cluster.Options{URL: url}
	file := filepath.Join(t.TempDir(), "season.dump")
	require.NoError(t, s.Backup(t.Context(), o, file))
	changed, err := s.PlanAdd(t.Context(), db.PlanChange{Round: "KAR", Service: "LLS"}, 6, db.ChangeOptions{})
	require.NoError(t, err)
	require.Equal(t, 16, changed.Was)
	require.Equal(t, 22, changed.Now)
	s.Close()

	kept, err := db.Restore(t.Context(), o, file, time.Now())
	require.NoError(t, err)
	require.NotEmpty(t, kept)
	back, err := db.Connect(t.Context(), url)
	require.NoError(t, err)
	t.Cleanup(back.Close)
	after, err := back.Book(t.Context(), "")
	require.NoError(t, err)
	require.Equal(t, before, after)
	requireSound(t, back)
	_, err = back.Pool().Exec(t.Context(), "DROP DATABASE "+kept)
	require.NoError(t, err, "the old database is there, under its new name")

	_, err = db.Restore(t.Context(), o, filepath.Join(t.TempDir(), "none.dump"), time.Now())
	require.ErrorContains(t, err, "found no such back-up")
}

// A copy is made before something big happens; an empty database needs none.
func TestSafetyCopy(t *testing.T) {
	t.Parallel()
	url := dbtest.URL(t, schema())
	s, err := db.Connect(t.Context(), url)
	require.NoError(t, err)
	t.Cleanup(s.Close)
	folder := t.TempDir()
	file, err := s.SafetyCopy(t.Context(), cluster.Options{URL: url}, folder, "load", time.Now())
	require.NoError(t, err)
	require.Empty(t, file)
	_, err = s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	file, err = s.SafetyCopy(t.Context(), cluster.Options{URL: url}, folder, "load", time.Now())
	require.NoError(t, err)
	require.FileExists(t, file)
}
