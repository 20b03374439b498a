package reorder

import (
	"fmt"
	"strings"

	"roundkit/planner/day"
	"roundkit/planner/order"
	"roundkit/planner/units"
)

// The words of the traffic light; a print without colours says the same.
const (
	late    = "LATE: order now"
	today   = "order today"
	week    = "this week"
	later   = "later"
	collect = "collect"
)

// urgency says how soon an order must be out.
func urgency(o order.Order, asOf day.Day) string {
	switch {
	case o.How == order.Collect:
		return collect
	case o.Late:
		return late
	case o.OrderBy == asOf:
		return today
	case o.OrderBy <= asOf+7:
		return week
	}
	return later
}

// urgent is the look of an urgency.
func (b *book) urgent(word string) int {
	switch word {
	case late, today:
		return b.styles.late
	case week, collect:
		return b.styles.soon
	}
	return b.styles.textBold
}

// plural counts a noun.
func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// weekday is a day with its name, for whoever must remember it.
func weekday(d day.Day) string { return d.Weekday().String()[:3] + " " + d.String() }

// partList names what an order is of, each part once.
func partList(o order.Order) string {
	var out []string
	var sum units.Quantity
	for i, l := range o.Lines {
		sum += l.Quantity
		if i+1 < len(o.Lines) && o.Lines[i+1].Part.Code == l.Part.Code {
			continue
		}
		out = append(out, l.Part.Code+" "+units.Say(sum, l.Part.Unit))
		sum = 0
	}
	return strings.Join(out, ", ")
}
