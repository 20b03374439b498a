// Package cost answers: what did the parts that were used cost, what are those left
// worth, and why did a spend differ from its plan?
//
// Method: first in first out and the moving average over the moves of one part, in the
// order they happened; the two variances of standard costing. Decimal arithmetic, not
// rounded inside: figures are rounded once, where they are shown.
//
// Source: standard accounting texts (Wild; Phillips, Libby & Libby; Warren), whose worked
// examples are the tests.
//
// Limits: views of one part in one currency. A moving average depends on the order of the
// moves, and differs from the average of a whole period. What a division cannot give
// exactly is kept to 34 decimals.
package cost

import (
	"errors"
	"fmt"

	"github.com/shopspring/decimal"
)

// ErrMove is what errors.Is finds when moves cannot be valued.
var ErrMove = errors.New("move")

// places is how many decimals a division keeps: far below any unit of money.
const places = 34

// Move is what came in (In above 0, at UnitCost each) or went out (Out above 0). One of
// In and Out is 0.
type Move struct{ In, UnitCost, Out decimal.Decimal }

// Valuation is what the moves cost: of each Out, in order, and what is left.
type Valuation struct {
	Issues          []decimal.Decimal
	Quantity, Value decimal.Decimal
}

// FIFO values the moves so that the oldest goes out first. It returns ErrMove when more
// goes out than is there, or a move is neither in nor out.
func FIFO(moves []Move) (Valuation, error) {
	var lots []Move // what is left of each receipt, oldest first
	v := Valuation{Issues: []decimal.Decimal{}}
	for i, m := range moves {
		if err := m.check(i, v.Quantity); err != nil {
			return Valuation{}, err
		}
		if m.In.IsPositive() {
			lots = append(lots, m)
			v.add(m)
			continue
		}
		var issue decimal.Decimal
		for left := m.Out; left.IsPositive(); {
			take := decimal.Min(left, lots[0].In)
			issue = issue.Add(take.Mul(lots[0].UnitCost))
			left, lots[0].In = left.Sub(take), lots[0].In.Sub(take)
			if lots[0].In.IsZero() {
				lots = lots[1:]
			}
		}
		v.take(m.Out, issue)
	}
	return v, nil
}

// WeightedAverage values the moves at the moving average of what is there. Errors as FIFO.
func WeightedAverage(moves []Move) (Valuation, error) {
	v := Valuation{Issues: []decimal.Decimal{}}
	for i, m := range moves {
		if err := m.check(i, v.Quantity); err != nil {
			return Valuation{}, err
		}
		switch {
		case m.In.IsPositive():
			v.add(m)
		case m.Out.Equal(v.Quantity):
			v.take(m.Out, v.Value) // the last goes with all that is left, to the digit
		default:
			v.take(m.Out, v.Value.Mul(m.Out).DivRound(v.Quantity, places))
		}
	}
	return v, nil
}

func (v *Valuation) add(m Move) {
	v.Quantity = v.Quantity.Add(m.In)
	v.Value = v.Value.Add(m.In.Mul(m.UnitCost))
}

func (v *Valuation) take(out, issue decimal.Decimal) {
	v.Issues = append(v.Issues, issue)
	v.Quantity, v.Value = v.Quantity.Sub(out), v.Value.Sub(issue)
}

// check refuses a move that cannot be, given what is there.
func (m Move) check(i int, there decimal.Decimal) error {
	switch {
	case m.In.IsNegative() || m.Out.IsNegative() || m.UnitCost.IsNegative():
		return fmt.Errorf("%w %d: found a figure below 0, expected none", ErrMove, i+1)
	case m.In.IsPositive() == m.Out.IsPositive():
		return fmt.Errorf("%w %d: found in %s and out %s, expected one of them above 0", ErrMove, i+1, m.In, m.Out)
	case m.Out.GreaterThan(there):
		return fmt.Errorf("%w %d: found out %s, expected at most the %s there", ErrMove, i+1, m.Out, there)
	}
	return nil
}
