package db

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"
	"time"

	"github.com/google/uuid"

	"roundkit/db/sqlcgen"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// Jobs that reach one program at the same time are posted one after the other in memory
// and written together: one call and one commit for all of them, and no lock is held while
// anything is thought about. It is the usual group commit, one level up. What does not fit
// (a late record, one that is not a job, stock that somebody else keeps changing) is
// recorded by itself, under locks: record in record.go.

// errAlone asks to record a request by itself.
var errAlone = errors.New("to be recorded by itself")

// waiting is a request in the queue, or in a group that is being written.
type waiting struct {
	k      *known
	r      Request
	hash   []byte
	parts  []string
	group  *group // nil: still in the queue
	gone   bool   // answered, or given up
	answer chan answer

	answered bool // known to its writer alone
}

type answer struct {
	done Recorded
	err  error
}

// group is what is written in one call; it is given up when nobody waits for it any more.
type group struct {
	cancel context.CancelFunc
	alive  int // members that are not gone
}

// queue is what waits to be written, and what is being written: groups that share no part.
type queue struct {
	mu      sync.Mutex
	waiting []*waiting
	writers int
	ids     map[uuid.UUID]bool // being written
	parts   map[string]bool    // likewise
}

const (
	atOnce  = 8 // records written in one call at most
	writers = 2 // groups written at the same time at most
)

// fits reports whether a request may be written with others: a job that draws on no case
// packed for a trip. Whether it is late is seen when it is posted.
func (k *known) fits(r Request) bool {
	return r.Kind == "job" && r.Job != nil && r.Undo == nil && r.Count == nil && r.Weighing == nil && r.CaseMove == nil &&
		len(r.Lots) == 0 && len(r.Tags) == 0 && len(r.Movements) == 0 && !r.DryRun && k.byAir(r) == ""
}

// together records a request with whatever else is waiting. errAlone: nothing was done.
func (s *Store) together(ctx context.Context, k *known, r Request, hash []byte) (Recorded, error) {
	w := &waiting{k: k, r: r, hash: hash, parts: k.parts(r), answer: make(chan answer, 1)}
	s.queue.mu.Lock()
	if s.queue.ids == nil {
		s.queue.ids, s.queue.parts = map[uuid.UUID]bool{}, map[string]bool{}
	}
	s.queue.waiting = append(s.queue.waiting, w)
	if s.queue.writers < writers {
		s.queue.writers++
		go s.writeQueue()
	}
	s.queue.mu.Unlock()
	select {
	case a := <-w.answer:
		return a.done, a.err
	case <-ctx.Done():
	}
	s.queue.mu.Lock()
	if w.group == nil {
		s.queue.waiting = slices.DeleteFunc(s.queue.waiting, func(x *waiting) bool { return x == w })
		s.queue.mu.Unlock()
		return Recorded{}, ctx.Err()
	}
	s.queue.mu.Unlock()
	s.leave(w)
	a := <-w.answer // others wait for the group too: it takes no longer than they are patient
	if errors.Is(a.err, context.Canceled) {
		a.err = ctx.Err() // the group was given up because its members were
	}
	return a.done, a.err
}

// leave gives the group up with the last who waits for it.
func (s *Store) leave(w *waiting) {
	s.queue.mu.Lock()
	defer s.queue.mu.Unlock()
	if w.gone {
		return
	}
	w.gone = true
	if w.group.alive--; w.group.alive == 0 {
		w.group.cancel()
	}
}

func (s *Store) reply(w *waiting, done Recorded, err error) {
	w.answered = true
	w.answer <- answer{done, err}
	s.leave(w)
}

// writeQueue writes group after group until nothing waits that may be written now.
func (s *Store) writeQueue() {
	var members []*waiting
	for {
		ctx, cancel := context.WithCancel(context.Background())
		members = s.nextGroup(members, cancel)
		if len(members) == 0 {
			cancel()
			return
		}
		s.writeGroup(ctx, slices.Clone(members))
		cancel()
	}
}

