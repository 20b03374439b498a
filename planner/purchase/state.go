// Package purchase answers: what may be done with an order now, when is it due, what of it
// is still open, and what does each lot that it brings cost?
//
// Method: an order is drafted, placed, confirmed, part here, here or called off; a table
// says which step leads on from which. It leaves on the first cut-off day on or after the
// day it is placed, and arrives so many days later, those of a closure left out. What is
// open is what was ordered less the lots that came on it. Carriage, duty and entry fee are
// shared by the value of the goods, to the last coin.
//
// Source: common practice of buying; largest remainders, Hamilton's method (from memory).
// Limits: a due day is reckoned with the usual lead time, not its 95 % point; no public
// holidays; one currency an order.
package purchase

import (
	"fmt"
	"slices"
	"strings"

	"roundkit/planner"
)

// States of an order.
const (
	Drafted   = "drafted"
	Placed    = "placed"
	Confirmed = "confirmed"
	PartHere  = "part here"
	Here      = "here"
	CalledOff = "called off"
)

// Steps that a person takes with an order.
const (
	Place   = "place"
	Confirm = "confirm"
	Arrive  = "arrive"
	CallOff = "call-off"
)

// from says from which states a step leads on. An order can be confirmed again: the
// supplier has named another day.
var from = map[string][]string{
	Place:   {Drafted},
	Confirm: {Placed, Confirmed, PartHere},
	Arrive:  {Placed, Confirmed, PartHere},
	CallOff: {Drafted, Placed, Confirmed, PartHere},
}

// inWords says what a step does.
var inWords = map[string]string{Place: "place it", Confirm: "confirm it", Arrive: "book it in", CallOff: "call it off"}

// StateOf is the state of an order; a workbook may leave it blank.
func StateOf(o planner.Order) string {
	switch {
	case o.State != "":
		return o.State
	case o.ArrivedOn != nil:
		return Here
	}
	return Placed
}

// OnItsWay reports whether something may still come: it is placed, and not all here.
func OnItsWay(o planner.Order) bool {
	return slices.Contains(from[Arrive], StateOf(o))
}

// May returns nil where the step may be taken, else what the order is and what was
// expected.
func May(o planner.Order, step string) error {
	state := StateOf(o)
	if slices.Contains(from[step], state) {
		return nil
	}
	said := ""
	switch {
	case state == Here && o.ArrivedOn != nil:
		said = fmt.Sprintf(" since %s", o.ArrivedOn)
	case state == Placed && o.PlacedOn != nil:
		said = fmt.Sprintf(" since %s", o.PlacedOn)
	}
	return fmt.Errorf("order %s is %s%s, expected one that is %s to %s", o.Code, state, said, orList(from[step]), inWords[step])
}

func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
