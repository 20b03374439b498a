package packlist

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"

	"roundkit/planner/calendar"
	"roundkit/planner/load"
	"roundkit/planner/papers"
	"roundkit/reports/house"
)

// book is the pack list being written.
type book struct {
	*excelize.File
	styles styles
	r      *load.Result
	footer string
	// where the lines of each case or drawer are, for the totals of the front sheet
	totals []total
}

// total is a case or drawer and where its sums stand.
type total struct {
	code, name string
	lines      int
	grams, ul  float64
	gramsAt    string // reference of the mass total
	boxed      *load.Case
}

// byAir reports whether the trip flies.
func (b *book) byAir() bool { return b.r.Trip.GoesBy == calendar.Air }

// newBook makes an empty spreadsheet with its styles. Close it when done.
func newBook(footer string) (*book, error) {
	b := &book{File: excelize.NewFile(), footer: footer}
	var err error
	if b.styles, err = newStyles(b.File); err != nil {
		return nil, errors.Join(fmt.Errorf("styles: %w", err), b.Close())
	}
	return b, nil
}

// Write writes the pack list of a load as a spreadsheet, with the papers of the trip unless
// p is nil (a trip at home needs none). The same load gives the same bytes. What it returns
// on an error is not a spreadsheet: write to memory or to a file that is put in place
// afterwards.
func Write(w io.Writer, r *load.Result, p *papers.Papers) error { return WriteCurve(w, r, p, nil) }

// WriteCurve is Write with a sheet that draws what each kilo buys, where t is given.
func WriteCurve(w io.Writer, r *load.Result, p *papers.Papers, t *load.Trade) (err error) {
	b, err := newBook(strings.TrimSpace(strings.Join([]string{r.Team, r.Trip.Code, "as of", r.AsOf.String()}, " ")))
	if err != nil {
		return err
	}
	defer func() {
		if closed := b.Close(); err == nil {
			err = closed
		}
	}()
	b.r = r
	// The front sheet comes first and sums up the others: it is named now, written last.
	if err := b.SetSheetName("Sheet1", frontName); err != nil {
		return err
	}
	if b.byAir() {
		err = b.caseSheets()
	} else if len(r.Lines) > 0 {
		err = b.drawerSheet()
	}
	if err != nil {
		return err
	}
	if p != nil {
		if err := b.papersSheets(p); err != nil {
			return err
		}
	}
	if t != nil {
		if err := b.curveSheet(t); err != nil {
			return fmt.Errorf("sheet %s: %w", curveName, err)
		}
	}
	if err := b.frontSheet(); err != nil {
		return fmt.Errorf("sheet %s: %w", frontName, err)
	}
	b.SetActiveSheet(0)
	return house.Write(w, b.File)
}
