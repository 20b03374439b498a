// Package review draws the season's review as a spreadsheet: what it has cost, what it will
// cost, and where it went.
//
// The first sheet has five figures and three charts and prints on one page; then comes a
// sheet for each view, with filters, the allocations and the report of them by rider, the
// parts that cost most and those that stopped a job, each part's money in less out by three
// cost formulas, price and quantity variance, what the lots cost and with it the tax that is
// cash and no cost, charges, waste and dead stock, what could not be valued, and every
// movement that cost something with its record's id. So any figure can be followed back: the
// filters of movements are the keys of the views, a movement names its lot, and purchases
// say what that cost.
//
// Limits: figures are to the cent, by largest remainder, so rows add up to their totals;
// the amounts of the movements are to four decimals, and their sum is off by no more than
// that. Charts are drawn by the program that opens the file.
package review

import (
	"fmt"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"

	"roundkit/planner"
	"roundkit/planner/left"
	"roundkit/planner/spend"
	"roundkit/reports/house"
)

// Review is what the spreadsheet is drawn from. Views are by round, rider, and so on; the
// first is that of the front page and must be by round.
type Review struct {
	Team, Season string
	Views        []spend.Result
	Traces       []spend.Trace
	Dead         []spend.Dead
	Parts        map[string]planner.Part
	Balances     map[spend.Formula][]spend.Balance
	Variances    []spend.Variance // against the list
	NoVariance   []spend.NotValued
	Purchases    []spend.Purchase
	Charges      []spend.ChargeLine
	Next         []left.Jobs // how many more of each service, and what stops it
}

// book is the review being written.
type book struct {
	*excelize.File
	r     *Review
	look  styles
	money string // the currency
}

// Write writes the review. The same review gives the same bytes. What it returns on an
// error is not a spreadsheet.
func Write(w io.Writer, r *Review) (err error) {
	if len(r.Views) == 0 {
		return fmt.Errorf("review: found no view, expected at least that by round")
	}
	f := excelize.NewFile()
	defer func() {
		if closed := f.Close(); err == nil {
			err = closed
		}
	}()
	b := &book{File: f, r: r, money: r.Views[0].Currency}
	if b.look, err = newStyles(f); err != nil {
		return fmt.Errorf("styles: %w", err)
	}
	if err := f.SetSheetName("Sheet1", frontName); err != nil {
		return err
	}
	for _, v := range r.Views {
		if err := b.viewSheet("by "+v.By, v.By, v.Rows, v.Total); err != nil {
			return fmt.Errorf("sheet by %s: %w", v.By, err)
		}
	}
	for _, part := range []struct {
		name  string
		write func() error
	}{
		{"allocations", b.allocationSheet}, {"allocation by rider", b.riderSheet}, {"parts", b.partSheet}, {"stoppers", b.stopperSheet}, {"balance", b.balanceSheet},
		{"variance", b.varianceSheet}, {"purchases", b.purchaseSheet}, {"charges", b.chargeSheet}, {"waste", b.wasteSheet}, {"not valued", b.unvaluedSheet},
		{"movements", b.movementSheet}, {frontName, b.frontSheet},
	} {
		if err := part.write(); err != nil {
			return fmt.Errorf("sheet %s: %w", part.name, err)
		}
	}
	f.SetActiveSheet(0)
	return house.Write(w, b.File)
}

// name is the team and its season.
func (b *book) name() string {
	return strings.Trim(b.r.Team+", "+b.r.Season, ", ")
}
