package workbook

import (
	"roundkit/planner"
	"roundkit/planner/units"
)

// lines checks what one job of each service uses: each line has one part and one form.
func (c *checker) lines() {
	for i := range c.book.ServiceLines {
		l := &c.book.ServiceLines[i]
		whole := !c.unread("service-lines", i, "quantity", "min", "typical", "max")
		if whole {
			c.lineForm(i, l)
		}
		c.lineChances(i, l)
		switch {
		case l.Part != "" && l.OwnPart != "":
			c.say("service-lines", i, "own part", "a blank, as the part is named")
		case l.Part == "" && l.OwnPart == "":
			c.say("service-lines", i, "part", "a part, or an own part")
		case l.OwnPart != "":
			c.ownPart(i, l)
		}
		if whole && l.AllowancePercent != nil && l.AllowancePercent.Sign() > 0 && l.Min == nil && l.Max == nil {
			c.say("service-lines", i, "allowance %", "a blank: only a range has an allowance")
		}
	}
}

// lineForm: a fixed quantity, a quantity with a chance, or a range.
func (c *checker) lineForm(i int, l *planner.ServiceLine) {
	chance := l.DryPercent != nil || l.WetPercent != nil ||
		l.BetaDryA != nil || l.BetaDryB != nil || l.BetaWetA != nil || l.BetaWetB != nil
	ranged := l.Min != nil || l.Typical != nil || l.Max != nil
	switch {
	case l.Quantity != nil && ranged:
		c.say("service-lines", i, "quantity", "a blank, as min and max are given")
	case ranged && chance:
		c.say("service-lines", i, "min", "a quantity instead of a range, as a chance is given")
	case l.Quantity == nil && !ranged:
		c.say("service-lines", i, "quantity", "a quantity, or min and max")
	case ranged && l.Min == nil:
		c.say("service-lines", i, "min", "the least, as it is a range")
	case ranged && l.Max == nil:
		c.say("service-lines", i, "max", "the most, as it is a range")
	case ranged && *l.Max < *l.Min:
		c.say("service-lines", i, "max", "at least the min "+c.q(l, *l.Min))
	case ranged && *l.Max == 0:
		c.say("service-lines", i, "max", "a quantity above zero")
	case ranged && l.Typical != nil && (*l.Typical < *l.Min || *l.Typical > *l.Max):
		c.say("service-lines", i, "typical", "min to max, "+c.q(l, *l.Min)+" to "+c.q(l, *l.Max))
	case !ranged:
		c.some("service-lines", i, "quantity", l.Quantity)
	}
}

// q writes a quantity of a line in the unit people see.
func (c *checker) q(l *planner.ServiceLine, q units.Quantity) string {
	u := c.units[l.Part]
	if l.OwnPart == "damper oil" {
		u = units.ML
	}
	return units.Format(q, u)
}

func (c *checker) lineChances(i int, l *planner.ServiceLine) {
	const sheet = "service-lines"
	c.percent(sheet, i, "chance dry %", l.DryPercent)
	c.percent(sheet, i, "chance wet %", l.WetPercent)
	betaDry, betaWet := l.BetaDryA != nil || l.BetaDryB != nil, l.BetaWetA != nil || l.BetaWetB != nil
	c.beta(i, "beta dry a", "beta dry b", l.BetaDryA, l.BetaDryB)
	c.beta(i, "beta wet a", "beta wet b", l.BetaWetA, l.BetaWetB)
	switch {
	case l.DryPercent != nil && betaDry:
		c.say(sheet, i, "beta dry a", "a blank, as the chance is known")
	case l.WetPercent != nil && betaWet:
		c.say(sheet, i, "beta wet a", "a blank, as the chance is known")
	case l.DryPercent == nil && !betaDry && l.WetPercent != nil:
		c.say(sheet, i, "chance dry %", "a chance, as one for wet rounds is given")
	case l.DryPercent == nil && !betaDry && betaWet:
		c.say(sheet, i, "beta dry a", "a number above zero, as one for wet rounds is given")
	}
}

// beta: both numbers, or neither; above zero.
func (c *checker) beta(i int, headingA, headingB string, a, b planner.Decimal) {
	switch {
	case a != nil && b == nil:
		c.say("service-lines", i, headingB, "a number above zero, as "+headingA+" is given")
	case a == nil && b != nil:
		c.say("service-lines", i, headingA, "a number above zero, as "+headingB+" is given")
	default:
		c.above("service-lines", i, headingA, a)
		c.above("service-lines", i, headingB, b)
	}
}

// ownPart: a swap of springs and damper oil are done on what has them.
func (c *checker) ownPart(i int, l *planner.ServiceLine) {
	j, ok := c.codes["service"][l.Service]
	if !ok {
		return
	}
	kind := c.book.Services[j].ModelKind
	want := map[string]string{"fork spring": "fork", "shock spring": "shock"}[l.OwnPart]
	switch {
	case kind == "":
	case want != "" && kind != want:
		c.say("service-lines", i, "own part", sprint("a part that a %s has: %s is done on a %s", kind, l.Service, kind))
	case l.OwnPart == "damper oil" && kind == "bike":
		c.say("service-lines", i, "own part", "a part: "+l.Service+" is done on a bike, which has no damper oil")
	}
}
