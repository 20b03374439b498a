package screen

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/purchase"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

// Order is an order with its lines as they are.
type Order struct {
	planner.Order
	Lines []purchase.Line
}

// Orders is what is shown of several orders, in their order.
type Orders struct {
	Orders    []Order
	Parts     map[string]planner.Part
	Suppliers map[string]string // names
	AsOf      day.Day
	Supplier  string // asked about; blank: all
	Clock     string
}

// Print prints the orders: what is on its way first, line by line with what is open.
func (x Orders) Print(w io.Writer, look term.Look) error {
	way, late, drafts := 0, 0, 0
	for _, o := range x.Orders {
		switch {
		case purchase.OnItsWay(o.Order):
			way++
			if x.late(o) {
				late++
			}
		case purchase.StateOf(o.Order) == purchase.Drafted:
			drafts++
		}
	}
	head := fmt.Sprintf("%s on the way", plural(way, "order"))
	if late > 0 {
		head += fmt.Sprintf(", %d of them overdue", late)
	}
	if drafts > 0 {
		head += fmt.Sprintf("; %s to place", plural(drafts, "draft"))
	}
	if rest := len(x.Orders) - way - drafts; rest > 0 {
		head += fmt.Sprintf("; %d here or called off", rest)
	}
	asked := "as of " + x.AsOf.String()
	if x.Supplier != "" {
		asked = "from " + x.Supplier + ", " + asked
	}
	if x.Clock != "" {
		asked += ", " + x.Clock
	}
	for _, line := range []string{head, asked} {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	if len(x.Orders) == 0 {
		return nil
	}
	fmt.Fprintln(w)
	return x.Table(w, look)
}

// Table prints the orders line by line.
func (x Orders) Table(w io.Writer, look term.Look) error {
	t := term.Table{Columns: []term.Column{{Title: "order"}, {Title: "supplier"}, {Title: "state", Wrap: true, Least: 6}, {Title: "due"}, {Title: "part", Wrap: true}, {Title: "name", Wrap: true, Drop: 4},
		{Title: "packs", Right: true, Drop: 2}, {Title: "quantity", Right: true}, {Title: "open", Right: true}, {Title: "amount", Right: true, Drop: 1}, {Title: "to", Drop: 3}}}
	var notes []string
	for _, o := range x.Orders {
		first := []string{o.Code, o.Supplier, purchase.StateOf(o.Order), x.due(o), "", "", "", "", "", "", o.ShipTo}
		if x.late(o) {
			first[2] = look.Warn(first[2] + "\n" + plural(int(x.AsOf-*o.DueOn), "day") + " overdue")
		}
		if len(o.Lines) == 0 {
			first[4] = "(no lines)"
			t.Rows = append(t.Rows, first)
		}
		for i, l := range o.Lines {
			row := make([]string, len(first))
			if i == 0 {
				row = first
			}
			p := x.Parts[l.Part]
			row[4], row[5], row[7] = l.Part, p.Name, units.Say(l.Quantity, p.Unit)
			if l.Packs != nil {
				row[6] = strconv.Itoa(*l.Packs)
			}
			if l.Open > 0 {
				row[8] = units.Say(l.Open, p.Unit)
			}
			if v := purchase.Value(l.OrderLine); v != nil {
				row[9] = v.StringFixed(2)
			}
			t.Rows = append(t.Rows, row)
			if l.Notes != "" {
				notes = append(notes, fmt.Sprintf("%s %s: %s", o.Code, l.Part, l.Notes))
			}
		}
		t.Rows = append(t.Rows, x.totals(o)...)
		if o.Notes != "" {
			notes = append(notes, o.Code+": "+o.Notes)
		}
	}
	if err := look.Print(w, t); err != nil {
		return err
	}
	if len(notes) > 0 {
		fmt.Fprintln(w)
	}
	for _, n := range notes {
		if err := look.Say(w, n); err != nil {
			return err
		}
	}
	return nil
}

// totals is what an order comes to, where that is more than its one line says.
func (x Orders) totals(o Order) [][]string {
	charges, total := purchase.Charges(o.Order), purchase.Charges(o.Order)
	for _, l := range o.Lines {
		v := purchase.Value(l.OrderLine)
		if v == nil {
			return nil
		}
		total = total.Add(*v)
	}
	words := "in all"
	if !charges.IsZero() {
		words = "with " + strings.Join(chargeWords(o.Order), ", ")
	}
	return [][]string{{"", "", "", "", words, "", "", "", "", strings.TrimSpace(total.StringFixed(2) + " " + o.Currency), ""}}
}

func chargeWords(o planner.Order) []string {
	var words []string
	for _, c := range []struct {
		amount planner.Decimal
		word   string
	}{{o.Carriage, "carriage"}, {o.Duty, "duty"}, {o.EntryFee, "fee"}} {
		if c.amount != nil && !c.amount.IsZero() {
			words = append(words, c.word)
		}
	}
	return words
}

// due is when it comes, or came.
func (x Orders) due(o Order) string {
	switch {
	case o.ArrivedOn != nil:
		return "came " + o.ArrivedOn.String()
	case purchase.StateOf(o.Order) == purchase.CalledOff:
		return ""
	}
	return optional(o.DueOn)
}

func (x Orders) late(o Order) bool {
	return purchase.OnItsWay(o.Order) && o.DueOn != nil && *o.DueOn < x.AsOf
}
