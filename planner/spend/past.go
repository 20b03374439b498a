package spend

import (
	"cmp"
	"fmt"
	"math/big"

	"github.com/shopspring/decimal"

	"roundkit/planner/day"
	buying "roundkit/planner/purchase"
	"roundkit/planner/units"
)

// lineNames are the budget lines, in the order in which they are shown.
var lineNames = []string{lineParts, lineOils, "freight", "customs lists and agents", "courier", "contingency"}

const (
	lineParts = "parts"
	lineOils  = "oils and waste"
)

// lineOf is the budget line of parts of a kind.
func lineOf(kind string) string {
	switch kind {
	case "oil", "grease", "cleaner", "gas":
		return lineOils
	}
	return lineParts
}

// past values what left our places, and what closed months hold.
func (w *work) past() {
	w.value(w.f.Moves)
	w.issued()
	c := w.f.Closed
	if c == nil {
		return
	}
	for _, t := range c.Totals {
		w.closed(w.rows, t)
	}
	for _, t := range c.Lines {
		if t.Figure != FigureNotValued { // noted once
			w.closed(w.lines, t)
		}
	}
	w.correct(c)
}

// lotFacts is what valuing asks of a lot, once a lot and not once a sum.
type lotFacts struct {
	kind, supplier, line string
	cost, list           *big.Int // over the common denominator; nil: none
	why, whyL            string   // why there is none
}

func (w *work) factsOf(lot string) *lotFacts {
	if f := w.known[lot]; f != nil {
		return f
	}
	l := w.lots[lot]
	kind := w.parts[l.Part].Kind
	f := &lotFacts{kind: kind, supplier: l.Supplier, line: lineOf(kind), cost: w.prices.cost[lot], list: w.prices.list[lot], why: w.prices.why[lot], whyL: w.prices.whyL[lot]}
	if f.cost == nil && f.why == "" {
		f.why = "lot " + lot + " is not one of the season's"
	}
	w.known[lot] = f
	return f
}

// keyOf is the key of a move in the view: that of the lot, where the view is one of lots.
func (w *work) keyOf(m Moved, l *lotFacts) string {
	switch w.by {
	case byKind:
		return l.kind
	case bySupplier:
		return l.supplier
	case ByLine:
		return l.line
	case byMonth:
		return m.Key
	}
	if m.Outside == CountDifference {
		return "" // a found difference is in no round's
	}
	return m.Key
}

// The outside of our places, as moves name it.
const (
	Used            = "used"
	Scrap           = "scrap"
	CountDifference = "count difference"
)

// sums are what moves add to a row.
type sums struct{ used, list, scrapped, difference tally }

func (s *sums) of(outside string) *tally {
	switch outside {
	case Used:
		return &s.used
	case Scrap:
		return &s.scrapped
	}
	return &s.difference
}

// value puts the money to sums of movements. By budget line a lot's quantities are summed
// first: the line is the lot's whatever the key.
func (w *work) value(moves []Moved) {
	rows, lines := map[string]*sums{}, map[string]*sums{}
	of := func(all map[string]*sums, key string) *sums {
		s := all[key]
		if s == nil {
			s = &sums{}
			all[key] = s
		}
		return s
	}
	type whole struct {
		lot     *lotFacts
		outside string
	}
	all := map[whole]units.Quantity{}
	for _, m := range moves {
		l := w.factsOf(m.Lot)
		var to *sums
		if m.Quantity != 0 || m.Key != "" { // a count of movements alone belongs to no row
			to = of(rows, w.keyOf(m, l))
		}
		switch {
		case l.cost == nil:
			w.notValued[m.Outside+": "+l.why] += m.Moves
		case to != nil:
			if w.byLot() {
				to.of(m.Outside).add(l.cost, m.Quantity)
			}
			if l.list != nil && m.Outside == Used {
				to.list.add(l.list, m.Quantity)
			}
			all[whole{l, m.Outside}] += m.Quantity
		}
		if l.whyL != "" && m.Outside == Used {
			w.notValued["list value: "+l.whyL] += m.Moves
		}
	}
	for x, quantity := range all {
		to := of(lines, x.lot.line)
		if w.byLot() {
			to.of(x.outside).add(x.lot.cost, quantity)
		}
		if x.lot.list != nil && x.outside == Used {
			to.list.add(x.lot.list, quantity)
		}
	}
	w.settle(w.rows, rows)
	w.settle(w.lines, lines)
}

