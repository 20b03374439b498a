package purchase

import (
	"fmt"
	"time"

	"roundkit/planner"
	"roundkit/planner/day"
)

// usualLeadDays is the lead time of an offer that names none.
const usualLeadDays = 7

// longest is how many days ahead an arrival is looked for: beyond it a lead time or a
// closure is a slip of the pen.
const longest = 3 * 366

var weekdays = map[string]time.Weekday{
	"Sunday": time.Sunday, "Monday": time.Monday, "Tuesday": time.Tuesday, "Wednesday": time.Wednesday,
	"Thursday": time.Thursday, "Friday": time.Friday, "Saturday": time.Saturday,
}

// Timing is when an order goes out and when it is due, and what a person must know of it.
type Timing struct {
	LeavesOn, DueOn day.Day
	Said            []string
}

// CutOff says in words until when a supplier takes orders, "" at any time.
func CutOff(s planner.Supplier) string {
	if s.CutOffTime == "" {
		return s.CutOffDay
	}
	return s.CutOffDay + " " + s.CutOffTime
}

// Passed reports whether the cut-off of the instant's own day has passed; the instant is
// in the season's time zone. Without a time of the day it is the end of it.
func Passed(s planner.Supplier, at time.Time) bool {
	return s.CutOffDay != "" && s.CutOffTime != "" && weekdays[s.CutOffDay] == at.Weekday() && at.Format("15:04") > s.CutOffTime
}

// Due returns when an order of these lines, placed on a day, leaves and arrives. passed
// says that the cut-off of that day has passed: it goes out with the next.
func Due(c *planner.Catalogue, p *planner.Plan, o planner.Order, lines []planner.OrderLine, placedOn day.Day, passed bool) Timing {
	return timing(c, p, o, lines, placedOn, passed, usually)
}

// usually and surely are the lead days of an offer: half of its orders take no longer, or
// nineteen of twenty.
func usually(f planner.Offer) *int { return f.LeadDays }

func surely(f planner.Offer) *int {
	if f.LeadDays95 != nil {
		return f.LeadDays95
	}
	return f.LeadDays
}

func timing(c *planner.Catalogue, p *planner.Plan, o planner.Order, lines []planner.OrderLine, placedOn day.Day, passed bool, lasts func(planner.Offer) *int) Timing {
	supplier := planner.Supplier{Code: o.Supplier, Name: o.Supplier}
	for _, s := range c.Suppliers {
		if s.Code == o.Supplier {
			supplier = s
		}
	}
	t := Timing{LeavesOn: placedOn}
	if passed {
		t.LeavesOn++
	}
	if w, ok := weekdays[supplier.CutOffDay]; ok {
		t.LeavesOn += day.Day((int(w) - int(t.LeavesOn.Weekday()) + 7) % 7)
	}
	switch {
	case passed:
		t.Said = append(t.Said, fmt.Sprintf("past the cut-off of %s: %s sends it only on %s", CutOff(supplier), supplier.Name, t.LeavesOn))
	case t.LeavesOn != placedOn:
		t.Said = append(t.Said, fmt.Sprintf("%s takes orders until %s: it goes out on %s", supplier.Name, CutOff(supplier), t.LeavesOn))
	}
	lead := 0
	for _, l := range lines {
		days, said := leadDays(p, o.Supplier, l.Part, lasts)
		if said != "" {
			t.Said = append(t.Said, said)
		}
		lead = max(lead, days)
	}
	closed := 0
	t.DueOn, closed = arrives(p, o.Supplier, t.LeavesOn, lead)
	if closed > 0 {
		t.Said = append(t.Said, fmt.Sprintf("%s is closed for %d of the days until then", supplier.Name, closed))
	}
	return t
}

func leadDays(p *planner.Plan, supplier, part string, lasts func(planner.Offer) *int) (days int, said string) {
	for _, f := range p.Offers {
		if f.Supplier == supplier && f.Part == part && lasts(f) != nil {
			return *lasts(f), ""
		}
	}
	return usualLeadDays, fmt.Sprintf("no lead time of %s from %s is known: taken as %d days", part, supplier, usualLeadDays)
}

// arrives counts the lead days on from the day of leaving, those of a closure left out.
func arrives(p *planner.Plan, supplier string, leaves day.Day, leadDays int) (on day.Day, closedDays int) {
	on = leaves
	for n := 0; n < leadDays && on-leaves < longest; {
		on++
		if closed(p, supplier, on) {
			closedDays++
		} else {
			n++
		}
	}
	return on, closedDays
}

func closed(p *planner.Plan, supplier string, on day.Day) bool {
	for _, c := range p.Closures {
		if c.Supplier == supplier && c.FirstOn <= on && on <= c.LastOn {
			return true
		}
	}
	return false
}
