package cameback

import (
	"slices"

	"roundkit/planner/calendar"
	"roundkit/planner/ledger"
	"roundkit/planner/papers"
	"roundkit/planner/place"
	"roundkit/planner/stock"
	"roundkit/planner/transport"
	"roundkit/planner/units"
)

// account gathers the balance: what is with the trip changes only by movements over its
// edge, and the far end says why.
type account struct {
	Input
	tree   *place.Tree
	roots  []string
	rides  map[string]bool // forks and shocks that travel
	rounds map[string]bool
	parts  map[string]*Part
	things map[thing]*ride
	order  []thing
}

// thing is one that is followed by itself: a tag, or a part without tags.
type thing struct{ part, tag string }

// ride is how much of a thing rode, and how much of that ended elsewhere.
type ride struct {
	along units.Quantity
	ended map[string]units.Quantity
}

func newAccount(in Input) *account {
	s := in.Outlook.Snapshot
	a := &account{Input: in, tree: in.Outlook.Places, roots: place.Roots(in.Trip.Trip, s.Packed), rides: map[string]bool{}, rounds: map[string]bool{},
		parts: map[string]*Part{}, things: map[thing]*ride{}}
	for _, x := range s.Assemblies {
		a.rides[x.Code] = calendar.Travels(x, in.Trip)
	}
	for _, r := range in.Trip.Rounds {
		a.rounds[r.Code] = true
	}
	return a
}

// with reports whether a place is with the trip.
func (a *account) with(code string) bool {
	return a.rides[code] || slices.ContainsFunc(a.roots, func(root string) bool { return a.tree.Within(code, root) })
}

func (a *account) of(code string) *Part {
	if p, ok := a.parts[code]; ok {
		return p
	}
	p := &Part{}
	if part, err := a.Outlook.Part(code); err == nil {
		p.Part, p.ComesHome = part, transport.ComesHome(part)
	}
	a.parts[code] = p
	return p
}

func (a *account) thing(part, tag string) *ride {
	k := thing{part, tag}
	if r, ok := a.things[k]; ok {
		return r
	}
	r := &ride{ended: map[string]units.Quantity{}}
	a.things[k] = r
	a.order = append(a.order, k)
	return r
}

// move takes a movement into the balance; it reports whether the trip has to do with it.
func (a *account) move(m stock.Moved) bool {
	from, to, q := a.with(m.From), a.with(m.To), m.Quantity
	switch {
	case from && to:
		return false
	case from:
		a.leaves(m, m.To, q)
	case to:
		a.leaves(m, m.From, -q)
	default:
		return a.beyond(m)
	}
	return true
}

// leaves books a quantity that went over the edge to a place beyond it; below 0 it came
// from there.
func (a *account) leaves(m stock.Moved, beyond string, q units.Quantity) {
	p, t := a.of(m.Part), a.thing(m.Part, m.Tag)
	switch {
	case beyond == ledger.Used:
		p.Used += q
	case beyond == ledger.Scrap:
		p.Scrapped += q
	case beyond == ledger.OpenedKit:
		p.Opened += q
	case beyond == ledger.CountDifference:
		p.Difference -= q
	case a.tree.Kind(beyond) == place.Lent:
		p.Lent += q
	case q > 0 && m.Kind != "pack" && beyond != ledger.Relabelled, q < 0 && m.Undo && m.Kind == "return":
		p.Unpacked += q
		return // it is home
	default: // packed, joined, or a correction of what was packed
		p.Along -= q
		t.along -= q
		return
	}
	t.ended[beyond] += q
}

// beyond books what the trip has to do with though it did not pass its edge: what a job of
// the trip used and the book did not have, and what comes back from being lent.
func (a *account) beyond(m stock.Moved) bool {
	p, t := a.of(m.Part), a.thing(m.Part, m.Tag)
	switch {
	case a.rounds[m.Round] && m.From == ledger.CountDifference && m.To == ledger.Used:
		p.Used, p.Difference = p.Used+m.Quantity, p.Difference+m.Quantity
	case a.rounds[m.Round] && m.From == ledger.Used && m.To == ledger.CountDifference:
		p.Used, p.Difference = p.Used-m.Quantity, p.Difference-m.Quantity
	case t.ended[m.From] > 0 && a.tree.Kind(m.From) == place.Lent:
		q := min(m.Quantity, t.ended[m.From])
		p.Lent -= q
		t.ended[m.From] -= q
		switch {
		case m.To == ledger.Scrap:
			p.Scrapped += q
		case m.To == ledger.CountDifference:
			p.Difference -= q
		default:
			p.Unpacked += q
			return true
		}
		t.ended[m.To] += q
	default:
		return false
	}
	return true
}

// listed follows the goods that had to come home.
func (a *account) listed(r *Result) {
	due := map[thing]*Listed{}
	for _, h := range a.Outlook.Snapshot.Stock {
		if h.DueBackOn != nil {
			due[thing{h.Part, h.Tag}] = &Listed{DueOn: h.DueBackOn, Overdue: *h.DueBackOn < r.AsOf}
		}
	}
	for _, k := range a.order {
		p, t := a.of(k.part), a.things[k]
		if !p.ComesHome || t.along <= 0 {
			continue
		}
		r.ListedCount++
		back := true
		for _, end := range sorted(t.ended) {
			q := t.ended[end]
			if q <= 0 {
				continue
			}
			back = false
			l := Listed{Part: p.Part, Tag: k.tag, Quantity: q, Where: end}
			switch {
			case a.tree.Kind(end) == place.Lent:
				l.Say = "ask for it back"
				if d := due[k]; d != nil {
					l.DueOn, l.Overdue = d.DueOn, d.Overdue
				}
			case end == ledger.Scrap:
				l.Say = "if it was on a customs list, bring the pieces"
			case end == ledger.Used:
				l.Say = "if it was on a customs list, tell the agent: the list must come home whole"
			case end == ledger.CountDifference:
				l.Say = "look for it: nobody knows where it is"
			}
			r.Listed = append(r.Listed, l)
		}
		if back {
			r.ListedBack++
		}
	}
}

// returned is what came back as the lists know it: things that come home one by one, the rest
// by the part. What is fitted now is left out, the lists look for that themselves.
func (a *account) returned(parts []Part) (out []papers.Returned) {
	fitted := map[thing]units.Quantity{}
	for _, h := range a.Outlook.Snapshot.Stock {
		if a.rides[h.Place] {
			fitted[thing{h.Part, h.Tag}] += h.Quantity
		}
	}
	for _, k := range a.order {
		t := a.things[k]
		if q := t.along - fitted[k]; a.of(k.part).ComesHome {
			for _, ended := range t.ended {
				q -= ended
			}
			if q > 0 {
				out = append(out, papers.Returned{Part: k.part, Tag: k.tag, Quantity: q})
			}
		}
	}
	for _, p := range parts {
		if q := p.Back(); !p.ComesHome && q > 0 {
			out = append(out, papers.Returned{Part: p.Code, Quantity: q})
		}
	}
	return out
}

func sorted(m map[string]units.Quantity) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