func (w *work) byLot() bool { return w.f.Formula == "" || w.f.Formula == Lot }

// issued adds what another cost formula makes of what left for the outside.
func (w *work) issued() {
	for _, x := range w.f.Issued {
		l := w.factsOf(x.Lot)
		w.add(w.keyOf(x.Moved, l), l.line, x.Cost, func(r *Row) *big.Rat {
			switch x.Outside {
			case Used:
				return r.Used
			case Scrap:
				return r.Scrapped
			}
			return r.Difference
		})
	}
}

func (w *work) settle(rows map[string]*Row, all map[string]*sums) {
	for key, s := range all {
		r := row(rows, key)
		for _, f := range []struct {
			to *big.Rat
			of *tally
		}{{r.Used, &s.used}, {r.AllocationList, &s.list}, {r.Scrapped, &s.scrapped}, {r.Difference, &s.difference}} {
			f.to.Add(f.to, f.of.value(w.prices.den))
		}
	}
}

// closed adds a closed month's figure.
func (w *work) closed(rows map[string]*Row, t ClosedTotal) {
	if t.Figure == FigureNotValued {
		w.notValued[t.Key] += int(t.Amount.Num().Int64())
		return
	}
	r := row(rows, t.Key)
	to := map[string]*big.Rat{FigureUsed: r.Used, FigureList: r.AllocationList, FigureScrapped: r.Scrapped, FigureDifference: r.Difference}[t.Figure]
	if to != nil {
		to.Add(to, t.Amount)
	}
}

// correct values the closed movements of lots whose price has changed since: by the
// difference, in the open month.
func (w *work) correct(c *Closed) {
	open := monthKey(w.f.open())
	whole := map[string]*big.Rat{}
	var order []string
	for _, m := range c.Moves {
		was, is := c.Prices[m.Lot], w.prices.Of(m.Lot)
		key := w.keyOf(m, w.factsOf(m.Lot))
		if w.by == byMonth {
			key = open
		}
		quantity := new(big.Rat).SetInt64(int64(m.Quantity))
		cost := difference(was.Cost, is.Cost)
		cost.Mul(cost, quantity)
		figure := func(r *Row) *big.Rat {
			switch m.Outside {
			case Used:
				return r.Used
			case Scrap:
				return r.Scrapped
			}
			return r.Difference
		}
		line := lineOf(w.parts[w.lots[m.Lot].Part].Kind)
		w.add(key, line, cost, figure)
		if m.Outside == Used {
			list := difference(was.List, is.List)
			w.add(key, line, list.Mul(list, quantity), func(r *Row) *big.Rat { return r.AllocationList })
		}
		if whole[m.Lot] == nil {
			whole[m.Lot] = new(big.Rat)
			order = append(order, m.Lot)
		}
		whole[m.Lot].Add(whole[m.Lot], cost)
	}
	for _, lot := range order {
		if whole[lot].Sign() == 0 {
			continue
		}
		x := Correction{Lot: lot, Part: w.lots[lot].Part, Was: c.Prices[lot].Cost, Is: w.prices.Of(lot).Cost, Amount: whole[lot], In: open}
		for _, cost := range w.f.Costs {
			if cost.Lot == lot {
				x.Source = cost.Source // the last known
			}
		}
		w.corrections = append(w.corrections, x)
	}
}

// difference is is - was; what is not valued counts nothing.
func difference(was, is *big.Rat) *big.Rat {
	d := new(big.Rat)
	if is != nil {
		d.Set(is)
	}
	if was != nil {
		d.Sub(d, was)
	}
	return d
}

func (w *work) charges() {
	season := w.s.Season[0]
	for _, c := range w.f.Charges {
		if c.On > w.s.AsOf {
			continue
		}
		if c.On < season.FirstOn || c.On > season.LastOn {
			w.notValued[fmt.Sprintf("charge %s is dated %s, outside the season (%s to %s)", c.Code, c.On, season.FirstOn, season.LastOn)]++
			continue
		}
		line := c.Line
		if line == "" {
			line = "no line"
		}
		key := map[string]string{byRound: c.Round, bySupplier: c.Supplier, byMonth: monthKey(standsIn(w.f.Months, c.On, c.Seq, lastCharge)), ByLine: line}[w.by]
		w.add(key, line, w.amount("charge "+c.Code, c.Amount, c.Currency, c.On), func(r *Row) *big.Rat { return r.Charges })
	}
}

