package screen

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"roundkit/planner/order"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

// Reorder prints what to move and to order, moves before buys, and what cannot come in
// time. within above 0 shows only the orders that must be out in so many days.
func Reorder(w io.Writer, look term.Look, r order.Result, clock string, within int) error {
	orders := r.Orders
	if within > 0 {
		orders = nil
		for _, o := range r.Orders {
			if o.Late || int(o.OrderBy-r.AsOf) <= within {
				orders = append(orders, o)
			}
		}
	}
	for _, line := range reorderAnswer(r, orders, clock, within) {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	for _, t := range []term.Table{moves(r), orderLines(look, orders), shorts(look, r), compared(r)} {
		if len(t.Rows) == 0 {
			continue
		}
		fmt.Fprintln(w)
		if err := look.Print(w, t); err != nil {
			return err
		}
	}
	return notes(w, look, r.Notes)
}

func reorderAnswer(r order.Result, orders []order.Order, clock string, within int) []string {
	late := 0
	for _, o := range orders {
		if o.Late {
			late++
		}
	}
	head := fmt.Sprintf("%s to bring, %s to place", plural(len(r.Moves), "move"), plural(len(orders), "order"))
	if within > 0 {
		head += fmt.Sprintf(" within %d days (of %d for the season)", within, len(r.Orders))
	}
	if within > 0 && len(orders) == 0 && len(r.Orders) > 0 {
		head += fmt.Sprintf("; the next is due by %s, to %s", r.Orders[0].OrderBy, r.Orders[0].Supplier.Name)
	}
	if late > 0 {
		head += fmt.Sprintf(", %d of them late", late)
	}
	if len(r.Short) > 0 {
		head += fmt.Sprintf("; %s cannot come in time", plural(len(r.Short), "need"))
	}
	asked := fmt.Sprintf("as of %s, each part and trip at %s", r.AsOf, term.Percent(r.Confidence))
	if clock != "" {
		asked += ", " + clock
	}
	said := []string{head, asked}
	for _, v := range r.Vans {
		said = append(said, v.Says())
	}
	return said
}

func moves(r order.Result) term.Table {
	t := term.Table{Columns: []term.Column{{Title: "bring"}, {Title: "name", Wrap: true, Drop: 1}, {Title: "quantity", Right: true}, {Title: "from"}, {Title: "to"},
		{Title: "by"}, {Title: "for"}, {Title: "lies in", Wrap: true, Drop: 2}}}
	for _, m := range r.Moves {
		var picks []string
		for _, p := range m.Picks {
			picks = append(picks, strings.TrimSpace(p.Place+" "+p.Tag))
		}
		t.Rows = append(t.Rows, []string{m.Part.Code, m.Part.Name, units.Say(m.Quantity, m.Part.Unit), m.From, m.To, m.By.String(), m.Trip, strings.Join(picks, ", ")})
	}
	return t
}

func orderLines(look term.Look, orders []order.Order) term.Table {
	t := term.Table{Columns: []term.Column{{Title: "order by"}, {Title: "supplier"}, {Title: "part", Wrap: true}, {Title: "their number", Drop: 3}, {Title: "packs", Right: true},
		{Title: "quantity", Right: true}, {Title: "amount", Right: true}, {Title: "need by", Drop: 1}, {Title: "ship to", Drop: 2}, {Title: ""}}}
	for _, o := range orders {
		by := o.OrderBy.String()
		if o.How == order.Collect {
			by = "collect at " + o.Round
		}
		for i, l := range o.Lines {
			mark := ""
			if l.Late {
				mark = look.Warn("late")
			}
			supplier := o.Supplier.Code
			if i > 0 {
				by, supplier = "", ""
			}
			t.Rows = append(t.Rows, []string{by, supplier, l.Part.Code, l.SupplierRef, strconv.Itoa(l.Packs), units.Say(l.Quantity, l.Part.Unit),
				l.Amount.StringFixed(2), l.NeedBy.String(), o.ShipTo, mark})
		}
		t.Rows = append(t.Rows, []string{"", "", "with carriage, duty, fee", "", "", "", o.Total.StringFixed(2) + " " + o.Currency, "", "", ""})
	}
	return t
}

func shorts(look term.Look, r order.Result) term.Table {
	t := term.Table{Columns: []term.Column{{Title: "not in time"}, {Title: "trip"}, {Title: "at"}, {Title: "short", Right: true}, {Title: "matters", Right: true}, {Title: "what to do, first to last", Wrap: true}}}
	for _, s := range r.Short {
		var out []string
		for _, m := range s.Remedies {
			out = append(out, m.Text)
		}
		t.Rows = append(t.Rows, []string{look.Warn(s.Part.Code), s.Trip, strings.Join(s.Rounds, " "), units.Say(s.Quantity, s.Part.Unit), term.Percent(s.Chance), strings.Join(out, "; ")})
	}
	return t
}

// compared shows what the orders cost as planned and in the two naive ways, and how far
// the plan can be from the best.
func compared(r order.Result) term.Table {
	t := term.Table{Columns: []term.Column{{Title: "what it costs"}, {Title: "as needed", Right: true}, {Title: "all at once", Right: true}, {Title: "this plan", Right: true},
		{Title: "", Drop: 1}, {Title: "above the best possible", Wrap: true}}}
	for _, c := range r.Compared {
		all := "cannot be"
		if c.AllAtOnce != nil {
			all = c.AllAtOnce.StringFixed(2)
		}
		t.Rows = append(t.Rows, []string{c.Supplier, c.AsNeeded.StringFixed(2), all, c.Plan.StringFixed(2), c.Currency, c.AtMost()})
	}
	return t
}
