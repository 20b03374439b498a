//go:build unix

package seasonfile_test

import (
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"roundkit/reports/seasonfile"
)

// A pipe among the CSV files is refused by name: reading it would wait for ever.
func TestPipeAmongTheFiles(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(folder+"/season.csv", []byte("season\n2027\n"), 0o600))
	require.NoError(t, unix.Mkfifo(folder+"/stock.csv", 0o600))
	done := make(chan error, 1)
	go func() {
		_, err := seasonfile.Read(folder, seasonfile.Limits{})
		done <- err
	}()
	select {
	case err := <-done:
		require.ErrorContains(t, err, "stock.csv: found no regular file")
	case <-time.After(10 * time.Second):
		t.Fatal("it waits for the pipe")
	}
}
