// Package difference answers: where did the book and a count or the scale differ, since
// when, and what usually causes that?
//
// Method: every movement to or from "count difference" is gathered by the count, weighing
// or job that brought it, part and day; what arrived late around a count is taken together
// with it, so that what cancels is no difference. The usual causes are a closed list. Those
// that the log speaks for come first, with what it says: jobs planned and not logged, likely
// doubles, jobs that took just the usual, the opposite difference elsewhere, what was lent
// or received since the part was last counted.
//
// Source: common practice of team stores; DeHoratius and Raman, Management Science 54
// (2008), on how often books are wrong. Limits: it points at records, never at people, and
// proves nothing: somebody who was there chooses the reason.
package difference

import (
	"cmp"
	"slices"
	"time"

	"github.com/google/uuid"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/near"
	"roundkit/planner/place"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

// The usual causes, as reasons to choose from.
const (
	NotLogged     = "job not logged"
	LoggedTwice   = "logged twice"
	OtherAmount   = "other amount used"
	KitRobbed     = "kit robbed"
	Lent          = "lent"
	Spill         = "spill"
	WrongDrawer   = "wrong drawer"
	OpenedAtBase  = "pack opened at base"
	ReceivedShort = "received short"
	CountSlip     = "count slip"
)

// Causes lists them all.
func Causes() []string {
	return []string{NotLogged, LoggedTwice, OtherAmount, KitRobbed, Lent, Spill, WrongDrawer, OpenedAtBase, ReceivedShort, CountSlip}
}

// Cause returns the cause that somebody typed: one of the list, by its words or its
// number in it, or an error that suggests a near one.
func Cause(text string) (string, error) {
	all := Causes()
	for i, c := range all {
		if c == text || text == units.Format(units.Quantity(i+1), units.PC) {
			return c, nil
		}
	}
	return "", near.Miss("usual cause", text, all)
}

// Difference is what one count, weighing or job showed of one part (or tag) on a day.
type Difference struct {
	Record   uuid.UUID // that brought it: a reason names it
	Code     string    // its name in a workbook; "" of what was recorded here
	Kind     string    // count, weighing, job
	At       time.Time
	On       day.Day
	Part     planner.Part
	Place    string // where it was posted; "" where a job used what the book did not have
	Scope    string // the place counted; it is where the difference arose, or below
	Tag      string
	Quantity units.Quantity // above 0: more than the book; below 0: missing
	Since    *time.Time     // last counted or weighed before, as far as it is told
	Small    bool           // within what pouring and scale can tell: no reason is asked for
	Reason   string         // as chosen; "" while nobody has
	Likely   []Likely
}

// Likely is a cause that the log speaks for.
type Likely struct{ Cause, Why string }

// Input is a stretch of the log.
type Input struct {
	Snapshot *planner.Snapshot
	Moves    []stock.Moved // in the order of time
	Counted  []Counted
	Reasons  map[uuid.UUID]string // by the record

	tree *place.Tree
}

// Counted is that a part (or tag) was counted or weighed: a record that fixed the book.
type Counted struct {
	Record            uuid.UUID
	Code              string // its name in a workbook; "" of what was recorded here
	At                time.Time
	Place, Tag        string
	Part              string
	Quantity, Book    units.Quantity
	Notes             string
	KnownBook, Undone bool // the book's figure is kept; the count was taken back
}

// Find returns the differences in the order of time, with what the log says of each. It
// returns an error where the places are no tree.
func Find(in Input) ([]Difference, error) {
	g := gathered{Input: in, counts: map[string]Counted{}, at: map[key]int{}, of: map[shape]key{}}
	for _, c := range in.Counted {
		g.counts[c.Record.String()] = c
		if c.Code != "" {
			g.counts[c.Code] = c
		}
	}
	for _, m := range in.Moves {
		g.add(m)
	}
	out := slices.DeleteFunc(g.out, func(d Difference) bool { return d.Quantity == 0 })
	tree, err := place.New(in.Snapshot.Places, in.Snapshot.Assemblies)
	if err != nil {
		return nil, err
	}
	in.tree = tree
	for i := range out {
		d := &out[i]
		d.Since = in.before(*d)
		d.Small = d.Part.Unit != units.PC && max(d.Quantity, -d.Quantity) <= small
	}
	for i := range out {
		out[i].Likely = in.likely(out[i], out)
	}
	return out, nil
}

// small is 10 ml or 10 g in base units. Source: common practice, a reason is asked for only
// beyond about 10 ml or 1 % of a litre bottle.
const small = 10_000

// key is what movements are taken together by.
type key struct {
	record    uuid.UUID
	part, tag string
}

// shape is a movement as an undo would reverse it.
type shape struct {
	entry              uuid.UUID
	lot, tag, from, to string
	q                  units.Quantity
}

type gathered struct {
	Input
	counts map[string]Counted
	at     map[key]int
	of     map[shape]key
	out    []Difference
}

// add takes a movement to or from "count difference" to what it belongs to.
func (g *gathered) add(m stock.Moved) {
	q, end := m.Quantity, m.To
	switch ledger.CountDifference {
	case m.From:
	case m.To:
		q, end = -q, m.From
	default:
		return
	}
	part, err := g.Snapshot.Part(m.Part)
	if err != nil {
		return // no part of the catalogue any more
	}
	k := key{m.Entry, m.Part, m.Tag}
	c, counted := g.counts[m.Reference]
	if counted {
		k.record = c.Record
	}
	if m.Undo {
		// What is taken back cancels what it was; taken back over a count it settles the
		// count's difference.
		was, ok := g.of[shape{m.Undoes, m.Lot, m.Tag, m.To, m.From, m.Quantity}]
		switch last := g.lastCount(m); {
		case ok:
			k = was
		case last != nil:
			k.record, c = last.Record, *last
		}
	}
	g.of[shape{m.Entry, m.Lot, m.Tag, m.From, m.To, m.Quantity}] = k
	i, ok := g.at[k]
	if !ok {
		i = len(g.out)
		g.at[k] = i
		g.out = append(g.out, Difference{Record: k.record, Code: c.Code, Kind: m.Kind, At: m.At, On: day.At(m.At, g.Snapshot.Zone), Part: part, Tag: m.Tag, Scope: c.Place,
			Reason: cmp.Or(g.Reasons[k.record], g.Reasons[m.Entry], c.Notes)})
	}
	g.out[i].Quantity += q
	if end != ledger.Used && g.out[i].Place == "" {
		g.out[i].Place = end
	}
	if g.out[i].Scope == "" {
		g.out[i].Scope = g.out[i].Place
	}
}

// lastCount is the last count of a movement's part before it.
func (in Input) lastCount(m stock.Moved) (last *Counted) {
	for i, c := range in.Counted {
		if !c.Undone && c.Part == m.Part && c.At.Before(m.At) && (c.Tag == "" || c.Tag == m.Tag) && (last == nil || c.At.After(last.At)) {
			last = &in.Counted[i]
		}
	}
	return last
}

// before is when the part was last counted, or the bottle weighed, before the difference.
func (in Input) before(d Difference) *time.Time {
	var last *time.Time
	for _, c := range in.Counted {
		if c.Undone || c.Record == d.Record || c.Part != d.Part.Code || c.Tag != "" && c.Tag != d.Tag || !c.At.Before(d.At) ||
			c.Tag == "" && d.Place != "" && !in.tree.Within(d.Place, c.Place) {
			continue
		}
		if last == nil || c.At.After(*last) {
			last = &c.At
		}
	}
	return last
}
