package reorder

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"

	"roundkit/planner"
	"roundkit/planner/order"
	"roundkit/reports/house"
)

// book is the workbook being written.
type book struct {
	*excelize.File
	styles styles
	s      *planner.Snapshot
	r      order.Result
	footer string
	placed []placed // where each order of r.Orders stands
}

// placed is where an order stands: its sheet and the cell of its total.
type placed struct{ sheet, total string }

// Names of the sheets that are not a supplier's.
const (
	frontName   = "front"
	movesName   = "moves"
	reasonsName = "reasons"
)

// Write writes what to move and to order as a spreadsheet. The same plan gives the same
// bytes. What it has written on an error is not a spreadsheet: write to memory or to a
// file that is put in place afterwards.
func Write(w io.Writer, s *planner.Snapshot, r order.Result) (err error) {
	f := excelize.NewFile()
	defer func() {
		if closed := f.Close(); err == nil {
			err = closed
		}
	}()
	b := &book{File: f, s: s, r: r, placed: make([]placed, len(r.Orders))}
	b.footer = strings.TrimSpace(b.team() + " as of " + r.AsOf.String())
	if b.styles, err = newStyles(f); err != nil {
		return fmt.Errorf("styles: %w", err)
	}
	// The front sheet comes first and sums up the others: it is named now, written last.
	if err := f.SetSheetName("Sheet1", frontName); err != nil {
		return err
	}
	for _, one := range []struct {
		name  string
		write func() error
	}{{movesName, b.movesSheet}, {"suppliers", b.supplierSheets}, {reasonsName, b.reasonsSheet}, {frontName, b.frontSheet}} {
		if err := one.write(); err != nil {
			return fmt.Errorf("sheet %s: %w", one.name, err)
		}
	}
	f.SetActiveSheet(0)
	return house.Write(w, b.File)
}

func (b *book) team() string {
	if len(b.s.Season) == 0 {
		return ""
	}
	return cmp.Or(b.s.Season[0].Team, b.s.Season[0].Name, b.s.Season[0].Code)
}

func (b *book) home() string {
	if len(b.s.Season) == 0 {
		return ""
	}
	return b.s.Season[0].Currency
}

// placeName is what people call a place, with its code.
func (b *book) placeName(code string) string {
	for _, p := range b.s.Places {
		if p.Code == code && p.Name != "" && p.Name != code {
			return p.Name
		}
	}
	return code
}

// round returns a round of the season by its code.
func (b *book) round(code string) planner.Round {
	for _, r := range b.s.Rounds {
		if r.Code == code {
			return r
		}
	}
	return planner.Round{Code: code}
}
