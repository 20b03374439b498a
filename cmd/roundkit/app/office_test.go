package app

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
)

// Every sheet the program writes opens in LibreOffice without repair: it converts it to
// PDF, where it is installed. The full run (.ci/run) installs it, and there it must be.
func TestSheetsOpenInLibreOffice(t *testing.T) {
	office, err := exec.LookPath("soffice")
	if err != nil {
		require.Empty(t, os.Getenv("CI"), "LibreOffice is not installed, and the full run needs it")
		t.Skip("LibreOffice is not installed: nothing opened the sheets in it")
	}
	url := seasonURL(t, nil)
	folder := t.TempDir()
	path := func(name string) string { return filepath.Join(folder, name) }
	for _, line := range [][]string{
		{"workbook", "new", path("new.xlsx")},
		{"workbook", "save", path("season.xlsx")},
		{"pack", "TR-COM", "--out", path("truck.xlsx")},
		{"pack", "--out", path("air.xlsx"), "TR-TES"},
		{"papers", "TR-TSC", "--out", path("papers.xlsx")},
		{"labels", "--out", path("labels.xlsx")},
		{"reorder", "--out", path("reorder.xlsx")},
		{"spend", "--out", path("review.xlsx")},
	} {
		env, _, errs := terminal(map[string]string{"DATABASE_URL": url})
		require.Equal(t, frame.Done, Run(t.Context(), env, line), "%v: %s", line, errs)
	}
	sheets, err := filepath.Glob(path("*.xlsx"))
	require.NoError(t, err)
	require.Len(t, sheets, 8)
	// a profile of its own: a running LibreOffice would take the files over
	command := exec.CommandContext(t.Context(), office, append([]string{"-env:UserInstallation=file://" + path("profile"), "--headless",
		"--convert-to", "pdf", "--outdir", folder}, sheets...)...)
	out, err := command.CombinedOutput()
	require.NoError(t, err, "%s", out)
	for _, sheet := range sheets {
		info, err := os.Stat(sheet[:len(sheet)-len(".xlsx")] + ".pdf")
		require.NoError(t, err, "%s", out)
		require.Greater(t, info.Size(), int64(5000), sheet)
	}
}