// nextGroup takes from the queue what can be written in one call, when the last group of
// this writer is done: of one season and plan, and touching nothing that is being written
// or that somebody waits for who came earlier. With nothing to take the writer ends.
func (s *Store) nextGroup(last []*waiting, cancel context.CancelFunc) (members []*waiting) {
	q := &s.queue
	q.mu.Lock()
	defer q.mu.Unlock()
	for _, w := range last {
		delete(q.ids, w.r.ID)
		for _, p := range w.parts {
			delete(q.parts, p)
		}
	}
	g := &group{cancel: cancel}
	var later []*waiting
	ids, parts := maps.Clone(q.ids), maps.Clone(q.parts) // being written, or passed over
	for _, w := range q.waiting {
		if len(members) < atOnce && (len(members) == 0 || w.k == members[0].k) && !ids[w.r.ID] &&
			!slices.ContainsFunc(w.parts, func(p string) bool { return parts[p] }) {
			w.group = g
			members = append(members, w)
			continue
		}
		later, ids[w.r.ID] = append(later, w), true
		for _, p := range w.parts {
			parts[p] = true
		}
	}
	for _, w := range members {
		q.ids[w.r.ID] = true
		for _, p := range w.parts {
			q.parts[p] = true
		}
	}
	q.waiting, g.alive = later, len(members)
	if len(members) == 0 {
		q.writers--
	}
	return members
}

// writeGroup writes a group and answers each of its members.
func (s *Store) writeGroup(ctx context.Context, members []*waiting) {
	const tries = 3
	k := members[0].k
	err := errAlone
	for range tries {
		if err = s.tryGroup(ctx, k, &members); !errors.Is(err, ErrConflict) {
			break
		}
		for _, w := range members { // somebody else was there: look again
			k.shelves.drop(w.parts)
		}
	}
	switch {
	case errors.Is(err, ErrRefused) && len(members) > 1: // one of them: each in a call of its own
		for _, w := range members {
			s.writeGroup(ctx, []*waiting{w})
		}
		return
	case errors.Is(err, ErrConflict): // somebody else always is: under locks
		err = errAlone
	}
	for _, w := range members {
		s.reply(w, Recorded{}, err)
	}
}

// tryGroup posts the members, writes what comes of it, and answers those it has an answer
// for; these are no longer members. No member left is success.
func (s *Store) tryGroup(ctx context.Context, k *known, members *[]*waiting) error {
	for len(*members) > 0 {
		var parts []string
		for _, w := range *members {
			parts = append(parts, w.parts...)
		}
		slices.Sort(parts)
		parts = slices.Compact(parts)
		if err := k.fill(ctx, sqlcgen.New(s.pool), parts); err != nil {
			return err
		}
		p := poster{k: k, now: time.Now().Add(k.ahead), changed: map[string]*shelf{}}
		all := map[*waiting]Recorded{}
		var ids []uuid.UUID
		for _, w := range *members {
			if slices.Contains(ids, w.r.ID) { // sent twice at once: the first tells, then this one is a repeat
				continue
			}
			done, err := p.post(w.r, w.parts)
			if err != nil {
				s.reply(w, Recorded{}, err)
				continue
			}
			all[w] = done
			ids = append(ids, w.r.ID)
		}
		*members = slices.DeleteFunc(*members, func(w *waiting) bool { return w.answered })
		if len(all) == 0 {
			continue
		}
		repeats, doubles, err := p.write(ctx, sqlcgen.New(s.pool), *members, ids)
		if err != nil {
			return err
		}
		for _, w := range *members {
			done, written := all[w]
			switch again, is := repeats[w.r.ID]; {
			case is && again.hash != hex.EncodeToString(w.hash):
				s.reply(w, Recorded{}, fmt.Errorf("%w: id %s %w", ErrRefused, w.r.ID, errTaken))
			case is:
				s.reply(w, again.done, nil)
			case written && len(repeats) == 0: // with repeats nothing is written: once more, without them
				done.Doubles = doubles[w.r.ID]
				s.reply(w, done, nil)
			}
		}
		*members = slices.DeleteFunc(*members, func(w *waiting) bool { return w.answered })
	}
	return nil
}

// poster posts one request after the other on shelves of its own, made from those in memory.
type poster struct {
	k       *known
	now     time.Time
	changed map[string]*shelf // by part
	entries []ledger.Entry
	opened  []openedRow
}

func (p *poster) shelf(part string) *shelf {
	if s := p.changed[part]; s != nil {
		return s
	}
	s := p.k.shelves.of(part)
	if s != nil {
		s = s.clone()
		p.changed[part] = s
	}
	return s
}

