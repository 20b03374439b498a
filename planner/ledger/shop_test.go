package ledger_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// shop is a small store: what the database gives the ledger for each record, and keeps of
// what comes of it, without a database.
type shop struct {
	book planner.Book
	held []shopEntry // in the order of arrival
}

type shopEntry struct {
	ledger.Entry
	seq    int64
	undone bool
}

// act is one thing that a person does.
type act struct {
	at        time.Time
	kind      string
	reference string
	job       *planner.Job
	parts     []planner.JobPart
	movements []planner.Movement
	count     *planner.Count
	weighing  *planner.Weighing
	undo      *shopEntry
}

// id makes the same ids for the same case on every machine.
func (s *shop) id() uuid.UUID {
	return uuid.NewSHA1(uuid.Nil, fmt.Append(nil, "record ", len(s.held)))
}

// take posts an act as a person's and keeps what comes of it.
func (s *shop) take(a act) (ledger.Result, []ledger.Problem) {
	id := s.id()
	in := s.input(a)
	b := in.Book
	switch {
	case a.job != nil:
		j := *a.job
		j.Code, j.DoneAt = id.String(), a.at
		b.Jobs = []planner.Job{j}
		for _, p := range a.parts {
			p.Job = j.Code
			b.JobParts = append(b.JobParts, p)
		}
	case a.count != nil:
		c := *a.count
		c.Code, c.At = id.String(), a.at
		b.Counts = []planner.Count{c}
	case a.weighing != nil:
		w := *a.weighing
		w.Code, w.At = id.String(), a.at
		b.Weighings = []planner.Weighing{w}
	case a.undo != nil:
		in.Undo = s.undone(id, a)
	}
	for i, m := range a.movements {
		m.Code = id.String()
		if i > 0 {
			m.Code = fmt.Sprintf("%s/%d", id, i+1)
		}
		m.At, m.Reason, m.Reference = a.at, a.kind, a.reference
		b.Movements = append(b.Movements, m)
	}
	out, problems := ledger.Post(in)
	if len(problems) > 0 {
		return out, problems
	}
	for _, e := range out.Entries {
		s.keep(e)
	}
	for i, t := range s.book.Tags {
		if on, opened := out.Opened[t.Code]; opened {
			s.book.Tags[i].OpenedOn = &on
		}
	}
	return out, nil
}

func (s *shop) keep(e ledger.Entry) {
	s.held = append(s.held, shopEntry{Entry: e, seq: int64(len(s.held) + 1)})
	for i := range s.held {
		s.held[i].undone = s.held[i].undone || e.Undoes.Valid && s.held[i].ID == e.Undoes.UUID
	}
}

// input is what the ledger is told beside the record: the balances at its time, what was
// moved and counted later, and the undos that a count may lie before.
func (s *shop) input(a act) ledger.Input {
	b := s.book
	in := ledger.Input{Book: &b, Zone: time.UTC, Live: true, Opening: map[ledger.Key]units.Quantity{}, LastUsed: map[[2]string]string{}, Packed: map[string][]string{}}
	since, counting := a.at, a.count != nil || a.weighing != nil
	if u := a.undo; u != nil {
		counting = u.Count != nil || u.Weighing != nil
		if u.At.Before(since) {
			since = u.At
		}
	}
	from, countsFrom := a.at, since
	if counting {
		from = since
		for _, e := range s.held {
			if e.Undoes.Valid && !e.At.Before(since) {
				if was := s.find(e.Undoes.UUID); was.At.Before(countsFrom) {
					countsFrom = was.At
				}
			}
		}
	}
	kept := ledger.OutsideOf(&b)
	lastUse := map[[2]string]time.Time{}
	for _, e := range s.inTime() {
		for _, m := range e.Moves {
			if !e.At.After(from) {
				in.Opening[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.From}] -= m.Quantity
				in.Opening[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.To}] += m.Quantity
			} else {
				in.Past.Moves = append(in.Past.Moves, ledger.PastMove{At: e.At, Lot: m.Lot, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity})
			}
			if at := [2]string{m.From, s.part(m.Lot)}; m.To == ledger.Used && !kept[m.From] && !e.At.Before(lastUse[at]) {
				in.LastUsed[at], lastUse[at] = m.Lot, e.At
			}
			if e.Kind == "pack" && !e.At.After(a.at) && !e.undone && !slices.Contains(in.Packed[e.Reference], m.To) {
				in.Packed[e.Reference] = append(in.Packed[e.Reference], m.To)
			}
		}
		if e.undone || a.undo != nil && a.undo.ID == e.ID || e.At.Before(countsFrom) || !counting && a.undo == nil && !e.At.After(a.at) {
			continue
		}
		switch {
		case e.Count != nil:
			in.Past.Counts = append(in.Past.Counts, ledger.PastCount{At: e.At, ID: e.ID, Seq: e.seq, Place: e.Count.Place, Part: e.Count.Part,
				Lot: e.Count.Lot, Tag: e.Count.Tag, Exact: e.Count.Exact})
		case e.Weighing != nil:
			t := s.tag(e.Weighing.Tag)
			in.Past.Counts = append(in.Past.Counts, ledger.PastCount{At: e.At, ID: e.ID, Seq: e.seq, Part: t.Part, Lot: t.Lot, Tag: t.Code})
		}
	}
	if counting {
		in.Crossed = s.crossed(since, kept)
	}
	return in
}

