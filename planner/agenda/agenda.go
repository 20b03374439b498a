// Package agenda answers: which days of a season must nobody miss?
//
// Method: the days of the calendar (rounds, packing, customs lists, top-ups, leaving) and
// of the order plan (the last day an order may go out, the day a placed one
// is due), each as an event with a name that
// stays the same when its day moves, so that a calendar program moves it too.
//
// Source: our own; RFC 5545 (2009), 3.8.4.7, for names that stay.
//
// Limits: days, no times of day; a top-up is named by its day, which is its key; an order
// by its supplier, the trip it serves first and its number among those, so a plan that
// splits an order anew names it anew.
package agenda

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/order"
	"roundkit/planner/units"
)

// Event is something on a day, or on several.
type Event struct {
	Name     string // stays the same: "round-KAR@2027"
	Title    string
	On       day.Day
	Until    day.Day // its last day
	Note     string  // "" for nothing more to say
	Reminded bool    // worth an alarm
	Hour     string  // "15:00" where it must be done by then on its day; "" for any hour
}

// Of returns the events of a season from the plan's day on, by day and then by name.
func Of(snap *planner.Snapshot, cal *calendar.Calendar, plan order.Result) []Event {
	season := ""
	if len(snap.Season) > 0 {
		season = snap.Season[0].Code
	}
	var out []Event
	addBy := func(name, title string, on, until day.Day, note string, reminded bool, hour string) {
		if until >= plan.AsOf {
			out = append(out, Event{Name: name + "@" + season, Title: title, On: on, Until: until, Note: note, Reminded: reminded, Hour: hour})
		}
	}
	add := func(name, title string, on, until day.Day, note string, reminded bool) {
		addBy(name, title, on, until, note, reminded, "")
	}
	for _, r := range cal.Rounds {
		add("round-"+r.Code, named(r.Code, r.Name), r.FirstOn, r.LastOn, "", false)
	}
	for _, t := range cal.Trips {
		what := named(t.Code, t.Name)
		add("pack-"+t.Code, "packed by tonight: "+what, t.PackOn, t.PackOn, "roundkit pack "+t.Code, true)
		if t.CustomsListBy != nil {
			add("customs-"+t.Code, "customs list closes: "+what, *t.CustomsListBy, *t.CustomsListBy, "roundkit papers "+t.Code, true)
		}
		if t.GoesBy != calendar.Home {
			add("leave-"+t.Code, "leaves: "+what, t.StartOn, t.StartOn, "", true)
		}
	}
	for _, t := range snap.TopUps {
		add(fmt.Sprintf("top-up-%s-%s", t.Trip, t.On), fmt.Sprintf("top-up for %s from %s", t.Trip, t.From), t.On, t.On, t.How, true)
	}
	count := map[string]int{}
	for _, o := range plan.Orders {
		key := "order-" + o.Supplier.Code + "-" + o.Trip
		count[key]++
		on := max(o.OrderBy, plan.AsOf)
		hour := ""
		if o.LeavesOn == on && o.How != order.Collect { // of the day it goes out; on an earlier one any hour will do
			hour = o.Supplier.CutOffTime
		}
		by := "today"
		if hour != "" {
			by = hour + " today"
		}
		title := fmt.Sprintf("order by %s: %s, %s %s", by, o.Supplier.Name, o.Total.StringFixed(2), o.Currency)
		if o.Late {
			title = fmt.Sprintf("late, order now: %s, %s %s", o.Supplier.Name, o.Total.StringFixed(2), o.Currency)
		}
		if o.How == order.Collect {
			title = fmt.Sprintf("ask %s to bring it to %s, %s %s", o.Supplier.Name, o.Round, o.Total.StringFixed(2), o.Currency)
		}
		addBy(fmt.Sprintf("%s-%d", key, count[key]), title, on, on, lines(o), true, hour)
	}
	for _, o := range snap.Orders {
		if o.ArrivedOn != nil || o.DueOn == nil || o.State == "drafted" || o.State == "called off" || o.State == "here" {
			continue
		}
		title := fmt.Sprintf("due here: order %s from %s", o.Code, o.Supplier)
		if *o.DueOn < plan.AsOf {
			title = fmt.Sprintf("overdue since %s: order %s from %s", o.DueOn, o.Code, o.Supplier)
		}
		on := max(*o.DueOn, plan.AsOf)
		add("due-"+o.Code, title, on, on, "roundkit receive --order "+o.Code, false)
	}
	slices.SortStableFunc(out, func(a, b Event) int { return cmp.Or(cmp.Compare(a.On, b.On), cmp.Compare(a.Name, b.Name)) })
	return out
}

func lines(o order.Order) string {
	var text []string
	for _, l := range o.Lines {
		text = append(text, quantity(l)+" "+l.Part.Code)
	}
	return fmt.Sprintf("%s; needed by %s for %s", strings.Join(text, ", "), o.NeedBy, o.Trip)
}

// quantity says pieces before packs, which nobody takes for them: "20 pc (2 x 10 pc)".
func quantity(l order.Line) string {
	say := func(q units.Quantity) string {
		if l.Part.Unit == units.PC {
			return units.Say(q, l.Part.Unit) + " pc"
		}
		return units.Say(q, l.Part.Unit)
	}
	if l.Quantity == l.Pack {
		return say(l.Quantity)
	}
	return fmt.Sprintf("%s (%d x %s)", say(l.Quantity), l.Packs, say(l.Pack))
}

func named(code, name string) string {
	if name == "" {
		return code
	}
	return code + ", " + name
}
