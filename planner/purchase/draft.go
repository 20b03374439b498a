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

// Drafts makes the records of planned orders, one each. Packs of a part that an allocation
// gives free and packs that are paid are one line, which says how many are free; packs at two
// prices are one line at their mean price, and its notes say so.
func Drafts(planned []order.Order) []Draft {
	out := make([]Draft, len(planned))
	for i, o := range planned {
		out[i] = draft(o)
	}
	return out
}

func draft(o order.Order) Draft {
	due := o.ArriveBy
	d := Draft{Order: planner.Order{Supplier: o.Supplier.Code, State: Drafted, DueOn: &due, ShipTo: o.ShipTo, Currency: o.Currency,
		Carriage: unlessZero(o.Shipping), Duty: unlessZero(o.Duty), EntryFee: unlessZero(o.EntryFee)}}
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
	for _, l := range o.Lines {
		i, seen := at[l.Part.Code]
		if !seen {
			i = len(d.Lines)
			at[l.Part.Code] = i
			packs, price := 0, decimal.Zero
			d.Lines = append(d.Lines, planner.OrderLine{Part: l.Part.Code, Packs: &packs, PricePerPack: &price})
		}
		one := &d.Lines[i]
		if l.Price == order.Free {
			free := l.Packs
			if one.FreePacks != nil {
				free += *one.FreePacks
			}
			one.FreePacks = &free
		} else {
			bought(one, l)
		}
		*one.Packs += l.Packs
		one.Quantity += l.Quantity
	}
	return d
}

// bought puts packs that are paid to a line.
func bought(one *planner.OrderLine, l order.Line) {
	price := l.UnitPrice
	if before := *one.Paid(); before > 0 {
		if one.Notes == "" {
			one.Notes = fmt.Sprintf("%d at %s", before, one.PricePerPack.StringFixed(2))
		}
		one.Notes += fmt.Sprintf(", %d at %s", l.Packs, l.UnitPrice.StringFixed(2))
		const places = 8 // the value comes back to the coin
		price = Value(*one).Add(l.Amount).DivRound(decimal.NewFromInt(int64(before+l.Packs)), places)
	}
	one.PricePerPack = &price
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
