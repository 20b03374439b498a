package seasonfile

import (
	"errors"
	"strconv"

	"roundkit/planner/workbook"
)

// mostRows is as far down as a spreadsheet goes.
const mostRows = 1_048_576

// sheetReader collects the cells of one sheet.
type sheetReader struct {
	*spreadsheet
	sheet   string
	rows    []workbook.Row
	line    int // of the row being read
	column  int // of the cell being read, from 0
	kind    string
	style   int
	text    []byte
	has     bool // the cell has a value
	formula bool // and holds a formula
	inText  bool
	phon    bool
	row     []workbook.Cell
	chunk   []workbook.Cell
	inCells bool
}

// sheet reads the rows of a sheet that have something in them.
func (s *spreadsheet) sheet(name, part string) ([]workbook.Row, error) {
	r := &sheetReader{spreadsheet: s, sheet: name}
	err := s.each(part, func(x *scanner, t token) error {
		var err error
		switch t {
		case tokenStart:
			err = r.start(x)
		case tokenText:
			if r.inText {
				if r.text = append(r.text, x.text...); len(r.text) > s.limits.TextBytes {
					err = errTooLong
				}
			}
		case tokenClose:
			err = r.end(x)
		}
		return r.named(err)
	})
	return r.rows, err
}

// named says in which cell a text is too long.
func (r *sheetReader) named(err error) error {
	if errors.Is(err, errTooLong) {
		return refuse("%s: found a text of more than %d bytes, expected less", r.at(), r.limits.TextBytes)
	}
	return err
}

// at names the cell being read.
func (r *sheetReader) at() string {
	return r.name + ", sheet " + r.sheet + ", " + workbook.ColumnLetter(r.column) + strconv.Itoa(r.line)
}

func (r *sheetReader) start(x *scanner) error {
	switch string(x.name) {
	case "sheetData":
		r.inCells = true
	case "row":
		if r.inCells {
			return r.startRow(x.attr("r"))
		}
	case "c":
		if r.inCells {
			return r.startCell(x)
		}
	case "v", "t":
		r.inText = r.inCells && !r.phon
	case "rPh":
		r.phon = true
	case "f":
		r.formula = r.inCells
	}
	return nil
}

func (r *sheetReader) startRow(number []byte) error {
	line := r.line + 1
	if number != nil {
		n, err := strconv.Atoi(string(number))
		if err != nil || n < line || n > mostRows {
			return refuse("%s, sheet %s: found row %.20q after row %d, expected rows in order up to %d",
				r.name, r.sheet, number, r.line, mostRows)
		}
		line = n
	}
	r.line, r.column = line, -1
	r.row = r.row[:0]
	return nil
}

func (r *sheetReader) startCell(x *scanner) error {
	r.column++
	r.kind, r.style, r.text, r.has, r.formula = "", 0, r.text[:0], false, false
	attrs := x.attrs
	for len(attrs) > 0 { // by hand: this is the loop that the time goes into
		key, value, rest := nextAttr(attrs)
		if key == 0 {
			break
		}
		attrs = rest
		switch key {
		case 'r':
			column, ok := columnOf(value)
			if !ok {
				return refuse("%s, sheet %s, row %d: found the cell %.20q, expected one such as B3", r.name, r.sheet, r.line, value)
			}
			r.column = column
		case 't':
			r.kind = kindOf(value)
		case 's':
			r.style = small(value)
		}
	}
	return nil
}

// nextAttr takes one attribute off; key is its name if that is one letter, '?' for others.
func nextAttr(attrs []byte) (key byte, value, rest []byte) {
	i := 0
	for i < len(attrs) && (attrs[i] == ' ' || attrs[i] == '\n' || attrs[i] == '\t' || attrs[i] == '\r') {
		i++
	}
	start := i
	for i < len(attrs) && attrs[i] != '=' {
		i++
	}
	if i+1 >= len(attrs) {
		return 0, nil, nil
	}
	key = '?'
	if i-start == 1 {
		key = attrs[start]
	}
	quote := attrs[i+1]
	if quote != '"' && quote != '\'' {
		return 0, nil, nil
	}
	begin := i + 2
	for i = begin; i < len(attrs) && attrs[i] != quote; i++ {
	}
	if i >= len(attrs) {
		return 0, nil, nil
	}
	return key, attrs[begin:i], attrs[i+1:]
}

