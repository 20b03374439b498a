package difference

import (
	"fmt"
	"time"

	"github.com/google/uuid"

	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

// doubled is how near two jobs of one service on one assembly are likely the same.
const doubled = 6 * time.Hour

// likely gathers the causes that the log speaks for, most telling first.
func (in Input) likely(d Difference, all []Difference) (out []Likely) {
	add := func(cause, format string, args ...any) {
		out = append(out, Likely{cause, fmt.Sprintf(format, args...)})
	}
	missing := d.Quantity < 0
	size := max(d.Quantity, -d.Quantity)
	jobs := in.jobs(d)
	if missing {
		in.notLogged(d, size, add)
	} else {
		in.twice(jobs, add)
	}
	for _, o := range all {
		if o.Part.Code == d.Part.Code && o.Tag == d.Tag && (o.Quantity < 0) != missing && o.On == d.On && o.Place != d.Place {
			add(WrongDrawer, "%s the other way at %s the same day", units.Say(max(o.Quantity, -o.Quantity), d.Part.Unit), o.Place)
		}
	}
	in.kits(d, missing, all, add)
	in.came(d, missing, add)
	usual := 0
	for _, j := range jobs {
		if j.usual {
			usual++
		}
	}
	if usual > 0 {
		add(OtherAmount, "%d of %d jobs since took just the usual", usual, len(jobs))
	}
	if missing && d.Part.Unit != units.PC {
		add(Spill, "it is poured by hand")
	}
	return out
}

// came says what was lent, received or brought where the difference is, since it was last
// right there: of several the last, with how many there were.
func (in Input) came(d Difference, missing bool, add func(string, string, ...any)) {
	last, times := map[string]stock.Moved{}, map[string]int{}
	for _, m := range in.Moves {
		if m.Part != d.Part.Code || m.Undo || m.TakenBack || !in.within(m.At, d) {
			continue
		}
		cause := ""
		into := d.Scope != "" && in.tree.Within(m.To, d.Scope) && !in.tree.Within(m.From, d.Scope)
		switch {
		case m.Kind == "lend" && missing, m.Kind == "lent back" && !missing:
			cause = Lent
		case m.Kind == "receipt" && missing && into && d.Tag == "":
			cause = ReceivedShort
		case (m.Kind == "move" || m.Kind == "pack") && missing && into && d.Tag == "" && in.tree.Ours(m.From):
			cause = OpenedAtBase
		default:
			continue
		}
		last[cause] = m
		times[cause]++
	}
	for _, cause := range []string{Lent, ReceivedShort, OpenedAtBase} {
		m, ok := last[cause]
		if !ok {
			continue
		}
		text := fmt.Sprintf("%s from %s to %s on %s", units.Say(m.Quantity, d.Part.Unit), m.From, m.To, m.At.Format("2006-01-02"))
		if times[cause] > 1 {
			text += fmt.Sprintf(", the last of %d times", times[cause])
		}
		add(cause, "%s", text)
	}
}

// within reports whether a movement lies between the last count before the difference and
// the difference.
func (in Input) within(at time.Time, d Difference) bool {
	return !at.After(d.At) && (d.Since == nil || at.After(*d.Since))
}

// job is what one job used of the part.
type job struct {
	entry             uuid.UUID
	at                time.Time
	service, assembly string
	used              units.Quantity
	usual             bool // what its lines say, no more and no less
}

// jobs are the jobs since the last count that used the part and were not taken back.
func (in Input) jobs(d Difference) (out []job) {
	at := map[uuid.UUID]int{}
	for _, m := range in.Moves {
		if m.Part != d.Part.Code || m.Service == "" || m.To != ledger.Used || m.Undo || m.TakenBack || !in.within(m.At, d) || d.Tag != "" && m.Tag != d.Tag ||
			d.Scope != "" && m.From != ledger.CountDifference && !in.tree.Within(m.From, d.Scope) {
			continue
		}
		i, ok := at[m.Entry]
		if !ok {
			i = len(out)
			at[m.Entry] = i
			out = append(out, job{entry: m.Entry, at: m.At, service: m.Service, assembly: m.Assembly})
		}
		out[i].used += m.Quantity
	}
	for i, j := range out {
		out[i].usual = j.used == in.usually(j.service, j.assembly, d.Part.Code)
	}
	return out
}

// usually is what a job takes of a part when nobody says otherwise.
func (in Input) usually(service, assembly, part string) (q units.Quantity) {
	oil := ""
	for _, a := range in.Snapshot.Assemblies {
		if a.Code == assembly {
			oil = a.DamperOil
		}
	}
	for _, l := range in.Snapshot.ServiceLines {
		own := l.Part
		if l.OwnPart == "damper oil" {
			own = oil
		}
		if u, ok := ledger.Usual(l); ok && l.Service == service && own == part && (l.OnSite == nil || !*l.OnSite) {
			q += u
		}
	}
	return q
}

// twice finds pairs of jobs that are likely one.
func (in Input) twice(jobs []job, add func(string, string, ...any)) {
	for i, a := range jobs {
		for _, b := range jobs[i+1:] {
			if a.service == b.service && a.assembly == b.assembly && b.at.Sub(a.at) <= doubled {
				add(LoggedTwice, "%s on %s, %s and %s", a.service, a.assembly, a.at.Format("2006-01-02 15:04"), b.at.Format("15:04"))
			}
		}
	}
}

// notLogged finds jobs that a round planned and nobody logged, of a service that the
// difference is a whole number of.
func (in Input) notLogged(d Difference, size units.Quantity, add func(string, string, ...any)) {
	done := map[[2]string]int{}
	for _, x := range in.Snapshot.Done {
		done[[2]string{x.Round, x.Service}] += x.Jobs
	}
	for _, r := range in.Snapshot.Rounds {
		if r.FirstOn > d.On || d.Since != nil && r.LastOn < day.At(*d.Since, in.Snapshot.Zone) {
			continue
		}
		planned := map[string]int{}
		var order []string
		for _, p := range in.Snapshot.PlannedJobs {
			if p.Round != r.Code {
				continue
			}
			if _, ok := planned[p.Service]; !ok {
				order = append(order, p.Service)
			}
			planned[p.Service] += p.Jobs
		}
		for _, service := range order {
			open := planned[service] - done[[2]string{r.Code, service}]
			each := in.each(service, d.Part.Code)
			if open <= 0 || each == 0 || d.Part.Unit == units.PC && (size%each != 0 || size/each > units.Quantity(open)) {
				continue
			}
			add(NotLogged, "%s planned %d %s more than are logged, %s each", r.Code, open, service, units.Say(each, d.Part.Unit))
		}
	}
}

// each is what a job takes of a part where it takes some: fixed, usual or by chance.
func (in Input) each(service, part string) units.Quantity {
	for _, l := range in.Snapshot.ServiceLines {
		if l.Service != service || l.Part != part || l.OnSite != nil && *l.OnSite {
			continue
		}
		if q, ok := ledger.Usual(l); ok {
			return q
		}
		if l.Quantity != nil {
			return *l.Quantity
		}
	}
	return 0
}

// kits says when a kit and what is inside it differ.
func (in Input) kits(d Difference, missing bool, all []Difference, add func(string, string, ...any)) {
	for _, c := range in.Snapshot.KitContents {
		for _, o := range all {
			inside := !missing && c.Part == d.Part.Code && o.Part.Code == c.Kit && o.Quantity < 0
			kit := missing && c.Kit == d.Part.Code && o.Part.Code == c.Part && o.Quantity > 0
			if inside || kit {
				add(KitRobbed, "%s of %s the other way on %s", units.Say(max(o.Quantity, -o.Quantity), o.Part.Unit), o.Part.Code, o.On)
			}
		}
	}
}
