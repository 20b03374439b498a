package seasonfile_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
)

// requireAsLibrary holds every cell that was read against what excelize reads of the same
// bytes: the same rows, columns and raw texts.
func requireAsLibrary(t *testing.T, data []byte, in workbook.Input) {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	tabs := map[string]string{}
	for _, name := range f.GetSheetList() {
		tabs[strings.ReplaceAll(strings.ToLower(strings.TrimSpace(name)), " ", "-")] = name
	}
	for _, sheet := range in.Sheets {
		rows, err := f.GetRows(tabs[sheet.Name], excelize.Options{RawCellValue: true})
		require.NoError(t, err, sheet.Name)
		got := make([][]string, 0, len(rows))
		for _, row := range sheet.Rows {
			for len(got) < row.Number-1 {
				got = append(got, nil)
			}
			var texts []string
			for _, c := range row.Cells {
				texts = append(texts, c.Text)
			}
			got = append(got, texts)
		}
		for i, row := range rows {
			for len(row) > 0 && row[len(row)-1] == "" {
				row = row[:len(row)-1]
			}
			if i >= len(got) {
				require.Empty(t, row, "%s row %d", sheet.Name, i+1)
				continue
			}
			require.Equal(t, strings.Join(row, "\x00"), strings.Join(got[i], "\x00"), "%s row %d", sheet.Name, i+1)
		}
		require.LessOrEqual(t, len(got), len(rows), sheet.Name)
	}
}

// TestReadsWhatTheLibraryReads: the demo as we write it, and a workbook that the library
// writes in its other ways: shared texts, rich texts, dates, percentages, escapes.
func TestReadsWhatTheLibraryReads(t *testing.T) {
	t.Parallel()
	in, err := seasonfile.Read(demoFolder, seasonfile.Limits{})
	require.NoError(t, err)
	demo, faults := workbook.Load(in, nil)
	require.Empty(t, faults.Lines())
	var ours bytes.Buffer
	require.NoError(t, seasonfile.WriteSpreadsheet(&ours, workbook.Format(&demo.Merged, demo.Zone)))

	f := excelize.NewFile()
	require.NoError(t, f.SetSheetName("Sheet1", "Rounds"))
	percent, err := f.NewStyle(&excelize.Style{NumFmt: 9})
	require.NoError(t, err)
	money, err := f.NewStyle(&excelize.Style{NumFmt: 4})
	require.NoError(t, err)
	require.NoError(t, f.SetSheetRow("Rounds", "A1", &[]any{"Calendar <2027> & more_x0041_"}))
	require.NoError(t, f.MergeCell("Rounds", "A1", "F1"))
	require.NoError(t, f.SetSheetRow("Rounds", "B3", &[]any{"round", "first day", "last day", "wet chance %", "rough factor", "name"}))
	require.NoError(t, f.SetSheetRow("Rounds", "B5", &[]any{"SER", time.Date(2027, 4, 22, 0, 0, 0, 0, time.UTC), time.Date(2027, 4, 25, 0, 0, 0, 0, time.UTC), 0.2, 1.1, "Serra\nQuillana"}))
	require.NoError(t, f.SetCellStyle("Rounds", "E5", "E5", percent))
	require.NoError(t, f.SetCellStyle("Rounds", "F5", "F5", money))
	require.NoError(t, f.SetCellRichText("Rounds", "G5", []excelize.RichTextRun{{Text: "Serra "}, {Text: "Quillana"}}))
	var theirs bytes.Buffer
	require.NoError(t, f.Write(&theirs))
	require.NoError(t, f.Close())

	for _, data := range [][]byte{ours.Bytes(), theirs.Bytes()} {
		in, err := readBytes(t, data, seasonfile.Limits{})
		require.NoError(t, err)
		requireAsLibrary(t, data, in)
	}
	in, err = readBytes(t, theirs.Bytes(), seasonfile.Limits{})
	require.NoError(t, err)
	parsed, faults := workbook.Parse(in, nil)
	require.Empty(t, faults.Lines())
	round := parsed.Book.Rounds[0]
	require.Equal(t, "2027-04-22 to 2027-04-25", round.FirstOn.String()+" to "+round.LastOn.String())
	require.Equal(t, "20", round.WetChancePercent.String(), "0.2 shown as 20 %")
	require.Equal(t, "1.10", round.RoughFactor.StringFixed(-round.RoughFactor.Exponent()), "1.1 shown as 1.10")
	require.Equal(t, "Serra Quillana", round.Name)
	require.Equal(t, 5, parsed.Line("rounds", 0))
}

