package reorder

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/order"
	"roundkit/planner/units"
)

var orderColumns = []column{
	{"when", 19, false}, {"order by", 17, false}, {"from", 34, false}, {"parts", 42, false}, {"for", 13, false}, {"need by", 13, false},
	{"to", 25, false}, {"total", 12, true}, {"currency", 10, false}, {"rate", 10, true}, {"at home", 13, true},
}

// frontSheet sums the others up: what must be out when, what cannot come in time, what
// was left out.
func (b *book) frontSheet() error {
	s, err := b.newSheet(frontName, orderColumns, page{landscape: true})
	if err != nil {
		return err
	}
	title := strings.TrimSuffix("What to move and to order: "+b.team(), ": ")
	about := fmt.Sprintf("As of the evening of %s. Each part and trip at %.4g %%, which is not the chance that nothing at all is short. Trips: %s.",
		weekday(b.r.AsOf), b.r.Confidence*100, strings.Join(b.r.Trips, ", "))
	err = firstOf(s.top(title, about), b.frontMoves(s), b.frontOrders(s), b.frontShort(s), b.frontCompared(s), b.frontNotes(s))
	if err != nil {
		return err
	}
	return s.Flush()
}

// frontMoves says what the van must bring, a line a trip; the sheet has the drawers.
func (b *book) frontMoves(s *sheet) error {
	if err := s.section("Move first"); err != nil {
		return err
	}
	if len(b.r.Moves) == 0 {
		return s.wide(b.styles.wrapped, 1, "Nothing: no trip is under way that lacks what lies elsewhere.")
	}
	type trip struct {
		head  string
		parts []string
	}
	var trips []trip
	for _, m := range b.r.Moves {
		head := fmt.Sprintf("By %s, %s to %s, for %s", weekday(m.By), b.placeName(m.From), b.placeName(m.To), m.Trip)
		if len(trips) == 0 || trips[len(trips)-1].head != head {
			trips = append(trips, trip{head: head})
		}
		last := &trips[len(trips)-1]
		last.parts = append(last.parts, m.Part.Code+" "+units.Say(m.Quantity, m.Part.Unit))
	}
	for _, v := range b.r.Vans {
		says := v.Says()
		if err := s.wide(b.styles.wrapped, 1, strings.ToUpper(says[:1])+says[1:]+"."); err != nil {
			return err
		}
	}
	for _, t := range trips {
		if err := s.wide(b.styles.wrapped, 1, t.head+": "+strings.Join(t.parts, ", ")+"."); err != nil {
			return err
		}
	}
	return nil
}

func (b *book) frontOrders(s *sheet) error {
	if err := s.section("Then order"); err != nil {
		return err
	}
	if len(b.r.Orders) == 0 {
		return s.wide(b.styles.wrapped, 1, "Nothing.")
	}
	columns := append([]column(nil), orderColumns...)
	if home := b.home(); home != "" {
		columns[len(columns)-1].head = "in " + home
	}
	if err := s.heads(columns); err != nil {
		return err
	}
	first, sum := s.row+1, decimal.Zero
	st := b.styles
	for i, o := range b.r.Orders {
		word := urgency(o, b.r.AsOf)
		by := weekday(o.OrderBy)
		parts := partList(o)
		rate, at := excelize.Cell{StyleID: st.blank}, excelize.Cell{StyleID: st.blank}
		if r, ok := order.RateOf(b.s, o.Currency); ok {
			home := o.Total.Mul(r)
			sum = sum.Add(home)
			rate = money(st.rate, r)
			at = formula(st.money, home, "H%d*J%d", s.row+1, s.row+1)
		}
		to := b.placeName(o.ShipTo)
		if o.How == order.Collect {
			to = "collected at " + o.Round
		}
		from := o.Supplier.Name + " (sheet " + b.placed[i].sheet + ")"
		tall := max(height(from, orderColumns[2].width-2), height(parts, orderColumns[3].width-2), height(to, orderColumns[6].width-2))
		err := s.add(tall, text(b.urgent(word), word), text(st.text, by), text(st.textWrapped, from), text(st.textWrapped, parts),
			text(st.text, o.Trip), date(st.date, o.NeedBy), text(st.textWrapped, to),
			formula(st.money, o.Total, "%s", strings.Join(b.owed(i), "+")), text(st.text, o.Currency), rate, at)
		if err != nil {
			return err
		}
	}
	cells := []any{}
	for range len(orderColumns) - 2 {
		cells = append(cells, excelize.Cell{StyleID: st.totalLabel})
	}
	cells[0] = text(st.totalLabel, plural(len(b.r.Orders), "order"))
	cells = append(cells, text(st.totalLabel, "sum"), formula(st.total, sum, "SUM(K%d:K%d)", first, s.row))
	return s.add(18, cells...)
}

// owed is what an order costs us: the supplier's total, and what others take.
func (b *book) owed(i int) []string {
	o := b.r.Orders[i]
	terms := []string{b.placed[i].total}
	for _, d := range []decimal.Decimal{o.Duty, o.EntryFee} {
		if !d.IsZero() {
			terms = append(terms, d.String())
		}
	}
	return terms
}

