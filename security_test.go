// Package roundkit holds the tests of what the whole tree must be.
package roundkit

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every test that the table of SECURITY.md names is there.
func TestSecurityTableNamesTests(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("SECURITY.md")
	require.NoError(t, err)
	var all strings.Builder
	for _, folder := range []string{"cmd", "db", "planner", "reports"} {
		require.NoError(t, filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(path, "_test.go") {
				return err
			}
			content, err := os.ReadFile(path)
			all.Write(content)
			return err
		}))
	}
	named := regexp.MustCompile(`Test[A-Z]\w+`).FindAllString(string(text), -1)
	require.Greater(t, len(named), 10)
	for _, name := range named {
		require.Contains(t, all.String(), "func "+name+"(t *testing.T)", "SECURITY.md names it")
	}
}
