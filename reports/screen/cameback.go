package screen

import (
	"fmt"
	"io"
	"strings"

	"roundkit/planner/cameback"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

// CameBack prints the account of a trip: first what had to come home and did not, then each
// part, then what nobody has explained.
func CameBack(w io.Writer, look term.Look, r *cameback.Result, clock string) error {
	open := 0
	for _, d := range r.Differences {
		if d.Open() {
			open++
		}
	}
	said := fmt.Sprintf("%s: of %s that must come home %d did not; %s without a reason", r.Trip.Code, plural(r.ListedCount, "thing"), r.ListedCount-r.ListedBack, plural(open, "difference"))
	if r.NotCounted > 0 && !r.UnderWay {
		said += fmt.Sprintf("; %s not counted since it is back", plural(r.NotCounted, "part"))
	}
	if err := look.Say(w, said); err != nil {
		return err
	}
	when := fmt.Sprintf("from %s to %s", r.From.Format("2006-01-02 15:04"), r.To.Format("2006-01-02 15:04"))
	if clock != "" {
		when += ", " + clock
	}
	if r.UnderWay {
		when += fmt.Sprintf("; under way until %s, so this is how it stands", r.Trip.LastRoundOn())
	}
	if err := look.Say(w, when); err != nil {
		return err
	}
	if len(r.Listed) > 0 {
		fmt.Fprintln(w)
		if err := look.Print(w, listed(look, r.Listed)); err != nil {
			return err
		}
	}
	for _, c := range r.Customs {
		if err := look.Say(w, look.Warn("customs list: "+c)); err != nil {
			return err
		}
	}
	fmt.Fprintln(w)
	t := term.Table{Columns: []term.Column{{Title: "part"}, {Title: "name", Wrap: true, Drop: 3}, {Title: "along", Right: true}, {Title: "used", Right: true},
		{Title: "scrapped", Right: true}, {Title: "lent", Right: true}, {Title: "opened", Right: true}, {Title: "should be back", Right: true},
		{Title: "difference", Right: true}, {Title: "unpacked", Right: true, Drop: 1}, {Title: "counted", Drop: 2}}}
	var whole []string
	for _, p := range r.Parts {
		if p.Back() == p.Along && p.Difference == 0 {
			whole = append(whole, p.Code+" "+units.Say(p.Along, p.Unit))
			continue
		}
		say := func(q units.Quantity) string {
			if q == 0 {
				return ""
			}
			return units.Say(q, p.Unit)
		}
		counted := ""
		if p.CountedAt != nil {
			counted = p.CountedAt.Format("2006-01-02")
		}
		diff := say(p.Difference)
		if p.Difference > 0 {
			diff = "+" + diff
		}
		t.Rows = append(t.Rows, []string{p.Code, p.Name, say(p.Along), say(p.Used), say(p.Scrapped), say(p.Lent), say(p.Opened), units.Say(p.Should, p.Unit), diff, say(p.Unpacked), counted})
	}
	if err := look.Print(w, t); err != nil {
		return err
	}
	if len(whole) > 0 {
		fmt.Fprintln(w)
		if err := look.Say(w, "should be back as they went: "+strings.Join(whole, ", ")); err != nil {
			return err
		}
	}
	if len(r.Differences) == 0 {
		return nil
	}
	fmt.Fprintln(w)
	return Differences(w, look, r.Differences)
}

func listed(look term.Look, all []cameback.Listed) term.Table {
	t := term.Table{Columns: []term.Column{{Title: "not home"}, {Title: "name", Wrap: true, Drop: 1}, {Title: "tag"}, {Title: "quantity", Right: true}, {Title: "where"}, {Title: "what to do", Wrap: true}}}
	for _, l := range all {
		say := l.Say
		if l.DueOn != nil {
			due := "due " + l.DueOn.String()
			if l.Overdue {
				due = look.Warn("overdue since " + l.DueOn.String())
			}
			say = due + ": " + say
		}
		t.Rows = append(t.Rows, []string{l.Part.Code, l.Part.Name, l.Tag, units.Say(l.Quantity, l.Part.Unit), l.Where, say})
	}
	return t
}
