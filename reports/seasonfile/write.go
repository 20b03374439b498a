package seasonfile

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"roundkit/planner/workbook"
)

// Write writes a workbook: a spreadsheet where the path ends in .xlsx, else a folder of CSV
// files. It appears whole or not at all; one that is there is replaced.
func Write(path string, sheets []workbook.SheetOut) error {
	if !strings.EqualFold(filepath.Ext(path), ".xlsx") {
		return writeFolder(path, sheets)
	}
	return writeWhole(path, func(w io.Writer) error { return WriteSpreadsheet(w, sheets) })
}

// WriteNew writes the empty workbook that a person fills in: every sheet with its heading,
// an example row and drop-downs, and a front sheet that says how. Into a folder it writes
// the headings alone.
func WriteNew(path string) error {
	var sheets []workbook.SheetOut
	for _, s := range workbook.Sheets() {
		sheets = append(sheets, workbook.SheetOut{Sheet: s})
	}
	if !strings.EqualFold(filepath.Ext(path), ".xlsx") {
		return writeFolder(path, sheets)
	}
	return writeWhole(path, WriteNewSpreadsheet)
}

// writeWhole makes a file beside its place and renames it when it is all there.
func writeWhole(path string, write func(io.Writer) error) error {
	made := filepath.Join(filepath.Dir(path), fmt.Sprintf(".%s.%d.part", filepath.Base(path), os.Getpid()))
	if err := writeFile(made, write); err != nil {
		_ = os.Remove(made)
		return fmt.Errorf("writing %s: %w", path, err)
	}
	if err := os.Rename(made, path); err != nil {
		_ = os.Remove(made)
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return nil
}
