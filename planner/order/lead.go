package order

import (
	"time"

	"roundkit/planner"
	"roundkit/planner/day"
)

// longest is how many days back or ahead a date is looked for: beyond it a lead time
// is a slip of the pen.
const longest = 3 * 366

// clock is when a supplier takes orders and works.
type clock struct {
	cutOff *time.Weekday // orders go out on this day of the week; nil: any day
	closed []planner.Closure
}

var weekdays = map[string]time.Weekday{
	"Sunday": time.Sunday, "Monday": time.Monday, "Tuesday": time.Tuesday, "Wednesday": time.Wednesday,
	"Thursday": time.Thursday, "Friday": time.Friday, "Saturday": time.Saturday,
}

func clockOf(s planner.Supplier, closures []planner.Closure) clock {
	var c clock
	if d, ok := weekdays[s.CutOffDay]; ok {
		c.cutOff = &d
	}
	for _, cl := range closures {
		if cl.Supplier == s.Code {
			c.closed = append(c.closed, cl)
		}
	}
	return c
}

// leaves returns the first cut-off day on or after a day.
func (c clock) leaves(on day.Day) day.Day {
	if c.cutOff == nil {
		return on
	}
	return on + day.Day((int(*c.cutOff)-int(on.Weekday())+7)%7)
}

// arrives returns the day on which an order that leaves on a day arrives: so many days
// later, those of a closure left out.
func (c clock) arrives(leaves day.Day, leadDays int) day.Day {
	d := leaves
	for n := 0; n < leadDays; {
		d++
		if c.open(d) {
			n++
		}
		if d-leaves > 2*longest { // a closure without an end
			return d
		}
	}
	return d
}

func (c clock) open(on day.Day) bool {
	for _, cl := range c.closed {
		if cl.FirstOn <= on && on <= cl.LastOn {
			return false
		}
	}
	return true
}

// orderBy returns the last cut-off day on which an order still arrives by a day.
func (c clock) orderBy(arriveBy day.Day, leadDays int) day.Day {
	on := arriveBy - day.Day(leadDays)
	if c.cutOff != nil {
		on -= day.Day((int(on.Weekday()) - int(*c.cutOff) + 7) % 7)
	}
	for step := c.step(); c.arrives(on, leadDays) > arriveBy && arriveBy-on < 2*longest; on -= step {
	}
	return on
}

func (c clock) step() day.Day {
	if c.cutOff == nil {
		return 1
	}
	return 7
}
