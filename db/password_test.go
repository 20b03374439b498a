package db_test

import (
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The command line of a program is open to every user of the machine, so the password of a
// DATABASE_URL must never be on one: the package that has it starts no program at all, and
// the one that starts the private server's never puts an address on a command line.
func TestNoProgramGetsThePassword(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	backups, err := filepath.Glob("backup/*.go")
	require.NoError(t, err)
	for _, path := range append(files, backups...) {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		require.NoError(t, err)
		for _, i := range parsed.Imports {
			require.NotEqual(t, `"os/exec"`, i.Path.Value, path)
		}
	}
	cluster, err := filepath.Glob("cluster/*.go")
	require.NoError(t, err)
	for _, path := range cluster {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		require.NotContains(t, string(text), "--dbname", path)
	}
}
