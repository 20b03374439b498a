package spend

import (
	"fmt"
	"math/big"
	"slices"

	"roundkit/planner/day"
)

// A month that is closed stands. A record belongs to the month it happened in, unless it
// was recorded after that month was closed: then to the open one, and is listed as late.
// A cost that becomes known later values uses of closed months anew: the difference stands
// in the open month as a price correction. Each kind of record has its own number of
// arrival, and a closing keeps the last of each: what has a higher number came later.

// ClosedMonth is a month that was closed, with the last numbers of arrival it holds.
type ClosedMonth struct {
	Month                           day.Day // its first day
	LastEntry, LastCost, LastCharge int64
}

// Late is a record of a closed month that stands in a later one.
type Late struct {
	What      string
	Month, In string // as 2027-05
}

// LateEntry is an entry that came after its month was closed.
type LateEntry struct {
	What      string
	Month, In day.Day
}

// Correction is what a cost that became known later adds to uses of closed months.
type Correction struct {
	Lot, Part string
	Was, Is   *big.Rat // per base unit; nil: not valued then
	Amount    *big.Rat // on all that had left the lot
	In        string   // the month it stands in
	Source    string
}

// MonthOf is the first day of a day's month.
func MonthOf(on day.Day) day.Day {
	t := on.UTC()
	return day.Of(t.Year(), t.Month(), 1)
}

// monthKey is a month as a key: 2027-05.
func monthKey(on day.Day) string { return on.String()[:len("2027-05")] }

// standsIn is the month in which a record stands: its own if it came before that month was
// closed, else the first later one that was closed after it came, else the open one. Last
// takes a closing's number for records of its kind. Months are in their order.
func standsIn(months []ClosedMonth, on day.Day, seq int64, last func(ClosedMonth) int64) day.Day {
	own := MonthOf(on)
	for _, m := range months {
		if m.Month >= own && seq <= last(m) {
			return m.Month
		}
	}
	return max(own, OpenMonth(months))
}

// OpenMonth is the first day of the month after all that are closed; the first of all days if none is.
func OpenMonth(months []ClosedMonth) day.Day {
	if len(months) == 0 {
		return day.Of(1, 1, 1)
	}
	return months[len(months)-1].Month.AddMonths(1)
}

func lastCost(m ClosedMonth) int64   { return m.LastCost }
func lastCharge(m ClosedMonth) int64 { return m.LastCharge }

// late lists what stands in another month than its own.
func (f Facts) late(w *work) []Late {
	var out []Late
	add := func(what string, own, in day.Day) {
		closed := slices.ContainsFunc(f.Months, func(m ClosedMonth) bool { return m.Month == MonthOf(own) })
		if closed && in != MonthOf(own) {
			out = append(out, Late{what, monthKey(own), monthKey(in)})
		}
	}
	if len(f.Months) == 0 {
		return nil
	}
	for _, e := range f.Entries {
		add(e.What, e.Month, e.In)
	}
	for _, c := range f.Charges {
		add("charge "+c.Code, c.On, standsIn(f.Months, c.On, c.Seq, lastCharge))
	}
	for _, c := range f.Costs {
		if l := w.lots[c.Lot]; l.ReceivedOn != nil {
			add(fmt.Sprintf("%s of lot %s (%s)", c.Kind, c.Lot, c.Source), *l.ReceivedOn, standsIn(f.Months, *l.ReceivedOn, c.Seq, lastCost))
		}
	}
	return out
}

// open is the month in which what comes now stands.
func (f Facts) open() day.Day {
	if f.closing != 0 {
		return f.closing
	}
	return OpenMonth(f.Months)
}
