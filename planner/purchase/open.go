package purchase

import (
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Line is a line of an order with what came of it. Quantities are in base units.
type Line struct {
	planner.OrderLine
	Here units.Quantity // as of the day
	Open units.Quantity // still to come; 0 of an order that is here or called off
}

// Lines returns the lines of an order with what of them is here by the end of a day; a line of
// free and of paid packs as the two that it is, the free ones come first. An order that the
// book calls here is all here, with or without lots of its own.
func Lines(o planner.Order, lines []planner.OrderLine, lots []planner.Lot, asOf day.Day) []Line {
	here := map[string]units.Quantity{}
	for _, l := range lots {
		if l.Order == o.Code && l.FromLot == "" && l.Quantity != nil && (l.ReceivedOn == nil || *l.ReceivedOn <= asOf) {
			here[l.Part] += *l.Quantity
		}
	}
	state := StateOf(o)
	var out []Line
	for _, l := range lines {
		if l.Order != o.Code {
			continue
		}
		halves := split(l)
		for i, l := range halves {
			one := Line{OrderLine: l, Here: here[l.Part]}
			if i < len(halves)-1 { // what came beyond an order stands at its last line
				one.Here = min(one.Here, l.Quantity)
			}
			here[l.Part] -= one.Here
			switch state {
			case Here:
				one.Here = max(one.Here, l.Quantity)
			case CalledOff:
			default:
				one.Open = max(0, l.Quantity-one.Here)
			}
			out = append(out, one)
		}
	}
	return out
}

// Ordered returns the lines as they were ordered.
func Ordered(lines []Line) []planner.OrderLine {
	out := make([]planner.OrderLine, len(lines))
	for i, l := range lines {
		out[i] = l.OrderLine
	}
	return out
}

// split returns a line of free and of paid packs as two, the free ones at no price.
func split(l planner.OrderLine) []planner.OrderLine {
	free, paid := l.FreePacks, l.Paid()
	l.FreePacks = nil
	if free == nil || *free == 0 {
		return []planner.OrderLine{l}
	}
	given, nothing := l, decimal.Zero
	given.Packs, given.PricePerPack = free, &nothing
	if *paid == 0 {
		return []planner.OrderLine{given}
	}
	given.Notes = ""
	given.Quantity = l.Quantity * units.Quantity(*free) / units.Quantity(*l.Packs)
	l.Packs, l.Quantity = paid, l.Quantity-given.Quantity
	return []planner.OrderLine{given, l}
}

// Next returns the number after the last PO-number in use.
func Next(orders []planner.Order) int {
	last := 0
	for _, o := range orders {
		if n, ok := numberOf(o.Code); ok {
			last = max(last, n)
		}
	}
	return last + 1
}

// Sorted puts what is on its way first, by the day it is due, then drafts, then the rest,
// the latest first.
func Sorted(orders []planner.Order) []planner.Order {
	out := slices.Clone(orders)
	rank := func(o planner.Order) int {
		switch {
		case OnItsWay(o):
			return 0
		case StateOf(o) == Drafted:
			return 1
		}
		return 2
	}
	on := func(d *day.Day) int {
		if d == nil {
			return 0
		}
		return int(*d)
	}
	slices.SortStableFunc(out, func(a, b planner.Order) int {
		if d := rank(a) - rank(b); d != 0 {
			return d
		}
		if rank(a) == 2 {
			return on(b.PlacedOn) - on(a.PlacedOn)
		}
		return on(a.DueOn) - on(b.DueOn)
	})
	return out
}
