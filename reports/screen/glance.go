package screen

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"roundkit/planner/day"
	"roundkit/planner/difference"
	"roundkit/planner/glance"
	"roundkit/planner/left"
	"roundkit/planner/stock"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

// Who prints riders with their forks and shocks; bikes too where they are all that is asked
// for or a single rider is.
func Who(w io.Writer, look term.Look, riders []glance.Rider, bikes bool) error {
	t := term.Table{Columns: []term.Column{{Title: "rider", Wrap: true, Least: 8}, {Title: "bike"}, {Title: "on it"}, {Title: "kind", Drop: 3}, {Title: "spring"},
		{Title: "label", Drop: 2}, {Title: "damper oil", Drop: 1}, {Title: "done last"}}}
	for _, r := range riders {
		name := r.Name
		if r.Code == "" {
			name = "(nobody's)"
		}
		for _, x := range r.Things {
			bike, on := x.OnBike, x.Code
			if x.Kind == "bike" {
				if !bikes {
					continue
				}
				bike, on = x.Code, ""
			}
			last := ""
			if x.Last != nil {
				last = strings.TrimSpace(x.Last.Service + " " + x.Last.At.Format("01-02 15:04") + " " + x.Last.Person)
			}
			t.Rows = append(t.Rows, []string{name, bike, on, x.Kind, x.SpringRate, x.SpringTag, x.DamperOil, last})
			name = ""
		}
	}
	if len(t.Rows) == 0 {
		return look.Say(w, "no riders, bikes or forks are in the season yet")
	}
	return look.Print(w, t)
}

// What prints services with what they usually use, a row each.
func What(w io.Writer, look term.Look, services []glance.Service) error {
	t := term.Table{Columns: []term.Column{{Title: "service"}, {Title: "name", Wrap: true, Drop: 2}, {Title: "on"}, {Title: "min", Right: true, Drop: 1}, {Title: "usually uses", Wrap: true, Least: 30}}}
	for _, v := range services {
		var uses []string
		for _, l := range v.Lines {
			if l.Usual != nil {
				uses = append(uses, partOf(l)+" "+units.Say(*l.Usual, l.Part.Unit))
			} else if l.OwnPart != "" {
				uses = append(uses, "a "+l.OwnPart)
			}
		}
		t.Rows = append(t.Rows, []string{v.Code, v.Name, v.ModelKind, number(v.Minutes), strings.Join(uses, ", ")})
	}
	if err := look.Print(w, t); err != nil {
		return err
	}
	return look.Say(w, "what is replaced on inspection, and the caution: roundkit what "+services[0].Code)
}

// WhatOne prints one service line by line.
func WhatOne(w io.Writer, look term.Look, v glance.Service) error {
	said := v.Code + ", " + v.Name
	if v.Minutes != nil {
		said += fmt.Sprintf(": %d min", *v.Minutes)
	}
	if v.ModelKind != "" {
		said += ", on a " + v.ModelKind
	}
	if err := look.Say(w, said); err != nil {
		return err
	}
	if v.Caution != "" {
		if err := look.Say(w, "caution: "+v.Caution); err != nil {
			return err
		}
	}
	fmt.Fprintln(w)
	t := term.Table{Columns: []term.Column{{Title: "part"}, {Title: "name", Wrap: true, Drop: 1}, {Title: "usually", Right: true}, {Title: "else", Wrap: true}}}
	for _, l := range v.Lines {
		usual, more := "", ""
		switch {
		case l.OnSite != nil && *l.OnSite:
			more = "must be on site"
		case l.OwnPart == "damper oil" && l.Usual != nil, l.Usual != nil:
			usual = units.Say(*l.Usual, l.Part.Unit)
			if l.AllowancePercent != nil {
				more = "with " + l.AllowancePercent.String() + " % allowance"
			}
		case l.OwnPart != "":
			more = "one out, one in"
		case l.Quantity != nil:
			more = "on inspection " + units.Say(*l.Quantity, l.Part.Unit) + chances(l)
		}
		t.Rows = append(t.Rows, []string{partOf(l), l.Part.Name, usual, more})
	}
	return look.Print(w, t)
}