// columnOf returns the column of a cell's name, from 0: B3 is 1.
func columnOf(name []byte) (int, bool) {
	n, i := 0, 0
	for ; i < len(name) && name[i] >= 'A' && name[i] <= 'Z'; i++ {
		if n = n*26 + int(name[i]-'A') + 1; n > 1<<20 {
			return 0, false
		}
	}
	if i == 0 || i == len(name) {
		return 0, false
	}
	for ; i < len(name); i++ {
		if name[i] < '0' || name[i] > '9' {
			return 0, false
		}
	}
	return n - 1, true
}

func kindOf(value []byte) string {
	switch string(value) {
	case "s":
		return "s"
	case "n":
		return "n"
	case "str":
		return "str"
	case "inlineStr":
		return "inlineStr"
	case "b":
		return "b"
	case "e":
		return "e"
	case "d":
		return "d"
	}
	return "?"
}

// small reads a small whole number, -1 for anything else.
func small(text []byte) int {
	n := 0
	for _, c := range text {
		if c < '0' || c > '9' || n > 1<<30 {
			return -1
		}
		n = n*10 + int(c-'0')
	}
	if len(text) == 0 {
		return -1
	}
	return n
}

func (r *sheetReader) end(x *scanner) error {
	switch string(x.name) {
	case "sheetData":
		r.inCells = false
	case "v", "t":
		if r.inText {
			r.inText, r.has = false, true
		}
	case "rPh":
		r.phon = false
	case "c":
		if r.inCells && (r.has || r.formula) {
			return r.endCell()
		}
	case "row":
		if r.inCells && len(r.row) > 0 {
			r.rows = append(r.rows, workbook.Row{Number: r.line, Cells: r.keep()})
		}
	}
	return nil
}

// endCell puts the cell in its row.
func (r *sheetReader) endCell() error {
	cell, err := workbook.Cell{Type: workbook.CellError, Text: workbook.NoStoredValue}, error(nil)
	if len(r.text) > 0 || r.kind == "str" || !r.formula { // only a text may be stored as nothing
		cell, err = r.value()
	}
	if err != nil || cell.Text == "" {
		return err
	}
	cell.Formula = r.formula
	if r.column >= r.limits.Columns {
		return refuse("%s: found a value in column %s, expected at most %d columns", r.at(), workbook.ColumnLetter(r.column), r.limits.Columns)
	}
	if r.cells--; r.cells < 0 {
		return refuse("%s: found more than %d cells in the workbook, expected less", r.at(), r.limits.Cells)
	}
	for len(r.row) <= r.column {
		r.row = append(r.row, workbook.Cell{})
	}
	r.row[r.column] = cell
	return nil
}

func (r *sheetReader) value() (workbook.Cell, error) {
	var c workbook.Cell
	switch r.kind {
	case "s":
		i := small(r.text)
		if i < 0 || i >= len(r.shared) {
			return c, refuse("%s: found text number %.20q, expected one below %d", r.at(), r.text, len(r.shared))
		}
		c.Text = r.shared[i]
	case "str", "inlineStr", "d":
		text, ok := cellText(r.text)
		if !ok {
			return c, refuse("%s: found a text that is not UTF-8", r.at())
		}
		c.Text = r.words.text(text)
	case "b":
		c.Type, c.Text = workbook.CellBool, "FALSE"
		if string(r.text) == "1" || string(r.text) == "true" {
			c.Text = "TRUE"
		}
	case "e":
		c.Type, c.Text = workbook.CellError, r.words.bytes(r.text)
	case "", "n":
		c.Type, c.Text = workbook.CellNumber, r.words.bytes(r.text)
		if r.style >= 0 && r.style < len(r.styles) {
			style := r.styles[r.style]
			c.Type, c.Decimals = style.kind, style.decimals
		}
	default:
		return c, refuse("%s: found a cell of an unknown kind, expected a text or a number", r.at())
	}
	return c, nil
}

// keep copies the row out of the reader's hands, into one of a few large pieces of memory.
func (r *sheetReader) keep() []workbook.Cell {
	const piece = 4096
	n := len(r.row)
	if len(r.chunk) < n {
		r.chunk = make([]workbook.Cell, max(piece, n))
	}
	kept := r.chunk[:n:n]
	r.chunk = r.chunk[n:]
	copy(kept, r.row)
	return kept
}
