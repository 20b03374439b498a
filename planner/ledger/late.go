package ledger

import (
	"fmt"
	"slices"
	"time"

	"roundkit/planner/day"
	"roundkit/planner/units"
)

// comesLate reports whether the ledger already holds something behind the record in hand.
func (p *poster) comesLate() bool { return len(p.moves) > 0 || len(p.counts) > 0 }

// draw takes stock for a record that comes late: in the order of its own minute, but of each
// lot no more than that can still give now. What a place held then decides, not the one lot:
// the rest comes from the part's other lots there.
type draw struct {
	p     *poster
	to    string
	left  map[Key]units.Quantity
	taken []Candidate
}

func (p *poster) drawTo(to string) *draw {
	return &draw{p: p, to: to, left: map[Key]units.Quantity{}}
}

// from takes of one place's candidates, first what each of them held at the record's minute,
// and returns what it could not take.
func (d *draw) from(place []Candidate, want units.Quantity) units.Quantity {
	for _, c := range place {
		want -= d.take(c.Key, min(want, c.Quantity))
	}
	for _, c := range place {
		want -= d.take(c.Key, want)
	}
	return want
}

func (d *draw) take(k Key, q units.Quantity) units.Quantity {
	left, known := d.left[k]
	if !known {
		left = d.p.room(k, d.to)
	}
	q = max(0, min(q, left))
	d.left[k] = left - q
	if q == 0 {
		return 0
	}
	for i, c := range d.taken {
		if c.Key == k {
			d.taken[i].Quantity += q
			return q
		}
	}
	d.taken = append(d.taken, Candidate{k, q})
	return q
}

// of is what was taken of a key so far.
func (d *draw) of(k Key) units.Quantity {
	for _, c := range d.taken {
		if c.Key == k {
			return c.Quantity
		}
	}
	return 0
}

// room is how much of a key a record in hand can take: what is there now, so that nothing
// stands below nothing. Where a later count saw it go, now is that count's beginning: from
// there on the count says what is there.
func (p *poster) room(k Key, to string) units.Quantity {
	fence := p.fence(k, to)
	left := p.book.at[k]
	for _, m := range p.moves {
		if fence != nil && !m.At.Before(fence.At) {
			break
		}
		if m.Lot != k.Lot || m.Tag != k.Tag {
			continue
		}
		switch k.Place {
		case m.From:
			left -= m.Quantity
		case m.To:
			left += m.Quantity
		}
	}
	return left
}

// fence is the first later count that looked at the key and not at where it goes: one that
// looked at both saw nothing go, unless another has taken back there what came.
func (p *poster) fence(k Key, to string) *PastCount {
	arrived := p.book.kept(to)
	for i, c := range p.counts {
		saw, sawArrive := p.inScope(c, k), arrived && p.inScope(c, Key{k.Lot, k.Tag, to})
		if saw && !sawArrive {
			return &p.counts[i]
		}
		arrived = arrived && (saw || !sawArrive)
	}
	return nil
}

// keysOf are the keys of a part in the book, for a late record with those that only later
// movements know.
func (p *poster) keysOf(part string) []Key {
	keys := p.book.ofPart[part]
	seen := map[Key]bool{}
	for _, m := range p.moves {
		if k := (Key{m.Lot, m.Tag, m.To}); p.Lots[m.Lot].Part == part && p.book.kept(m.To) && !seen[k] {
			seen[k] = true
			if !slices.Contains(keys, k) {
				keys = append(slices.Clip(keys), k)
			}
		}
	}
	return keys
}

// whyFound says why what was used has to be found, where there is more to say than that it
// was not in the book: it was counted since, or has gone since.
func (p *poster) whyFound(places [][]Candidate, where string, at time.Time, want units.Quantity) string {
	held := units.Quantity(0)
	for _, c := range slices.Concat(places...) {
		held += c.Quantity
	}
	for _, c := range p.counts {
		if !slices.ContainsFunc(slices.Concat(places...), func(x Candidate) bool { return p.inScope(c, x.Key) }) {
			continue
		}
		then := c.At.In(p.in.Zone).Format("15:04")
		if day.At(c.At, p.in.Zone) != day.At(at, p.in.Zone) {
			then = c.At.In(p.in.Zone).Format("2006-01-02 15:04")
		}
		return "taken as found: counted at " + then + ", after this"
	}
	if held >= want {
		return fmt.Sprintf("taken as found: what lay in %s then has gone since, count it", where)
	}
	return ""
}
