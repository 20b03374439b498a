//go:build linux || darwin || freebsd

package cluster

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestNamedDatabases: by name on the private cluster, and, as with DATABASE_URL,
// on a server given by its address.
func TestNamedDatabases(t *testing.T) {
	t.Parallel()
	o := setup(t)
	o.Database = "demo"
	s, err := Open(t.Context(), o)
	require.NoError(t, err)
	require.Equal(t, "demo", query(t, s.URL, `SELECT current_database()::text`))

	var group sync.WaitGroup
	servers, errs := make([]*Server, 8), make([]error, 8)
	for i := range servers {
		group.Go(func() { servers[i], errs[i] = Open(t.Context(), Options{URL: s.URL, Database: "kestrel-2026"}) })
	}
	group.Wait()
	created := 0
	for i, got := range servers {
		require.NoError(t, errs[i])
		require.False(t, got.Private)
		require.Equal(t, "kestrel-2026", query(t, got.URL, `SELECT current_database()::text`))
		if got.Created {
			created++
		}
	}
	require.Equal(t, 1, created, "one made it, seven found it")
	require.Equal(t, "C", query(t, servers[0].URL, `SELECT current_setting('lc_collate')`))

	missing, err := withDatabase(s.URL, "not-there")
	require.NoError(t, err)
	got, err := Open(t.Context(), Options{URL: missing, Database: "second"})
	require.NoError(t, err, "the URL's own database need not exist")
	require.True(t, got.Created)

	st, err := Status(t.Context(), Options{URL: s.URL})
	require.NoError(t, err)
	require.True(t, st.Running)
	require.Equal(t, []string{"demo", "kestrel-2026", "postgres", "second"}, st.Databases)
	st, err = Status(t.Context(), Options{URL: "postgres://127.0.0.1:1/x"})
	require.NoError(t, err)
	require.False(t, st.Running)
}