// crossed are the undos from a time on of what was done before it.
func (s *shop) crossed(since time.Time, outside map[string]bool) (out []ledger.Crossed) {
	for _, u := range s.held {
		if !u.Undoes.Valid || u.Kind != "undo" || u.At.Before(since) {
			continue
		}
		was := s.find(u.Undoes.UUID)
		if was.At.After(since) {
			continue
		}
		done, net := netOf(was.Moves), netOf(append(slices.Clone(was.Moves), u.Moves...))
		for _, e := range s.held {
			if e.Kind == "count" && e.Reference == u.ID.String() {
				for k, q := range netOf(e.Moves) {
					net[k] += q
				}
			}
		}
		for _, k := range inOrder(done) {
			if !outside[k.Place] && done[k] != 0 {
				out = append(out, ledger.Crossed{Undo: u.ID, UndoSeq: u.seq, DoneSeq: was.seq, DoneAt: was.At, UndoneAt: u.At, Key: k, Done: done[k], Net: net[k]})
			}
		}
	}
	return out
}

// undone is a record with what was booked because of it.
func (s *shop) undone(id uuid.UUID, a act) *ledger.Undo {
	u := &ledger.Undo{ID: id, Entry: a.undo.ID, DoneAt: a.undo.At, DoneSeq: a.undo.seq, At: a.at, Moves: a.undo.Moves}
	for _, e := range s.held {
		if (e.Kind == "count" || e.Kind == "weighing") && e.Reference == a.undo.ID.String() && e.Count == nil && e.Weighing == nil && !e.undone {
			u.Also = append(u.Also, ledger.Undo{Entry: e.ID, DoneAt: e.At, DoneSeq: e.seq, Moves: e.Moves})
		}
	}
	return u
}

func (s *shop) inTime() []shopEntry {
	all := slices.Clone(s.held)
	slices.SortStableFunc(all, func(a, b shopEntry) int { return a.At.Compare(b.At) })
	return all
}

func (s *shop) find(id uuid.UUID) *shopEntry {
	for i := range s.held {
		if s.held[i].ID == id {
			return &s.held[i]
		}
	}
	return nil
}

func (s *shop) part(lot string) string { return s.lot(lot).Part }

func (s *shop) lot(code string) planner.Lot {
	i := slices.IndexFunc(s.book.Lots, func(l planner.Lot) bool { return l.Code == code })
	if i < 0 {
		return planner.Lot{}
	}
	return s.book.Lots[i]
}

func (s *shop) tag(code string) planner.Tag {
	i := slices.IndexFunc(s.book.Tags, func(t planner.Tag) bool { return t.Code == code })
	if i < 0 {
		return planner.Tag{}
	}
	return s.book.Tags[i]
}

// sound: every lot's places sum to zero, none of ours is below nothing, and a tag is in one place.
func (s *shop) sound(t *testing.T, name string) {
	t.Helper()
	outside, perLot, places := ledger.OutsideOf(&s.book), map[string]units.Quantity{}, map[string]int{}
	for k, q := range s.balances() {
		perLot[k.Lot] += q
		if !outside[k.Place] {
			require.GreaterOrEqual(t, int64(q), int64(0), "%s: %v", name, k)
			if k.Tag != "" && q > 0 {
				places[k.Tag]++
			}
		}
	}
	for lot, q := range perLot {
		require.Zero(t, q, "%s: lot %s", name, lot)
	}
	for tag, n := range places {
		require.Equal(t, 1, n, "%s: %s is in %d places", name, tag, n)
	}
}

func (s *shop) balances() map[ledger.Key]units.Quantity {
	all := map[ledger.Key]units.Quantity{}
	for _, e := range s.held {
		for k, q := range netOf(e.Moves) {
			all[k] += q
		}
	}
	return all
}

func netOf(moves []ledger.Move) map[ledger.Key]units.Quantity {
	net := map[ledger.Key]units.Quantity{}
	for _, m := range moves {
		net[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.From}] -= m.Quantity
		net[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.To}] += m.Quantity
	}
	return net
}