func partOf(l glance.Line) string {
	if l.OwnPart != "" {
		return "its " + l.OwnPart
	}
	return l.ServiceLine.Part
}

func chances(l glance.Line) string {
	switch {
	case l.DryPercent != nil && l.WetPercent != nil:
		return fmt.Sprintf(", in %s %% (wet: %s %%)", l.DryPercent, l.WetPercent)
	case l.DryPercent != nil:
		return fmt.Sprintf(", in %s %%", l.DryPercent)
	}
	return ", how often is not known yet"
}

// Where prints where a part is and who had it last; the sum is the answer.
func Where(w io.Writer, look term.Look, code, name string, unit units.Unit, lies []glance.Lie, when string) error {
	var ours, lent units.Quantity
	for _, l := range lies {
		if l.Lent {
			lent += l.Quantity
		} else {
			ours += l.Quantity
		}
	}
	said := fmt.Sprintf("%s, %s: %s in %s", code, name, units.Say(ours, unit), plural(places(lies, false), "place"))
	if lent > 0 {
		said += ", " + units.Say(lent, unit) + " lent"
	}
	if err := look.Say(w, said+"; "+when); err != nil || len(lies) == 0 {
		return err
	}
	fmt.Fprintln(w)
	t := term.Table{Columns: []term.Column{{Title: "place"}, {Title: "quantity", Right: true}, {Title: "label"}, {Title: "lot", Drop: 2}, {Title: "good until", Drop: 1},
		{Title: "last hand", Wrap: true, Least: 16}}}
	for _, l := range lies {
		hand := ""
		if m := l.Last; m != nil {
			what := m.Kind
			if m.Service != "" {
				what = m.Service + " " + m.Assembly
			}
			if m.Undo {
				what += ", undone"
			}
			hand = orNobody(m.Person) + " " + m.At.Format("01-02 15:04") + ", " + what
		}
		until := optional(l.LastGoodOn)
		if l.Past {
			until = look.Warn(until)
		}
		t.Rows = append(t.Rows, []string{l.Place, units.Say(l.Quantity, unit), l.Tag, l.Lot, until, hand})
	}
	return look.Print(w, t)
}

func places(lies []glance.Lie, lent bool) int {
	at := map[string]bool{}
	for _, l := range lies {
		if l.Lent == lent {
			at[l.Place] = true
		}
	}
	return len(at)
}

// Places prints the drawers and cases, each below the place it is in.
func Places(w io.Writer, look term.Look, all []glance.Drawer) error {
	t := term.Table{Columns: []term.Column{{Title: "place"}, {Title: "kind", Drop: 1}, {Title: "parts", Right: true}, {Title: "name", Wrap: true}}}
	for i := 0; i < len(all); i++ {
		d, parts := all[i], ""
		// empty cases of one name are one row: a phone has few lines
		last := i
		for ; last+1 < len(all) && d.Parts == 0 && all[last+1].Parts == 0 && all[last+1].Name == d.Name && all[last+1].In == d.In && all[last+1].Kind == d.Kind; last++ {
			continue
		}
		if last > i {
			d.Code += ".." + all[last].Code
			i = last
		}
		if d.Parts > 0 {
			parts = strconv.Itoa(d.Parts)
		}
		t.Rows = append(t.Rows, []string{strings.Repeat("  ", d.Depth) + d.Code, d.Kind, parts, d.Name})
	}
	if len(t.Rows) == 0 {
		return look.Say(w, "no places are in the season yet")
	}
	return look.Print(w, t)
}

// JobsLeftOn prints one line for each row asked for.
func JobsLeftOn(w io.Writer, look term.Look, rows []left.Jobs, on func(service string) []string, where string) error {
	for _, r := range rows {
		said := r.Service
		if forks := on(r.Service); r.Assembly != "" {
			said += " on " + r.Assembly
		} else if len(forks) > 0 {
			said += " on " + strings.Join(forks, " or ")
		}
		switch {
		case r.Left == nil:
			said += ": nothing that is counted limits it"
		case *r.Left == 0:
			said += ": none can be done with what is " + where + ", " + r.LimitedBy + " is short"
		default:
			said += fmt.Sprintf(": %d more with what is %s, then %s stops it", *r.Left, where, r.LimitedBy)
			if r.LeftAfterPlan != nil && *r.LeftAfterPlan != *r.Left {
				said += fmt.Sprintf("; %d beyond the plan", *r.LeftAfterPlan)
			}
		}
		if err := look.Say(w, said); err != nil {
			return err
		}
	}
	return nil
}