// post lets the ledger decide what a request does, on what those before it have left.
func (p *poster) post(r Request, parts []string) (done Recorded, err error) {
	if r.At.IsZero() {
		r.At = p.now
	}
	r.At = r.At.Truncate(time.Microsecond) // as the database keeps it
	if r.At.Before(p.k.movedAt) {
		return done, errAlone
	}
	for _, part := range parts {
		if s := p.shelf(part); s == nil || r.At.Before(s.lastAt) { // unknown, or late: what came later counts
			return done, errAlone
		}
	}
	input := p.k.input(p.k.factsOf(parts, p.shelf), r)
	result, problems := ledger.Post(input)
	if len(problems) > 0 {
		return done, refusal(problems)
	}
	entries := withAct(result.Entries, r)
	done = Recorded{ID: r.ID, Entries: entries, Parts: map[string]string{}, Warnings: result.Warnings}
	for _, l := range input.Book.Lots {
		done.Parts[l.Code] = l.Part
	}
	for _, e := range entries {
		for _, m := range e.Moves {
			p.shelf(done.Parts[m.Lot]).take(e, m, p.k.kept)
		}
	}
	for _, part := range parts {
		s := p.shelf(part)
		s.lastAt = r.At
		for i, t := range s.tags {
			if on, ok := result.Opened[t.Code]; ok && t.OpenedOn == nil {
				s.tags[i].OpenedOn = &on
				p.opened = append(p.opened, openedRow{Tag: t.Code, OpenedOn: on})
			}
		}
	}
	p.entries = append(p.entries, entries...)
	return done, nil
}

// repeat is what the database says of a request that is recorded already.
type repeat struct {
	hash string
	done Recorded
}

// write sends what was posted; with repeats nothing was written.
func (p *poster) write(ctx context.Context, q *sqlcgen.Queries, members []*waiting, ids []uuid.UUID) (repeats map[uuid.UUID]repeat, doubles map[uuid.UUID][]Double, err error) {
	defer wrap(&err, "record")
	k := p.k
	hashes := map[uuid.UUID][]byte{}
	params := sqlcgen.RecordTogetherParams{SeasonID: k.season.ID, Plan: k.version, Ids: ids}
	for _, w := range slices.Backward(members) { // of two with one id the first
		hashes[w.r.ID] = w.hash
	}
	touched := make([]*shelf, 0, len(p.changed))
	for _, s := range p.changed {
		touched = append(touched, s)
	}
	slices.SortFunc(touched, func(a, b *shelf) int { return int(a.id) - int(b.id) })
	for _, s := range touched {
		params.PartIds, params.Versions, params.LastAt = append(params.PartIds, s.id), append(params.Versions, s.version), append(params.LastAt, s.lastAt)
	}
	rows := rowsOf(p.entries)
	for i, e := range rows.Entries {
		if hash, ok := hashes[e.ID]; ok {
			rows.Entries[i].Claimed, rows.Entries[i].RequestHash = true, hex.EncodeToString(hash)
		}
	}
	rows.Opened = append(rows.Opened, p.opened...)
	texts, err := rows.params(k.season.ID)
	if err != nil {
		return nil, nil, err
	}
	params.Entries, params.Movements, params.Balances, params.Jobs, params.Opened = texts.Entries, texts.Movements, texts.Balances, texts.Jobs, texts.Opened
	text, err := q.RecordTogether(ctx, params)
	if err != nil {
		return nil, nil, err
	}
	var said struct {
		Stale   bool                   `json:"stale"`
		Repeats []repeatFact           `json:"repeats"`
		Doubles map[uuid.UUID][]Double `json:"doubles"`
	}
	if err := json.Unmarshal(text, &said); err != nil {
		return nil, nil, fmt.Errorf("read the answer: %w", err)
	}
	switch {
	case said.Stale:
		return nil, nil, errStale
	case len(said.Repeats) > 0:
		repeats = map[uuid.UUID]repeat{}
		for _, f := range said.Repeats {
			repeats[f.ID] = repeat{f.Hash, f.recorded()}
		}
		return repeats, nil, nil
	}
	for part, s := range p.changed { // the database's, as of this record
		s.version++
		k.shelves.put(part, s)
	}
	return nil, said.Doubles, nil
}

// repeatFact is a record that is there already.
type repeatFact struct {
	ID     uuid.UUID `json:"id"`
	Hash   string    `json:"hash"`
	Kind   string    `json:"kind"`
	Person string    `json:"person"`
	At     time.Time `json:"at"`
	Moves  []struct {
		Part     string         `json:"part"`
		Lot      string         `json:"lot"`
		Tag      string         `json:"tag"`
		From     string         `json:"from"`
		To       string         `json:"to"`
		Quantity units.Quantity `json:"quantity"`
	} `json:"moves"`
}

func (f repeatFact) recorded() Recorded {
	entry := ledger.Entry{ID: f.ID, Kind: f.Kind, Person: f.Person, At: f.At}
	parts := map[string]string{}
	for _, m := range f.Moves {
		parts[m.Lot] = m.Part
		entry.Moves = append(entry.Moves, ledger.Move{Lot: m.Lot, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity})
	}
	return Recorded{ID: f.ID, Repeat: true, Parts: parts, Entries: []ledger.Entry{entry}}
}
