package words

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// timeForm is to the second, with the offset: read back it is the same instant.
const timeForm = time.RFC3339

// Long is the meaning as a command with its options written out.
func (b *Bench) Long(m Meaning) []string {
	out := map[string][]string{Job: {"job", "log"}}[m.Kind]
	if out == nil {
		out = []string{m.Kind}
	}
	option := func(name, value string) {
		if value != "" {
			out = append(out, "--"+name+"="+value)
		}
	}
	switch m.Kind {
	case Job:
		out = append(out, m.Service)
		option("on", m.Assembly)
		for _, u := range m.Used {
			option("used", b.said(u))
		}
		for _, n := range m.Not {
			option("not", n)
		}
		option("spring", m.Spring)
		option("round", m.Round)
		out = append(out, "--as-usual")
	case Count:
		out = append(out, m.Place)
		for _, u := range m.Used {
			out = append(out, b.said(u))
		}
	case Weigh:
		out = append(out, m.Tag, units.Format(units.Quantity(m.GrossMG), units.G))
	case OpenKit:
		out = append(out, m.Used[0].Part)
		option("from", m.Place)
	default:
		switch {
		case m.Case != "":
			out = append(out, m.Case)
		case m.Tag != "":
			option("tag", m.Tag)
		case len(m.Used) == 1:
			part, quantity, _ := strings.Cut(b.said(m.Used[0]), "=")
			out = append(out, part, quantity)
		default:
			for _, u := range m.Used {
				out = append(out, b.said(u))
			}
		}
		option("from", m.From)
		option("to", m.To)
		option("supplier", m.Supplier)
		option("trip", m.Trip)
		if m.DueOn != nil {
			option("due", m.DueOn.String())
		}
	}
	option("by", m.Person)
	option("note", m.Note)
	if !m.At.IsZero() {
		option("when", m.At.Format(timeForm))
	}
	return out
}

// Fork says which fork, shock or bike a code is.
func (b *Bench) Fork(code string) string {
	if e, s := b.forks.match(code).best(); s == exact {
		return b.forks.all[e[0]].says
	}
	return code
}

// said is an amount to the last base unit: "OIL-B68=49.312 ml".
func (b *Bench) said(u ledger.Amount) string {
	unit := units.PC
	if e := b.partAt(u.Part); e >= 0 {
		unit = b.s.Parts[e].Unit
	}
	if unit == units.PC {
		return u.Part + "=" + units.Format(u.Quantity, unit)
	}
	return u.Part + "=" + units.Format(u.Quantity, unit) + " " + string(unit)
}

// Say is the meaning as one line: all that will be recorded, and nothing else.
func (b *Bench) Say(m Meaning) string {
	var out []string
	list := func(all []ledger.Amount) string {
		var said []string
		for _, u := range all {
			said = append(said, strings.Replace(b.said(u), "=", " ", 1))
		}
		return strings.Join(said, ", ")
	}
	switch m.Kind {
	case Job:
		out = b.sayJob(m, list)
	case Count:
		out = []string{"count at " + m.Place + ": " + list(m.Used)}
	case Weigh:
		out = []string{fmt.Sprintf("weigh %s: %s g, bottle and all", m.Tag, units.Format(units.Quantity(m.GrossMG), units.G))}
	default:
		what := m.Tag + m.Case
		if len(m.Used) > 0 {
			what = list(m.Used)
		}
		text := map[string]string{Move: "move", Receive: "receive", Scrap: "scrap", Lend: "lend", LentBack: "lent back:", OpenKit: "open a kit:"}[m.Kind] + " " + what
		for _, x := range []struct{ before, code string }{{"from", m.From}, {"from", m.Place}, {"from", m.Supplier}, {"to", m.To}, {"for", m.Trip}} {
			if x.code != "" {
				text += " " + x.before + " " + x.code
			}
		}
		if m.DueOn != nil {
			text += ", due " + m.DueOn.String()
		}
		out = []string{text}
	}
	if m.Round != "" {
		out = append(out, "at "+m.Round)
	}
	if !m.At.IsZero() {
		out = append(out, m.At.In(b.zone).Format("2006-01-02 15:04"))
	}
	if m.Person != "" {
		out = append(out, "by "+m.Person)
	}
	if m.Note != "" {
		out = append(out, "note "+m.Note)
	}
	return strings.Join(out, "; ")
}

// sayJob is a job with all that it takes, and what of it is not replaced.
func (b *Bench) sayJob(m Meaning, list func([]ledger.Amount) string) []string {
	text := m.Service
	if m.Assembly != "" {
		text += " on " + m.Assembly
		if code, more, ok := strings.Cut(b.Fork(m.Assembly), ", "); ok {
			text = m.Service + " on " + code + " (" + more + ")"
		}
	}
	out := []string{text}
	if m.Spring != "" {
		out = append(out, "spring "+m.Spring+" goes in")
	}
	if takes := b.takes(m); len(takes) > 0 {
		out = append(out, "uses "+list(takes))
	} else {
		out = append(out, "uses nothing")
	}
	var kept []string
	for _, l := range ledger.Chances(b.s.ServiceLines, m.Service) {
		if !slices.ContainsFunc(m.Used, func(u ledger.Amount) bool { return u.Part == l.Part }) && !slices.Contains(kept, l.Part) {
			kept = append(kept, l.Part)
		}
	}
	if len(kept) > 0 {
		out = append(out, "not replaced "+strings.Join(kept, ", "))
	}
	if len(m.Not) > 0 {
		out = append(out, "without "+strings.Join(m.Not, ", "))
	}
	return out
}

// takes is all that the job's record uses up.
func (b *Bench) takes(m Meaning) (out []ledger.Amount) {
	rows, err := ledger.JobParts(planOf(b.s), m.Service, m.Assembly, m.Used, m.Not)
	if err != nil {
		return nil
	}
	for _, r := range rows {
		if r.Part != "" {
			out = append(out, ledger.Amount{Part: r.Part, Quantity: *r.Quantity})
		}
	}
	return out
}

// Short is the meaning as a line of its own: read again it means the same.
func (b *Bench) Short(m Meaning) string {
	out := []string{m.Kind}
	if m.Kind == Job {
		out = []string{m.Service, m.Assembly}
	}
	add := func(before, value string) {
		if value != "" {
			out = append(out, strings.TrimSpace(before+" "+value))
		}
	}
	if m.Kind == Count {
		add("at", m.Place)
	}
	if m.Kind == OpenKit {
		add("from", m.Place)
	}
	add("", m.Spring)
	add("", m.Tag)
	add("", m.Case)
	for _, u := range m.Used {
		said := strings.ReplaceAll(b.said(u), " ", "")
		if m.Kind == OpenKit {
			said = u.Part
		}
		add("", said)
	}
	if m.Kind == Weigh {
		add("", units.Format(units.Quantity(m.GrossMG), units.G)+"g")
	}
	for _, n := range m.Not {
		add("no", n)
	}
	add("from", m.From)
	add("from", m.Supplier)
	add("to", m.To)
	add("", m.Trip)
	add("at", m.Round)
	if m.DueOn != nil {
		add("due", m.DueOn.String())
	}
	if !m.At.IsZero() {
		add("", m.At.In(b.zone).Format("2006-01-02 15:04"))
	}
	add("by", m.Person)
	add("note", m.Note)
	return strings.Join(slices.DeleteFunc(out, func(s string) bool { return s == "" }), " ")
}