// bought is what came in during the season (and the days asked for): its cost rows, each in
// the month in which it stands.
func (w *work) bought() {
	if len(w.s.Season) == 0 {
		return
	}
	type at struct {
		key, line, currency string
		on                  day.Day
	}
	sums := map[at]decimal.Decimal{} // in their own currency first: a sum of decimals is quick
	for _, c := range w.f.Costs {
		l := w.lots[c.Lot]
		if l.ReceivedOn == nil || l.FromLot != "" || *l.ReceivedOn < w.s.Season[0].FirstOn || !w.asked(*l.ReceivedOn) {
			continue
		}
		kind := w.parts[l.Part].Kind
		x := at{line: lineOf(kind), currency: cmp.Or(c.Currency, w.home()), on: *l.ReceivedOn}
		switch w.by {
		case bySupplier:
			x.key = l.Supplier
		case byMonth:
			x.key = monthKey(standsIn(w.f.Months, *l.ReceivedOn, c.Seq, lastCost))
		case byKind:
			x.key = kind
		case ByLine:
			x.key = x.line
		}
		if _, ok := rateOn(w.s, x.currency, x.on); !ok {
			w.amount("lot "+c.Lot, c.Amount, x.currency, x.on) // says so
			continue
		}
		sums[x] = sums[x].Add(c.Amount)
	}
	for x, sum := range sums {
		w.add(x.key, x.line, w.amount("", sum, x.currency, x.on), func(r *Row) *big.Rat { return r.Bought })
	}
}

// asked reports whether a day is one of those asked for.
func (w *work) asked(on day.Day) bool {
	return on <= w.s.AsOf && (w.f.From == nil || on >= *w.f.From) && (w.f.To == nil || on <= *w.f.To)
}

// committed is what is ordered and not here, with its share of carriage, duty and fee: what
// came has brought its own (purchase.Landed), so a parcel that is part here leaves the rest.
func (w *work) committed() {
	figure := func(r *Row) *big.Rat { return r.Committed }
	for _, o := range w.s.Orders {
		if o.ArrivedOn != nil || o.State == "drafted" || o.State == "called off" || o.State == "here" || o.PlacedOn == nil && o.State == "" {
			continue
		}
		key := func(line, kind string) string {
			return map[string]string{bySupplier: o.Supplier, ByLine: line, byKind: kind}[w.by]
		}
		what := "order " + o.Code
		lines := buying.Lines(o, w.s.OrderLines, w.s.Lots, w.s.AsOf)
		freight, priced := new(big.Rat), false
		landed := buying.Landed(o, buying.Ordered(lines))
		for i, l := range lines {
			if landed[i] == nil {
				w.notValued[what+" has a line without a price"]++
				continue
			}
			priced = true
			left := l.Open
			if left == 0 {
				continue
			}
			kind := w.parts[l.Part].Kind
			whole := w.amount(what, *buying.Value(l.OrderLine), o.Currency, w.s.AsOf)
			if whole == nil {
				continue
			}
			whole.Mul(whole, big.NewRat(int64(left), int64(l.Quantity))) // of a part delivery, what is still to come
			w.add(key(lineOf(kind), kind), lineOf(kind), whole, figure)
			open := landed[i].Sub(buying.PartOf(*landed[i], 0, l.Quantity-left, l.Quantity, o.Currency))
			freight.Add(freight, w.amount(what, open, o.Currency, w.s.AsOf))
			freight.Sub(freight, whole)
		}
		if !priced { // no line says what its share would be
			freight = w.amount(what, buying.Charges(o), o.Currency, w.s.AsOf)
		}
		if freight != nil && freight.Sign() != 0 {
			w.add(key("freight", ""), "freight", freight, figure)
		}
	}
}

// budget is money set aside: by round, else for the whole season.
func (w *work) budget() {
	for _, b := range w.s.Budget {
		key := map[string]string{byRound: b.Round, ByLine: b.Line}[w.by]
		what := "budget line " + b.Line
		if b.Round != "" {
			what += " of " + b.Round
		}
		w.add(key, b.Line, w.amount(what, b.Amount, b.Currency, w.s.AsOf), func(r *Row) *big.Rat { return r.Budget })
	}
}