// TestAsOtherProgramsSaveIt: the demo as Write writes it, opened and saved by LibreOffice
// 7.4 (soffice --headless --convert-to xlsx), is still the demo, and reads as the library reads it.
func TestAsOtherProgramsSaveIt(t *testing.T) {
	t.Parallel()
	data, err := os.ReadFile(filepath.Join("testdata", "libreoffice.xlsx"))
	require.NoError(t, err)
	in, err := readBytes(t, data, seasonfile.Limits{})
	require.NoError(t, err)
	requireAsLibrary(t, data, in)
	l, faults := workbook.Load(in, nil)
	require.Empty(t, faults.Lines())

	folder, err := seasonfile.Read(demoFolder, seasonfile.Limits{})
	require.NoError(t, err)
	demo, faults := workbook.Load(folder, nil)
	require.Empty(t, faults.Lines())
	require.Equal(t, workbook.Format(&demo.Merged, demo.Zone), workbook.Format(&l.Merged, l.Zone))
}

// TestCSVAsItComes: semicolons and decimal commas, a byte order mark, CRLF, a title above
// the heading, a sep= line; and what stands in quotes.
func TestCSVAsItComes(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"plain":           "rider,name,kitted mass kg\nYM,\"Marrick, Ysolde\",68.5\n",
		"semicolons":      "rider;name;kitted mass kg\r\nYM;\"Marrick, Ysolde\";68,5\r\n",
		"byte order mark": "\xef\xbb\xbfrider;name;kitted mass kg\nYM;Marrick, Ysolde;68,5\n",
		"title":           "Riders, all of them\n\nkitted mass kg;rider;name\n68,5;YM;Marrick, Ysolde\n",
		"sep":             "sep=;\nrider;name;kitted mass kg\nYM;Marrick, Ysolde;68.5\n",
	} {
		folder := filepath.Join(t.TempDir(), "demo")
		require.NoError(t, os.Mkdir(folder, 0o700))
		require.NoError(t, os.WriteFile(filepath.Join(folder, "Riders.csv"), []byte(text), 0o600))
		in, err := seasonfile.Read(folder, seasonfile.Limits{})
		require.NoError(t, err, name)
		parsed, faults := workbook.Parse(in, nil)
		require.Empty(t, faults.Lines(), name)
		require.Len(t, parsed.Book.Riders, 1, name)
		r := parsed.Book.Riders[0]
		require.Equal(t, []string{"YM", "Marrick, Ysolde", "68.5"}, []string{r.Code, r.Name, r.KittedMassKG.String()}, name)
	}
}

// TestNoFormulaGetsOut: texts that a spreadsheet would take for a formula come back as they
// were, from CSV and from a spreadsheet, and stand guarded or as text in between.
func TestNoFormulaGetsOut(t *testing.T) {
	t.Parallel()
	texts := []string{"=1+1", "+43 1 234", "-40 C", "@home", "'quoted", "'=x", "''", "_x0041_", "plain", "a\nb"}
	in, err := seasonfile.Read(demoFolder, seasonfile.Limits{})
	require.NoError(t, err)
	demo, faults := workbook.Load(in, nil)
	require.Empty(t, faults.Lines())
	for i, text := range texts {
		demo.Merged.Parts[i].Name = text
	}
	want := workbook.Format(&demo.Merged, demo.Zone)
	for _, name := range []string{"season.xlsx", "season"} {
		path := filepath.Join(t.TempDir(), name)
		writeSeason(t, path, want)
		again, err := seasonfile.Read(path, seasonfile.Limits{})
		require.NoError(t, err)
		got, faults := workbook.Load(again, nil)
		require.Empty(t, faults.Lines())
		require.Equal(t, want, workbook.Format(&got.Merged, got.Zone), name)
	}
	path := filepath.Join(t.TempDir(), "season")
	writeSeason(t, path, want)
	raw, err := os.ReadFile(filepath.Join(path, "parts.csv"))
	require.NoError(t, err)
	for _, line := range strings.Split(string(raw), "\n") {
		for _, cell := range strings.Split(line, ",") {
			require.NotContains(t, []string{"=1+1", "+43 1 234", "@home"}, cell)
		}
	}
}
