package workbook

import (
	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
)

// plan checks what a team means to do.
func (c *checker) plan() {
	c.season()
	c.rounds()
	c.trips()
	c.topUps()
	c.springChoices()
	c.lines()
	c.plannedJobs()
	c.unplanned()
	c.buying()
	for i, b := range c.book.Budget {
		c.currency("budget", i, b.Currency)
		if b.Amount.IsNegative() {
			c.say("budget", i, "amount", "nothing below zero")
		}
	}
}

func (c *checker) season() {
	if n := len(c.book.Season); n == 0 {
		f, _ := c.place("season", -1, "")
		f.Said = "found no season, expected one row"
		c.faults = append(c.faults, f)
		return
	}
	for i, s := range c.book.Season {
		if i > 0 {
			c.say("season", i, "season", "one season only")
			continue
		}
		if _, err := c.zoneOf(s.TimeZone); s.TimeZone != "" && err != nil {
			c.say("season", i, "time zone", "an IANA time zone, such as Europe/Vienna")
		}
		c.currency("season", i, s.Currency)
		c.country("season", i, s.Country)
		c.order("season", i, "last day", &s.FirstOn, &s.LastOn, "first day")
		if s.FirstOn != 0 && s.LastOn > s.FirstOn+2*year {
			c.say("season", i, "last day", "a day of the two years from "+s.FirstOn.String()+" on")
		}
		if p := s.ConfidencePercent; p != nil && (p.Sign() <= 0 || !p.LessThan(hundred)) {
			c.say("season", i, "confidence %", "more than 0 and less than 100")
		}
		if p := s.TripReadinessPercent; p != nil && (p.Sign() <= 0 || !p.LessThan(hundred)) {
			c.say("season", i, "trip readiness %", "more than 0 and less than 100")
		}
		if _, err := s.JobsWorth(); err != nil {
			c.say("season", i, "chances worth jobs", "a number of jobs from 0.1 to 10000, or known")
		}
		if p := s.LastSeasonPercent; p != nil && (p.Sign() < 0 || p.GreaterThan(hundred)) {
			c.say("season", i, "last season counts %", "0 to 100")
		}
	}
}

// order checks that a date is not before another; blanks are in order.
func (c *checker) order(sheet string, row int, heading string, first, last *day.Day, firstHeading string) {
	if first == nil || last == nil || *last >= *first || *first == 0 || *last == 0 {
		return // a date that could not be read is 0, and told already
	}
	c.say(sheet, row, heading, "a date not before the "+firstHeading+" "+first.String())
}

func (c *checker) rounds() {
	for i, r := range c.book.Rounds {
		c.order("rounds", i, "last day", &r.FirstOn, &r.LastOn, "first day")
		c.country("rounds", i, r.Country)
		c.currency("rounds", i, r.Currency)
		c.percent("rounds", i, "wet chance %", r.WetChancePercent)
		if r.Steepness != nil && (*r.Steepness < 1 || *r.Steepness > 5) {
			c.say("rounds", i, "steepness", "1 to 5")
		}
		if days := int(r.LastOn-r.FirstOn) + 1; r.RidingDays != nil && days > 0 && *r.RidingDays > days {
			c.say("rounds", i, "riding days", sprint("at most %d, the days of the round", days))
		}
		if r.WeatherSeenOn != nil && r.Weather == "" {
			c.say("rounds", i, "weather", "dry or wet, as the day it was seen on is given")
		}
		if len(c.book.Season) == 0 {
			continue
		}
		s := c.book.Season[0]
		switch {
		case r.FirstOn == 0 || r.LastOn == 0 || s.FirstOn == 0 || s.LastOn == 0:
		case r.FirstOn < s.FirstOn || r.FirstOn > s.LastOn:
			c.say("rounds", i, "first day", sprint("a day of the season, %s to %s", s.FirstOn, s.LastOn))
		case r.LastOn > s.LastOn:
			c.say("rounds", i, "last day", sprint("a day of the season, %s to %s", s.FirstOn, s.LastOn))
		}
		c.roundInTrip(i, r)
	}
}

func (c *checker) roundInTrip(i int, r planner.Round) {
	at, ok := c.codes["trip"][r.Trip]
	if !ok {
		return
	}
	t := c.book.Trips[at]
	if t.LeavesOn != nil && r.FirstOn != 0 && r.FirstOn < *t.LeavesOn {
		c.say("rounds", i, "first day", sprint("not before %s, when trip %s leaves", *t.LeavesOn, t.Code))
	}
	if t.BackOn != nil && r.LastOn != 0 && r.LastOn > *t.BackOn {
		c.say("rounds", i, "last day", sprint("not after %s, when trip %s is back", *t.BackOn, t.Code))
	}
}

