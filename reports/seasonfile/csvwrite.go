package seasonfile

import (
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"roundkit/planner/workbook"
)

// writeFolder writes one CSV file a sheet into a folder that appears whole: it is made
// beside its place and renamed. A folder that is there already keeps the files that are no
// sheets of the season; its sheets are replaced one by one, each whole.
func writeFolder(path string, sheets []workbook.SheetOut) (err error) {
	made, err := os.MkdirTemp(filepath.Dir(path), ".season-")
	if err != nil {
		return fmt.Errorf("writing the workbook: %w", err)
	}
	defer func() {
		if removed := os.RemoveAll(made); err == nil && removed != nil {
			err = fmt.Errorf("writing the workbook: %w", removed)
		}
	}()
	for _, s := range sheets {
		if err := writeFile(filepath.Join(made, s.Name+".csv"), func(w io.Writer) error { return WriteCSV(w, s) }); err != nil {
			return fmt.Errorf("writing the sheet %s: %w", s.Name, err)
		}
	}
	if err := os.Chmod(made, 0o755); err != nil {
		return fmt.Errorf("writing the workbook: %w", err)
	}
	if _, err := os.Stat(path); os.IsNotExist(err) {
		if err := os.Rename(made, path); err != nil {
			return fmt.Errorf("writing the workbook: %w", err)
		}
		return nil
	}
	for _, s := range sheets {
		if err := os.Rename(filepath.Join(made, s.Name+".csv"), filepath.Join(path, s.Name+".csv")); err != nil {
			return fmt.Errorf("writing the sheet %s: %w", s.Name, err)
		}
	}
	return nil
}

// WriteCSV writes one sheet: UTF-8, comma, LF, a heading row.
func WriteCSV(w io.Writer, sheet workbook.SheetOut) error {
	out := csv.NewWriter(w)
	record := make([]string, len(sheet.Columns))
	for i, c := range sheet.Columns {
		record[i] = c.Heading
	}
	if err := out.Write(record); err != nil {
		return err
	}
	for _, row := range sheet.Rows {
		for i, v := range row {
			record[i] = v.Text
			if v.Type == workbook.ValueText {
				record[i] = guard(v.Text)
			}
		}
		if err := out.Write(record); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// writeFile makes a file, and keeps it only when all of it is on the disk.
func writeFile(path string, write func(io.Writer) error) (err error) {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	defer func() {
		if closed := f.Close(); err == nil {
			err = closed
		}
	}()
	if err := write(f); err != nil {
		return err
	}
	return f.Sync()
}
