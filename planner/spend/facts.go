package spend

import (
	"math/big"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Moved is how much of a lot left for the outside (used, scrap, count difference), by the
// key of a view; below 0 it came from there. Moves is how many movements there were: told
// of lots that cannot be valued, and may be told in a row of its own.
type Moved struct {
	Key, Outside, Lot string
	Quantity          units.Quantity
	Moves             int
}

// Cost is one cost row of a lot. Seq tells what was known after what.
type Cost struct {
	Seq       int64
	Lot, Kind string
	Amount    decimal.Decimal
	Currency  string
	Source    string
	KnownOn   day.Day
}

// Charge is a charge with its place in the order in which charges became known.
type Charge struct {
	planner.Charge
	Seq int64
}

// Facts are what the books say has happened.
type Facts struct {
	// Moves are sums of movements: of the part that is not closed, or of the days asked for.
	Moves    []Moved
	Costs    []Cost
	Charges  []Charge
	From, To *day.Day // the days asked for, both in them; nil: the season so far
	Months   []ClosedMonth
	Closed   *Closed // nil: nothing is closed, or the days asked for are not all of it
	Entries  []LateEntry
	// Formula is the cost formula; blank: by lot. By another, Issued has the cost of all that
	// left for the outside, and Moves say only how much of which lot.
	Formula Formula
	Issued  []Issued
	// Prices are those of Costs, where they were worked out before; nil: they are here.
	Prices *Prices

	closing day.Day // the month that is being closed; 0: none
}

// Closed is what the closed months hold, for one view.
type Closed struct {
	Totals []ClosedTotal
	Lines  []ClosedTotal // the same by budget line
	// Prices are those at which the lots stood when the last month was closed.
	Prices map[string]Price
	// Moves are the closed movements of the lots whose price has changed since.
	Moves []Moved
}

// ClosedTotal is one figure of one key as it was when its month was closed. Rows counts
// what could not be valued then, for the reason that stands in Key.
type ClosedTotal struct {
	Month  day.Day
	Key    string
	Figure string // used, allocation list value, scrapped, difference, not valued
	Amount *big.Rat
}

// The figures of a closed total.
const (
	FigureUsed       = "used"
	FigureList       = "allocation list value"
	FigureScrapped   = "scrapped"
	FigureDifference = "difference"
	FigureNotValued  = "not valued"
)