func (c *checker) trips() {
	for i, t := range c.book.Trips {
		c.order("trips", i, "leaves", t.PackBy, t.LeavesOn, "pack date")
		c.order("trips", i, "back", t.LeavesOn, t.BackOn, "day it leaves")
		c.order("trips", i, "leaves", t.CustomsListBy, t.LeavesOn, "day of the customs list")
		if t.LeavesOn == nil {
			c.order("trips", i, "back", t.PackBy, t.BackOn, "pack date")
		}
		if j, ok := c.codes["place"][t.Truck]; ok && c.book.Places[j].Kind != "truck" {
			c.say("trips", i, "truck", "a place of kind truck")
		}
		if t.Customs != nil && !*t.Customs && t.CustomsListBy != nil {
			c.say("trips", i, "customs", "yes, or no customs list by: a list is due only where a border with customs is crossed")
		}
	}
}

func (c *checker) topUps() {
	for i, u := range c.book.TopUps {
		at, ok := c.codes["trip"][u.Trip]
		if !ok {
			continue
		}
		t := c.book.Trips[at]
		first := t.LeavesOn
		if first == nil {
			first = t.PackBy
		}
		if u.On != 0 && (first != nil && u.On < *first || t.BackOn != nil && u.On > *t.BackOn) {
			c.say("top-ups", i, "date", "a day of the trip"+within(first, t.BackOn))
		}
		if j, ok := c.codes["round"][u.Round]; ok && c.book.Rounds[j].Trip != u.Trip {
			c.say("top-ups", i, "round", "a round of the trip "+u.Trip)
		}
	}
}

func within(first, last *day.Day) string {
	switch {
	case first != nil && last != nil:
		return ", " + first.String() + " to " + last.String()
	case first != nil:
		return ", from " + first.String()
	}
	return ", to " + last.String()
}

// springChoices checks that the chances of one rider and model add up to 100 at most.
func (c *checker) springChoices() {
	type who struct{ rider, model string }
	sums := map[who]*[5]decimal.Decimal{}
	for i, s := range c.book.SpringChoices {
		if p := c.part(s.Spring); p != nil && p.Kind != "spring" && p.Kind != "" {
			c.say("spring-choices", i, "spring", "a part of kind spring: that is "+p.Kind)
		}
		key := who{s.Rider, s.Model}
		if sums[key] == nil {
			sums[key] = &[5]decimal.Decimal{}
		}
		for k, d := range []planner.Decimal{s.Steep1, s.Steep2, s.Steep3, s.Steep4, s.Steep5} {
			if d == nil {
				continue
			}
			heading := sprint("steepness %d %%", k+1)
			c.percent("spring-choices", i, heading, d)
			before := sums[key][k]
			sums[key][k] = before.Add(*d)
			if sums[key][k].GreaterThan(hundred) && !before.GreaterThan(hundred) && !d.GreaterThan(hundred) {
				c.say("spring-choices", i, heading, sprint("at most %s: the chances of %s on %s add up to 100 %%",
					hundred.Sub(before), s.Rider, s.Model))
			}
		}
	}
}

func (c *checker) plannedJobs() {
	oil := map[string]bool{} // services with a line of the assembly's own damper oil
	for _, l := range c.book.ServiceLines {
		if l.OwnPart == "damper oil" {
			oil[l.Service] = true
		}
	}
	for i, p := range c.book.PlannedJobs {
		if j, ok := c.codes["service"][p.Service]; ok {
			s := c.book.Services[j]
			if s.Planned != nil && !*s.Planned {
				c.say("planned-jobs", i, "service", "a service that is planned: "+p.Service+" only happens unplanned")
			}
			if kind := c.kindOf(p.Assembly); kind != "" && s.ModelKind != "" && kind != s.ModelKind {
				c.say("planned-jobs", i, "assembly", sprint("a %s for %s: that is a %s", s.ModelKind, p.Service, kind))
			}
		}
		if !oil[p.Service] {
			continue
		}
		if at, ok := c.codes["assembly"][p.Assembly]; p.Assembly == "" {
			c.say("planned-jobs", i, "assembly", "the assembly: "+p.Service+" takes its own damper oil")
		} else if ok && c.book.Assemblies[at].DamperOil == "" {
			c.say("planned-jobs", i, "assembly", "an assembly with a damper oil: "+p.Service+" takes it")
		}
	}
}

func (c *checker) unplanned() {
	for i, u := range c.book.UnplannedRates {
		switch {
		case u.Rate == nil && u.GammaA == nil && u.GammaB == nil:
			c.say("unplanned-rates", i, "rate per bike-day", "a rate, or gamma a and gamma b")
		case u.Rate != nil && (u.GammaA != nil || u.GammaB != nil):
			c.say("unplanned-rates", i, "gamma a", "a blank, as the rate is known")
		case u.Rate == nil && u.GammaA == nil:
			c.say("unplanned-rates", i, "gamma a", "a number above zero, as gamma b is given")
		case u.Rate == nil && u.GammaB == nil:
			c.say("unplanned-rates", i, "gamma b bike-days", "a number above zero, as gamma a is given")
		default:
			c.above("unplanned-rates", i, "gamma a", u.GammaA)
			c.above("unplanned-rates", i, "gamma b bike-days", u.GammaB)
		}
	}
}