// Evening prints how things stand, in at most so many lines.
func Evening(w io.Writer, look term.Look, e glance.Evening, asOf day.Day, when string) error {
	const short, few = 5, 3
	var rows [][]string
	row := func(label, text string) { rows = append(rows, []string{label, text}) }
	round := "between rounds"
	if e.Round != nil {
		round = fmt.Sprintf("%s, %s: day %d of %d, %s", e.Round.Code, e.Round.Name, e.DayOf, e.Days, weather(e))
	}
	if when == "" {
		when = asOf.String()
	}
	row("now", round+"; "+when)
	if e.Next != nil {
		row("next", fmt.Sprintf("%s, %s: from %s, in %s", e.Next.Code, e.Next.Name, e.Next.FirstOn, plural(int(e.Next.FirstOn-asOf), "day")))
	}
	if e.Round != nil {
		row("done", counts(e.Done, "nothing yet"))
		row("left", counts(e.Left, "nothing more is planned"))
	}
	where := "anywhere of ours"
	if e.At != "" {
		where = "in " + e.At
	}
	stops := alike(e.Stops, func(r left.Jobs) []string { return []string{r.Service, r.LimitedBy, number(r.Left)} })
	for i, g := range stops {
		if i == short || *g[0].Left > 0 && i >= few {
			break
		}
		label := ""
		if i == 0 {
			label = "stops next"
		}
		service := g[0].Service
		if on := assemblies(g); on != "" {
			service += " on " + on
		}
		text := fmt.Sprintf("%s: %d more, then %s", service, *g[0].Left, g[0].LimitedBy)
		if *g[0].Left == 0 {
			text = look.Warn(fmt.Sprintf("%s: none, %s is short %s", service, g[0].LimitedBy, where))
		}
		row(label, text)
	}
	row("to count", differed(e.WantCount, short))
	row("to explain", differed(e.WantReason, short))
	lent := "nothing"
	if len(e.Lent) > 0 {
		var all []string
		for _, r := range e.Lent {
			all = append(all, lentText(look, r))
		}
		lent = some(all, short)
	}
	row("lent", lent)
	t := term.Table{Columns: []term.Column{{}, {Wrap: true}}, Rows: rows}
	if err := look.Print(w, t); err != nil {
		return err
	}
	fmt.Fprintln(w)
	return look.Say(w, "roundkit log lls f03 logs a job; job left, who, what, where, places say more; help lists all")
}

// differed names the parts of some differences.
func differed(found []difference.Difference, most int) string {
	if len(found) == 0 {
		return "nothing"
	}
	var all []string
	for _, d := range found {
		all = append(all, strings.TrimSpace(d.Part.Code+" "+d.Tag)+" "+Signed(d))
	}
	return some(all, most)
}

func weather(e glance.Evening) string {
	if e.Weather != "" {
		return e.Weather
	}
	return "weather not seen yet, wet with " + term.Percent(e.WetChance)
}

func counts(all []glance.Jobs, none string) string {
	if len(all) == 0 {
		return none
	}
	jobs := 0
	var said []string
	for _, j := range all {
		jobs += j.Jobs
		said = append(said, fmt.Sprintf("%s %d", j.Service, j.Jobs))
	}
	return fmt.Sprintf("%s: %s", plural(jobs, "job"), strings.Join(said, ", "))
}

// some lists the first of many.
func some(all []string, most int) string {
	if len(all) <= most {
		return strings.Join(all, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(all[:most], ", "), len(all)-most)
}

func lentText(look term.Look, r stock.Row) string {
	name := r.Tag
	if name == "" {
		name = r.Part.Code + " " + units.Say(r.Quantity, r.Part.Unit)
	}
	text := name + " to " + r.Place
	switch {
	case r.Overdue:
		return look.Warn(text + ", overdue since " + r.DueBackOn.String())
	case r.DueBackOn != nil:
		return text + ", back " + r.DueBackOn.String()
	}
	return text
}
