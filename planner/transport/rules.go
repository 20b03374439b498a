package transport

import (
	"fmt"

	"roundkit/planner/day"
)

// Rules is a set of rules of law or of carriers: which edition was read, and from when to
// when it holds. Rules go out of date; each sheet shows theirs.
type Rules struct {
	Name            string
	Edition         string
	FirstOn, LastOn day.Day
	Next            string // what is known of what follows
}

// ADR is the rules for roads. The categories and sizes of table A were read in the 2017
// text, with which current data sheets agree; the points in the 2023 text.
var ADR = Rules{
	Name: "ADR", Edition: "2025 (points as in the 2023 text, table A as in the 2017 text; data sheets agree)",
	FirstOn: day.Of(2025, 1, 1), LastOn: day.Of(2026, 12, 31),
	Next: "it changes on 1 January of odd years, usually with six months' grace (from memory)",
}

// AirRules is what carriers take. They differ, and change every year.
var AirRules = Rules{
	Name: "the air rules", Edition: "2026, as carriers' and authorities' pages told them in November 2026",
	FirstOn: day.Of(2026, 1, 1), LastOn: day.Of(2026, 12, 31),
	Next: "they change every year, and each carrier has its own",
}

// Warning says that a day is outside the days of the rules; "" where it is inside.
func (r Rules) Warning(on day.Day) string {
	switch {
	case on > r.LastOn:
		return fmt.Sprintf("%s: this is the edition of %s to %s, and on %s it is out of date: check every figure against the new one (%s)",
			r.Name, r.FirstOn, r.LastOn, on, r.Next)
	case on < r.FirstOn:
		return fmt.Sprintf("%s: this is the edition of %s to %s, and does not hold yet on %s", r.Name, r.FirstOn, r.LastOn, on)
	}
	return ""
}

// Caution is printed with every answer about dangerous goods.
const Caution = "A packing aid, not advice on the law. The safety data sheet (section 14), the rules in force where you drive or fly, " +
	"the carrier and a qualified dangerous-goods safety adviser decide."

// CustomsCaution is printed with every customs list.
const CustomsCaution = "A packing aid, never a clearance: the customs agent, the chamber that issues the list and the customs of both countries decide."
