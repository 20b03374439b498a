package seasonfile

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"roundkit/planner/workbook"
)

// Limits bound what a workbook may cost to read. The zero value of a field is the usual.
type Limits struct {
	FileBytes     int64 // of one file on the disk: 64 MiB
	InflatedBytes int64 // of what a spreadsheet unpacks to: 64 MiB
	Entries       int   // files inside a spreadsheet: 2,000
	Cells         int   // with something in them, of the whole workbook: 2,000,000
	Columns       int   // of a sheet: 200
	TextBytes     int   // of one cell: 131,072, as much as a spreadsheet holds
}

func (l Limits) orUsual() Limits {
	if l.FileBytes == 0 {
		l.FileBytes = 64 << 20
	}
	if l.InflatedBytes == 0 {
		l.InflatedBytes = 64 << 20
	}
	if l.Entries == 0 {
		l.Entries = 2_000
	}
	if l.Cells == 0 {
		l.Cells = 2_000_000
	}
	if l.Columns == 0 {
		l.Columns = 200
	}
	if l.TextBytes == 0 {
		l.TextBytes = 131_072
	}
	return l
}

// ErrRefused is what errors.Is finds when a file is no workbook that can be read, or is
// over the limits. The message names the file, and the cell where there is one.
var ErrRefused = errors.New("workbook refused")

// refusal is one clear line about a file.
type refusal struct{ text string }

func (r refusal) Error() string        { return r.text }
func (r refusal) Is(target error) bool { return target == ErrRefused }

func refuse(format string, args ...any) error { return refusal{fmt.Sprintf(format, args...)} }

// Read reads a workbook: a spreadsheet or a folder of CSV files. Sheets and files that are
// none of the season's are left out and named in the notes.
func Read(path string, limits Limits) (workbook.Input, error) {
	limits = limits.orUsual()
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return workbook.Input{}, refuse("%s: found no such file or folder", path)
	case err != nil:
		return workbook.Input{}, fmt.Errorf("reading the workbook: %w", err)
	}
	var in workbook.Input
	switch {
	case info.IsDir():
		in, err = readFolder(os.DirFS(path), folderName(path), limits)
	case !info.Mode().IsRegular():
		err = refuse("%s: found neither a file nor a folder", path)
	case strings.EqualFold(filepath.Ext(path), ".csv"):
		err = refuse("%s: found one CSV file, expected the folder that holds the season's CSV files", path)
	case info.Size() > limits.FileBytes:
		err = refuse("%s: found a file of %d bytes, expected at most %d", path, info.Size(), limits.FileBytes)
	default:
		in, err = readSpreadsheetFile(path, limits)
	}
	in.Zone = time.LoadLocation
	return in, err
}

// ReadFolder reads a folder of CSV files, such as one embedded in the program, named name.
func ReadFolder(folder fs.FS, name string, limits Limits) (workbook.Input, error) {
	in, err := readFolder(folder, name, limits.orUsual())
	in.Zone = time.LoadLocation
	return in, err
}

func folderName(path string) string {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	return filepath.Base(path)
}

// sheetName brings the name of a tab or a file to the form of the format: "Service Lines"
// is service-lines.
func sheetName(name string) string {
	name = strings.ToLower(strings.TrimSpace(name))
	return strings.NewReplacer(" ", "-", "_", "-").Replace(name)
}

// known returns the names of the season's sheets.
func known() map[string]bool {
	names := map[string]bool{}
	for _, s := range workbook.Sheets() {
		names[s.Name] = true
	}
	return names
}
