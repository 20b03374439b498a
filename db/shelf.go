package db

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"sync"
	"time"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// shelf is the stock of one part as of a version of it: what a choice of stock is made
// from. One that others may see is never changed.
type shelf struct {
	id      int32
	version int64
	lastAt  time.Time // nothing of the part happened later
	lots    []planner.Lot
	tags    []planner.Tag
	held    map[ledger.Key]held // of our places
}

type held struct {
	quantity units.Quantity
	usedAt   *time.Time
}

// clone is a shelf that may be changed.
func (s *shelf) clone() *shelf {
	c := *s
	c.tags = slices.Clone(s.tags)
	c.held = make(map[ledger.Key]held, len(s.held)+1)
	for k, h := range s.held {
		c.held[k] = h
	}
	return &c
}

// shelves keep stock in memory between records of one program. They may be behind the
// database; whoever writes what was chosen from them says from which versions.
type shelves struct {
	mu     sync.Mutex
	ofPart map[string]*shelf
}

func (s *shelves) of(part string) *shelf {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.ofPart[part]
}

func (s *shelves) put(part string, x *shelf) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.ofPart == nil {
		s.ofPart = map[string]*shelf{}
	}
	s.ofPart[part] = x
}

func (s *shelves) drop(parts []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, p := range parts {
		delete(s.ofPart, p)
	}
}

// fill reads the stock of the parts that are not in memory.
func (k *known) fill(ctx context.Context, q *sqlcgen.Queries, parts []string) (err error) {
	defer wrap(&err, "read what is there of the parts")
	parts = slices.DeleteFunc(slices.Clone(parts), func(p string) bool { return k.shelves.of(p) != nil })
	if len(parts) == 0 {
		return nil
	}
	text, err := q.StockOfParts(ctx, parts, k.season.ID)
	if err != nil {
		return err
	}
	var stock struct {
		Parts []struct {
			ID      int32      `json:"id"`
			Code    string     `json:"code"`
			Version int64      `json:"version"`
			LastAt  *time.Time `json:"last_at"`
		} `json:"parts"`
		Lots     []planner.Lot `json:"lots"`
		Tags     []planner.Tag `json:"tags"`
		Balances []balanceFact `json:"balances"`
	}
	if err := json.Unmarshal(text, &stock); err != nil {
		return fmt.Errorf("read the answer: %w", err)
	}
	read, ofLot := map[string]*shelf{}, map[string]*shelf{}
	for _, p := range stock.Parts {
		read[p.Code] = &shelf{id: p.ID, version: p.Version, held: map[ledger.Key]held{}}
		if p.LastAt != nil {
			read[p.Code].lastAt = *p.LastAt
		}
	}
	for _, l := range stock.Lots {
		x := read[l.Part]
		x.lots, ofLot[l.Code] = append(x.lots, l), x
	}
	for _, t := range stock.Tags {
		read[t.Part].tags = append(read[t.Part].tags, t)
	}
	for _, b := range stock.Balances {
		ofLot[b.Lot].held[ledger.Key{Lot: b.Lot, Tag: b.Tag, Place: b.Place}] = held{b.Quantity, b.UsedAt}
	}
	for part, x := range read {
		k.shelves.put(part, x)
	}
	return nil
}

// factsOf is what record_begin would return of parts of which nothing happened later.
func (k *known) factsOf(parts []string, of func(part string) *shelf) (f facts) {
	f.Parents = k.parents
	for _, p := range parts {
		s := of(p)
		f.Lots, f.Tags = append(f.Lots, s.lots...), append(f.Tags, s.tags...)
		for key, h := range s.held {
			if h.quantity != 0 || h.usedAt != nil {
				f.Balances = append(f.Balances, balanceFact{Lot: key.Lot, Tag: key.Tag, Place: key.Place, Quantity: h.quantity, UsedAt: h.usedAt})
			}
		}
	}
	return f
}

// take changes a shelf as an entry will change the database.
func (s *shelf) take(e ledger.Entry, m ledger.Move, kept func(place string) bool) {
	if from := (ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.From}); kept(m.From) {
		h := s.held[from]
		h.quantity -= m.Quantity
		if m.To == ledger.Used && (h.usedAt == nil || e.At.After(*h.usedAt)) {
			h.usedAt = &e.At
		}
		s.held[from] = h
	}
	if to := (ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.To}); kept(m.To) {
		h := s.held[to]
		h.quantity += m.Quantity
		s.held[to] = h
	}
	if e.At.After(s.lastAt) {
		s.lastAt = e.At
	}
}
