package term

import (
	"fmt"
	"io"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
)

// DefaultColumns is the width to fit where no other is known.
const DefaultColumns = 100

const (
	gapColumns     = 2  // between two columns of a table
	leastWrapped   = 12 // a wrapped column of text keeps this width where it can
	leastColumns   = 20 // a narrower terminal is treated as this wide
	mostCellLetter = 2000
)

// Look is how to draw: the width to fit, and what the reader's end can show.
type Look struct {
	Columns  int  // 0 is DefaultColumns
	Terminal bool // a rule under the heading
	Colour   bool // the heading in bold, Warn in colour
}

// Column is a column of a table. Where no column has a title no heading is drawn.
type Column struct {
	Title string
	Right bool // numbers: aligned to the right
	Wrap  bool // running text: the first to become narrower
	Least int  // the width that Wrap leaves where it can; 0 is 12
	// Drop above 0 lets the column be left out of a table that is too wide; the
	// highest goes first. One without a word in it is left out in any case.
	Drop int
}

// Table is rows of text under columns. A row may be shorter than the columns; a cell
// may hold line ends.
type Table struct {
	Columns []Column
	Rows    [][]string
	Foot    []string // totals, set apart below the rows
}

// Print draws t. What could drive a terminal is taken out of the cells: names come from
// files. A row with more cells than there are columns is an error.
func (l Look) Print(w io.Writer, t Table) error {
	cells, err := t.clean()
	if err != nil {
		return err
	}
	width := l.Columns
	if width == 0 {
		width = DefaultColumns
	}
	shown, widths, gap := fit(t.Columns, cells, max(width, leastColumns))
	blank := blanks(t.Columns, cells)

	drawn := table.NewWriter()
	drawn.SetStyle(l.style(gap))
	drawn.SuppressTrailingSpaces()
	var configs []table.ColumnConfig
	for at, column := range shown {
		align := text.AlignLeft
		if t.Columns[column].Right {
			align = text.AlignRight
		}
		configs = append(configs, table.ColumnConfig{
			Number: at + 1, Align: align, AlignHeader: align, AlignFooter: align,
			WidthMax: widths[at], WidthMaxEnforcer: wrap,
		})
	}
	drawn.SetColumnConfigs(configs)
	if titled(t.Columns) {
		heading := pick(cells[0], shown)
		if l.Colour {
			for i := range heading {
				heading[i] = bold(heading[i].(string))
			}
		}
		drawn.AppendHeader(heading)
	}
	for _, row := range cells[1 : 1+len(t.Rows)] {
		drawn.AppendRow(pick(row, shown))
	}
	if len(t.Foot) > 0 {
		drawn.AppendFooter(pick(cells[len(cells)-1], shown))
	}
	if _, err := fmt.Fprintln(w, drawn.Render()); err != nil {
		return err
	}
	return l.nameDropped(w, t.Columns, shown, blank)
}

// nameDropped says which columns were left out, so that nobody takes the table for all.
func (l Look) nameDropped(w io.Writer, columns []Column, shown []int, kept map[int]bool) error {
	for _, i := range shown {
		kept[i] = true
	}
	var dropped []string
	for i, c := range columns {
		if !kept[i] && c.Title != "" {
			dropped = append(dropped, Clean(c.Title))
		}
	}
	if len(dropped) == 0 {
		return nil
	}
	return l.Say(w, "(too narrow here for: "+strings.Join(dropped, ", ")+")")
}

// Say prints running text, wrapped to the width. A text that is a warning as a whole (Warn)
// keeps its colour, line by line.
func (l Look) Say(w io.Writer, words string) error {
	inner, warned := unwarned(words)
	text := l.Wrapped(inner)
	if warned {
		lines := strings.Split(text, "\n")
		for i := range lines {
			lines[i] = l.Warn(lines[i])
		}
		text = strings.Join(lines, "\n")
	}
	_, err := fmt.Fprintln(w, text)
	return err
}

// Wrapped is running text as Say prints it, without colour and without the last line end.
func (l Look) Wrapped(words string) string {
	width := l.Columns
	if width == 0 {
		width = DefaultColumns
	}
	return wrap(Clean(words), max(width, leastColumns))
}

// Warn returns words as a warning: in red where there is colour, else as they are.
func (l Look) Warn(words string) string {
	if !l.Colour || words == "" {
		return words
	}
	return text.FgRed.EscapeSeq() + words + text.Reset.EscapeSeq()
}

// bold is by hand: go-pretty's own switch for colour is one for the whole process.
func bold(words string) string {
	if words == "" {
		return ""
	}
	return text.Bold.EscapeSeq() + words + text.Reset.EscapeSeq()
}

// style is columns so many spaces apart, without borders.
func (l Look) style(apart int) table.Style {
	// The gap is a separator, not padding: padding would widen the last column too.
	gap := strings.Repeat(" ", apart)
	box := table.BoxStyle{
		MiddleVertical: gap, EmptySeparator: gap,
		MiddleHorizontal: "─", MiddleSeparator: strings.Repeat("─", apart),
	}
	return table.Style{
		Name:   "roundkit",
		Box:    box,
		Format: table.FormatOptions{Header: text.FormatDefault, Row: text.FormatDefault, Footer: text.FormatDefault},
		Options: table.Options{
			SeparateColumns: true,
			SeparateHeader:  l.Terminal,
			SeparateFooter:  l.Terminal,
		},
	}
}

// clean returns heading, rows and foot as cells of equal number.
func (t Table) clean() ([][]string, error) {
	heading := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		heading[i] = c.Title
	}
	all := append([][]string{heading}, t.Rows...)
	if len(t.Foot) > 0 {
		all = append(all, t.Foot)
	}
	cells := make([][]string, len(all))
	for i, row := range all {
		if len(row) > len(t.Columns) {
			return nil, fmt.Errorf("table row %d: found %d cells, expected at most %d", i, len(row), len(t.Columns))
		}
		cells[i] = make([]string, len(t.Columns))
		for j, cell := range row {
			cells[i][j] = cleanCell(cell)
		}
	}
	return cells, nil
}

// titled tells a table with a heading from a list of names and values.
func titled(columns []Column) bool {
	for _, c := range columns {
		if c.Title != "" {
			return true
		}
	}
	return false
}

func pick(row []string, shown []int) table.Row {
	var picked table.Row
	for _, i := range shown {
		picked = append(picked, row[i])
	}
	return picked
}
