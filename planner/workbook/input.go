package workbook

import "time"

// Input is a workbook as its reader found it: text cells by sheet and row, nothing decided.
type Input struct {
	Name   string // file or folder, as faults name it
	Sheets []Sheetful
	Notes  []string // what the reader left out, one line each

	// Date1904 says that serial dates count from 1904-01-01, as old workbooks of one
	// maker do, and not from 1900.
	Date1904 bool
	// Zone finds a time zone by its IANA name; this package reads no files. Without it
	// only UTC is known.
	Zone func(name string) (*time.Location, error)
}

// Sheetful is one sheet of an Input.
type Sheetful struct {
	Name string // the sheet's name in the workbook's format: stock, job-log
	File string // of a CSV folder: the file, such as demo/stock.csv; "" in a spreadsheet
	Rows []Row
}

// Row is one row of cells with its number as a person sees it, from 1.
type Row struct {
	Number int
	Cells  []Cell
}

// Cell is one cell as it was stored. A number is its raw text, before any format.
type Cell struct {
	Text string
	Type CellType
	// Decimals is how many decimals the cell's number format shows at least: 68 shown as
	// 68.00 has two. They are digits the person wrote.
	Decimals uint8
	// Formula says that the cell holds a formula: the text is the value stored with it.
	Formula bool
}

// NoStoredValue is the text of a formula's cell (CellError) in a file that was never calculated.
const NoStoredValue = "a formula without a stored value"

// CellType says what a spreadsheet holds the cell as. All cells of a CSV file are CellText.
type CellType uint8

// The types of cell.
const (
	CellText     CellType = iota
	CellNumber            // a plain number
	CellPercent           // a number that is shown as a percentage: 0.25 is 25 %
	CellDate              // a number that is shown as a date
	CellDateTime          // a number that is shown as a date with a time of day
	CellClock             // a number that is shown as a time of day
	CellBool              // TRUE or FALSE
	CellError             // #REF! and the like
)

// findSheet returns the sheet of that name, nil if the input has none.
func (in *Input) findSheet(name string) *Sheetful {
	for i := range in.Sheets {
		if in.Sheets[i].Name == name {
			return &in.Sheets[i]
		}
	}
	return nil
}
