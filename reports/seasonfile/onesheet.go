package seasonfile

import (
	"os"
	"path/filepath"
	"strings"
	"time"

	"roundkit/planner/workbook"
)

// ReadCSVSheet reads one CSV file as one sheet of the season, by the rules of a folder of
// them. Headings of the file may have shorter names than the sheet's: short says what they
// stand for, in lower case.
func ReadCSVSheet(path, sheet string, short map[string]string, limits Limits) (workbook.Input, error) {
	limits = limits.orUsual()
	in := workbook.Input{Name: path, Zone: time.LoadLocation}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return in, refuse("%s: found no such file, expected a CSV file", path)
	case !info.Mode().IsRegular() || !strings.EqualFold(filepath.Ext(path), ".csv"):
		return in, refuse("%s: found no CSV file, expected one such as rates.csv", path)
	case info.Size() > limits.FileBytes:
		return in, refuse("%s: found a file of %d bytes, expected at most %d", path, info.Size(), limits.FileBytes)
	}
	cells, bytesLeft := limits.Cells, limits.InflatedBytes
	rows, err := readCSV(os.DirFS(filepath.Dir(path)), filepath.Base(path), path, limits, &cells, &bytesLeft)
	if err != nil {
		return in, err
	}
	for _, row := range rows {
		renamed := false
		for i, cell := range row.Cells {
			if full, ok := short[strings.ToLower(strings.TrimSpace(cell.Text))]; ok {
				row.Cells[i].Text, renamed = full, true
			}
		}
		if renamed { // that was the heading
			break
		}
	}
	in.Sheets = []workbook.Sheetful{{Name: sheet, File: path, Rows: rows}}
	return in, nil
}
