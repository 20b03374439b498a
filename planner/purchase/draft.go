package purchase

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/order"
)

// Draft is an order that is not in the book yet; its lines name no order.
type Draft struct {
	Order planner.Order
	Lines []planner.OrderLine
}

// Drafts makes the records of planned orders. What an allocation gives free is an order of
// its own: its lots cost nothing and keep their list value. Packs of one part at two
// prices are one line at their mean price, and the line says so.
func Drafts(planned []order.Order) []Draft {
	var out []Draft
	for _, o := range planned {
		var paid, free []order.Line
		for _, l := range o.Lines {
			if l.Price == order.Free {
				free = append(free, l)
			} else {
				paid = append(paid, l)
			}
		}
		if len(paid) > 0 {
			d := draft(o, paid)
			d.Order.Carriage, d.Order.Duty, d.Order.EntryFee = unlessZero(o.Shipping), unlessZero(o.Duty), unlessZero(o.EntryFee)
			out = append(out, d)
		}
		if len(free) > 0 {
			d := draft(o, free)
			d.Order.Notes = "allocation; " + d.Order.Notes
			if len(paid) == 0 {
				d.Order.Carriage, d.Order.Duty, d.Order.EntryFee = unlessZero(o.Shipping), unlessZero(o.Duty), unlessZero(o.EntryFee)
			}
			out = append(out, d)
		}
	}
	return out
}

func draft(o order.Order, lines []order.Line) Draft {
	due := o.ArriveBy
	d := Draft{Order: planner.Order{Supplier: o.Supplier.Code, State: Drafted, DueOn: &due, ShipTo: o.ShipTo, Currency: o.Currency}}
	said := []string{fmt.Sprintf("order by %s", o.OrderBy)}
	switch {
	case o.How == order.Collect:
		said = []string{"collect at " + o.Round}
	case o.Late:
		said[0] += ", late: it goes out on " + o.LeavesOn.String()
	case CutOff(o.Supplier) != "":
		said[0] += " (" + CutOff(o.Supplier) + ")"
	}
	d.Order.Notes = strings.Join(append(said, fmt.Sprintf("for %s, needed by %s", o.Trip, o.NeedBy)), "; ")
	at := map[string]int{}
	for _, l := range lines {
		i, seen := at[l.Part.Code]
		if !seen {
			i = len(d.Lines)
			at[l.Part.Code] = i
			packs, price := 0, decimal.Zero
			d.Lines = append(d.Lines, planner.OrderLine{Part: l.Part.Code, Packs: &packs, PricePerPack: &price})
		}
		one := &d.Lines[i]
		if seen {
			if one.Notes == "" {
				one.Notes = fmt.Sprintf("%d at %s", *one.Packs, one.PricePerPack.StringFixed(2))
			}
			one.Notes += fmt.Sprintf(", %d at %s", l.Packs, l.UnitPrice.StringFixed(2))
		}
		value := one.PricePerPack.Mul(decimal.NewFromInt(int64(*one.Packs))).Add(l.Amount)
		*one.Packs += l.Packs
		one.Quantity += l.Quantity
		price := l.UnitPrice
		if seen {
			const places = 8 // the value comes back to the coin
			price = value.DivRound(decimal.NewFromInt(int64(*one.Packs)), places)
		}
		one.PricePerPack = &price
	}
	return d
}

func unlessZero(d decimal.Decimal) planner.Decimal {
	if d.IsZero() {
		return nil
	}
	return &d
}

var number = regexp.MustCompile(`^PO-(\d{1,9})$`)

func numberOf(code string) (int, bool) {
	m := number.FindStringSubmatch(code)
	if m == nil {
		return 0, false
	}
	n, err := strconv.Atoi(m[1])
	return n, err == nil
}

// Code writes an order's number.
func Code(n int) string { return fmt.Sprintf("PO-%03d", n) }