// orderNotes are what we have to mind of each order and its supplier need not know.
func (b *book) orderNotes() (notes []string) {
	for _, o := range b.r.Orders {
		said := append([]string{}, o.Notes...)
		if !o.Duty.IsZero() {
			said = append(said, "duty "+o.Duty.StringFixed(2)+" "+o.Currency)
		}
		if !o.EntryFee.IsZero() {
			said = append(said, "entry fee "+o.EntryFee.StringFixed(2)+" "+o.Currency)
		}
		if len(said) > 0 {
			notes = append(notes, fmt.Sprintf("%s, %s: %s", o.Supplier.Name, o.OrderBy, strings.Join(said, "; ")))
		}
	}
	return notes
}

func (b *book) frontShort(s *sheet) error {
	if len(b.r.Short) == 0 {
		return firstOf(s.section("Not in time"), s.wide(b.styles.wrapped, 1, "Nothing: all needs are met in time, at the confidence."))
	}
	heads := []column{{"part", 0, false}, {"at", 0, false}, {"what", 0, false}, {"first to last, what to do", 0, false}, {"", 0, false}, {"", 0, false},
		{"", 0, false}, {"short", 0, true}, {"unit", 0, false}, {"chance", 0, true}, {"due", 0, false}}
	if err := firstOf(s.section("Not in time: short, and the chance that it matters"), s.heads(heads)); err != nil {
		return err
	}
	if err := s.MergeCell(cellName(4, s.row), cellName(7, s.row)); err != nil {
		return err
	}
	st := b.styles
	width := orderColumns[3].width + orderColumns[4].width + orderColumns[5].width + orderColumns[6].width
	for _, x := range b.r.Short {
		var lines []string
		tall := 0.0
		for i, m := range x.Remedies {
			lines = append(lines, fmt.Sprintf("%d. %s: %s", i+1, m.Kind, m.Text))
			tall += height(lines[i], width) - 3
		}
		err := s.add(max(tall+3, 18), text(st.warnText, x.Part.Code), text(st.warnText, atRounds(x)), text(st.warnText, x.Part.Name), text(st.warnText, strings.Join(lines, "\n")),
			excelize.Cell{StyleID: st.warnText}, excelize.Cell{StyleID: st.warnText}, excelize.Cell{StyleID: st.warnText},
			excelize.Cell{StyleID: st.warnNumber, Value: units.ToFloat(x.Quantity, x.Part.Unit)}, text(st.warnText, string(x.Part.Unit)),
			excelize.Cell{StyleID: st.warnPercent, Value: x.Chance}, date(st.warnDate, x.DueOn))
		if err != nil {
			return err
		}
		if err := s.MergeCell(cellName(4, s.row), cellName(7, s.row)); err != nil {
			return err
		}
	}
	return nil
}

// atRounds says where a part runs short.
func atRounds(x order.Short) string {
	if len(x.Rounds) == 0 {
		return x.Trip
	}
	return strings.Join(x.Rounds, ", ") + " (" + x.Trip + ")"
}

// frontCompared says what the orders cost as planned and in the two naive ways.
func (b *book) frontCompared(s *sheet) error {
	if len(b.r.Compared) == 0 {
		return nil
	}
	if err := s.section(fmt.Sprintf("What it costs in three ways: with what is likely bought early in vain, and keeping it at %.4g %% a year", b.r.Holding*100)); err != nil {
		return err
	}
	err := s.heads([]column{{"from", 0, false}, {"as needed", 0, true}, {"all at once", 0, true}, {"above the best possible", 0, false}, {"", 0, false}, {"", 0, false},
		{"", 0, false}, {"this plan", 0, true}, {"currency", 0, false}})
	if err != nil {
		return err
	}
	merge := func() error { return s.MergeCell(cellName(4, s.row), cellName(7, s.row)) }
	if err := merge(); err != nil {
		return err
	}
	st := b.styles
	blank := excelize.Cell{StyleID: st.blank}
	for _, c := range b.r.Compared {
		all := text(st.textWrapped, "cannot be: late or expired")
		if c.AllAtOnce != nil {
			all = money(st.money, c.AllAtOnce.Round(2))
		}
		if err := s.add(18, text(st.text, c.Supplier), money(st.money, c.AsNeeded.Round(2)), all, text(st.text, c.AtMost()), blank, blank, blank,
			money(st.money, c.Plan.Round(2)), text(st.text, c.Currency)); err != nil {
			return err
		}
		if err := merge(); err != nil {
			return err
		}
	}
	return nil
}

// frontNotes says what was left out, and why.
func (b *book) frontNotes(s *sheet) error {
	if mind := b.orderNotes(); len(mind) > 0 {
		if err := s.section("To mind: not on the sheets for the suppliers"); err != nil {
			return err
		}
		for _, n := range mind {
			if err := s.wide(b.styles.wrapped, 1, n); err != nil {
				return err
			}
		}
	}
	if err := s.section("Left out, and why"); err != nil {
		return err
	}
	if len(b.r.Notes) == 0 {
		return s.wide(b.styles.wrapped, 1, "Nothing was left out.")
	}
	for _, n := range b.r.Notes {
		if err := s.wide(b.styles.wrapped, 1, n); err != nil {
			return err
		}
	}
	return nil
}
