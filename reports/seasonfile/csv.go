package seasonfile

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"unicode/utf8"

	"roundkit/planner/workbook"
)

// readFolder reads the CSV files of a folder, one a sheet.
func readFolder(folder fs.FS, name string, limits Limits) (workbook.Input, error) {
	in := workbook.Input{Name: name}
	entries, err := fs.ReadDir(folder, ".")
	if err != nil {
		return in, fmt.Errorf("reading the folder %s: %w", name, err)
	}
	names, from := known(), map[string]string{}
	cells, bytesLeft := limits.Cells, limits.InflatedBytes
	for _, e := range entries {
		sheet, isCSV := strings.CutSuffix(strings.ToLower(e.Name()), ".csv")
		sheet = sheetName(sheet)
		if !isCSV || e.IsDir() || !names[sheet] {
			if len(in.Notes) < limits.Entries {
				in.Notes = append(in.Notes, fmt.Sprintf("%s/%s is no sheet of the season and was ignored", name, e.Name()))
			}
			continue
		}
		file := name + "/" + e.Name()
		if first, twice := from[sheet]; twice {
			return in, refuse("%s: found a second file for the sheet %s, expected only %s", file, sheet, first)
		}
		from[sheet] = file
		rows, err := readCSV(folder, e.Name(), file, limits, &cells, &bytesLeft)
		if err != nil {
			return in, err
		}
		in.Sheets = append(in.Sheets, workbook.Sheetful{Name: sheet, File: file, Rows: rows})
	}
	if len(in.Sheets) == 0 {
		return in, refuse("%s: found no CSV file of the season, expected files such as season.csv", name)
	}
	return in, nil
}

// readCSV reads one file. Comma or semicolon, a byte order mark, LF or CRLF: as it comes.
func readCSV(folder fs.FS, entry, file string, limits Limits, cells *int, bytesLeft *int64) ([]workbook.Row, error) {
	// looked at before it is opened: opening a pipe waits for whoever writes into it
	info, err := fs.Stat(folder, entry)
	if err == nil && !info.Mode().IsRegular() {
		return nil, refuse("%s: found no regular file, expected a CSV file", file)
	}
	f, err := folder.Open(entry)
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", file, err)
	}
	defer func() { _ = f.Close() }()
	limit := min(limits.FileBytes, *bytesLeft)
	counted := &countReader{r: f, left: limit}
	buffered := bufio.NewReaderSize(counted, 64<<10)
	head, _ := buffered.Peek(32 << 10)
	if bytes.HasPrefix(head, []byte("\xff\xfe")) || bytes.HasPrefix(head, []byte("\xfe\xff")) {
		return nil, refuse("%s: found UTF-16 text, expected it saved as \"CSV UTF-8\"", file)
	}
	if bytes.HasPrefix(head, []byte("\xef\xbb\xbf")) {
		_, _ = buffered.Discard(3)
		head = head[3:]
	}
	skipped := 0
	comma := separator(head)
	if len(head) >= 5 && bytes.EqualFold(head[:4], []byte("sep=")) {
		_, _ = buffered.ReadString('\n')
		comma, skipped = rune(head[4]), 1
		if !strings.ContainsRune(",;\t|", comma) { // a quote, say, could not divide cells
			return nil, refuse("%s, line 1: found sep=%q, expected a comma, a semicolon, a tab or |", file, comma)
		}
	}
	r := csv.NewReader(buffered)
	r.Comma, r.FieldsPerRecord, r.ReuseRecord = comma, -1, true
	words := interner{}
	var rows []workbook.Row
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if counted.left < 0 {
			return nil, refuse("%s: found more than %d bytes, expected less", file, limit)
		}
		var broken *csv.ParseError
		if errors.As(err, &broken) {
			return nil, refuse("%s, line %d: found %s, expected text in double quotes with inner quotes doubled",
				file, broken.Line+skipped, broken.Err)
		}
		if err != nil {
			return nil, fmt.Errorf("reading %s: %w", file, err)
		}
		line, _ := r.FieldPos(0)
		row, err := csvRow(record, line+skipped, file, limits, words)
		if err != nil {
			return nil, err
		}
		if *cells -= len(row.Cells); *cells < 0 {
			return nil, refuse("%s, line %d: found more than %d cells in the workbook", file, line, limits.Cells)
		}
		rows = append(rows, row)
	}
	*bytesLeft -= limit - counted.left
	return rows, nil
}

func csvRow(record []string, line int, file string, limits Limits, words interner) (workbook.Row, error) {
	row := workbook.Row{Number: line}
	for len(record) > 0 && record[len(record)-1] == "" {
		record = record[:len(record)-1]
	}
	if len(record) > limits.Columns {
		return row, refuse("%s, line %d: found %d columns, expected at most %d", file, line, len(record), limits.Columns)
	}
	row.Cells = make([]workbook.Cell, len(record))
	for i, text := range record {
		if len(text) > limits.TextBytes {
			return row, refuse("%s, line %d: found a cell of %d bytes, expected at most %d", file, line, len(text), limits.TextBytes)
		}
		if !utf8.ValidString(text) {
			return row, refuse("%s, line %d: found text that is not UTF-8, expected it saved as \"CSV UTF-8\"", file, line)
		}
		row.Cells[i].Text = words.text(unguard(text))
	}
	return row, nil
}

// separator tells comma from semicolon: of the first lines, the one with more of either
// decides, because a title above the heading has few of both.
func separator(head []byte) rune {
	comma, most := ',', 0
	for i, line := range bytes.SplitN(head, []byte("\n"), 25) {
		if i == 24 {
			break
		}
		for _, sep := range []rune{',', ';'} {
			if n := unquotedCount(line, byte(sep)); n > most {
				comma, most = sep, n
			}
		}
	}
	return comma
}

func unquotedCount(line []byte, sep byte) int {
	n, quoted := 0, false
	for _, c := range line {
		switch {
		case c == '"':
			quoted = !quoted
		case c == sep && !quoted:
			n++
		}
	}
	return n
}

// A text that starts with one of these is taken for a formula by a spreadsheet that opens
// a CSV file, so it is written with an apostrophe before it, which reading takes off again.
const formulaStarts = "=+-@\t\r"

func guard(text string) string {
	if guarded(text) || strings.HasPrefix(text, "'") && (guarded(text[1:]) || strings.HasPrefix(text[1:], "'")) {
		return "'" + text
	}
	return text
}

func unguard(text string) string {
	if strings.HasPrefix(text, "'") && (guarded(text[1:]) || strings.HasPrefix(text[1:], "'")) {
		return text[1:]
	}
	return text
}

func guarded(text string) bool { return text != "" && strings.IndexByte(formulaStarts, text[0]) >= 0 }

// countReader stops a reader that gives more than it may; left is then below 0.
type countReader struct {
	r    io.Reader
	left int64
}

func (c *countReader) Read(p []byte) (int, error) {
	if c.left < 0 {
		return 0, io.ErrUnexpectedEOF
	}
	n, err := c.r.Read(p)
	c.left -= int64(n)
	return n, err
}

// interner keeps one copy of a text that stands in many cells.
type interner map[string]string

const internedMost = 100_000

func (in interner) text(s string) string {
	if s == "" {
		return ""
	}
	if kept, ok := in[s]; ok {
		return kept
	}
	kept := strings.Clone(s)
	if len(in) < internedMost && len(s) <= 64 {
		in[kept] = kept
	}
	return kept
}

func (in interner) bytes(b []byte) string {
	if kept, ok := in[string(b)]; ok {
		return kept
	}
	return in.text(string(b))
}
