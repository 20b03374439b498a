package db

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/act"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Move is stock going from one place to another: moved, scrapped, lent or come back. A tag
// names the thing itself; then part, quantity and the place it comes from may be blank.
type Move struct {
	Act
	Kind      string // move, scrap, lend, lent back
	Part, Tag string
	Quantity  units.Quantity
	From, To  string // blank: where the round is that is on, else the workshop; what was lent comes home to where it left
	DueBackOn *day.Day
}

// MoveStock records a move.
func (s *Store) MoveStock(ctx context.Context, m Move) (Recorded, error) {
	said := m
	return s.again(ctx, Request{ID: m.ID, Kind: m.Kind, Said: said}, func() (Recorded, error) { return s.moveStock(ctx, said, m, s.recordAlone) })
}

// MoveAll records what one command moved, each move under an id of its own (the first is the
// command's), all of it or nothing; what each did is told by itself. The same ids again are the
// first answer. All that cannot be meant is named at once.
func (s *Store) MoveAll(ctx context.Context, moves []Move) ([]Recorded, error) {
	return s.allOf(ctx, len(moves), func(i int, write writes) (Recorded, error) { return s.moveStock(ctx, moves[i], moves[i], write) })
}

// writes is how a record is written.
type writes func(context.Context, Request) (Recorded, error)

// allOf makes the record of each line of a command and writes them together.
func (s *Store) allOf(ctx context.Context, lines int, line func(i int, write writes) (Recorded, error)) ([]Recorded, error) {
	var all []Request
	var where []string
	var faults []error
	for i := range lines {
		done, err := line(i, func(_ context.Context, r Request) (Recorded, error) {
			all = append(all, r)
			return Recorded{}, nil
		})
		where, faults = append(where, done.Where), append(faults, err)
	}
	if err := joined(faults); err != nil {
		return nil, err
	}
	each, err := s.recordAll(ctx, all)
	for i := range each {
		each[i].Where = where[i]
	}
	return each, err
}

// joined is the faults of the lines of one command: what cannot be meant first, and only where
// there is none of that what can hardly be meant.
func joined(faults []error) error {
	var doubts []string
	var all []error
	for _, err := range faults {
		switch {
		case err == nil:
		case errors.Is(err, ErrDoubt):
			doubts = append(doubts, strings.TrimPrefix(err.Error(), ErrDoubt.Error()+": "))
		default:
			all = append(all, err)
		}
	}
	if len(all) == 0 && len(doubts) > 0 {
		return fmt.Errorf("%w: %s", ErrDoubt, strings.Join(doubts, "; "))
	}
	return errors.Join(all...)
}

func (s *Store) moveStock(ctx context.Context, said any, m Move, write writes) (Recorded, error) {
	l, err := s.look(ctx, m.Act)
	if err != nil {
		return Recorded{}, err
	}
	move := m.meant()
	if part := l.PartLent(move); part != "" {
		if move.Past, _, err = s.History(ctx, part, SnapshotOptions{Season: m.Season}); err != nil {
			return Recorded{}, err
		}
	}
	r := m.Act.request(m.Kind, said)
	r.DueBackOn = m.DueBackOn
	rows, err := l.Move(move)
	return r.recordRows(ctx, rows, err, write)
}

func (m Move) meant() act.Move {
	return act.Move{Kind: m.Kind, Part: m.Part, Tag: m.Tag, Quantity: m.Quantity, From: m.From, To: m.To}
}

// MoveCase records that a case (or any place) now stands inside another; a blank In takes
// it out of where it stood.
func (s *Store) MoveCase(ctx context.Context, a Act, code, in string) (Recorded, error) {
	said := caseMoved{a, code, in}
	return s.again(ctx, Request{ID: a.ID, Kind: "move", Said: said}, func() (Recorded, error) { return s.moveCase(ctx, said, a, code, in) })
}

func (s *Store) moveCase(ctx context.Context, said any, a Act, code, in string) (Recorded, error) {
	l, err := s.look(ctx, a)
	if err != nil {
		return Recorded{}, err
	}
	if err := l.MoveCase(code, in); err != nil {
		return Recorded{}, refused(err)
	}
	r := a.request("move", said)
	r.CaseMove = &CaseMove{code, in}
	return s.Record(ctx, r)
}

// Counting is what was counted of a part at a place and below it.
type Counting struct {
	ID       uuid.UUID // of its record
	At, Part string
	Counted  units.Quantity
	Because  string // why it differs; blank: not known yet
}

// CountPart records what was counted of a part at a place and below it.
func (s *Store) CountPart(ctx context.Context, a Act, at, part string, counted units.Quantity) (Recorded, error) {
	done, err := s.CountParts(ctx, a, []Counting{{ID: a.ID, At: at, Part: part, Counted: counted}})
	return whole(done), err
}

// CountParts records what one command counted, all of it or nothing; what each count did is
// told by itself.
func (s *Store) CountParts(ctx context.Context, a Act, lines []Counting) ([]Recorded, error) {
	l, err := s.look(ctx, a)
	if err != nil {
		return nil, err
	}
	var all []Request
	var counted []act.Counted
	for _, c := range lines {
		counted = append(counted, act.Counted{At: c.At, Part: c.Part, Quantity: c.Counted})
		r := a.request("count", nil)
		r.ID, r.Notes = c.ID, strings.TrimSuffix(strings.TrimPrefix(c.Because+": "+a.Notes, ": "), ": ")
		r.Count = &planner.Count{Place: c.At, Part: c.Part, Counted: c.Counted}
		all = append(all, r)
	}
	if err := l.Count(counted); err != nil {
		return nil, refused(err)
	}
	return s.recordAll(ctx, all)
}

// Weigh records what the scale said of a bottle.
func (s *Store) Weigh(ctx context.Context, a Act, tag string, grossMG units.Milligrams) (Recorded, error) {
	said := weighed{a, tag, grossMG}
	return s.again(ctx, Request{ID: a.ID, Kind: "weighing", Said: said}, func() (Recorded, error) { return s.weigh(ctx, said, a, tag, grossMG) })
}

func (s *Store) weigh(ctx context.Context, said any, a Act, tag string, grossMG units.Milligrams) (Recorded, error) {
	l, err := s.look(ctx, a)
	if err != nil {
		return Recorded{}, err
	}
	r := a.request("weighing", said)
	if r.Weighed, err = l.Weigh(tag, grossMG); err != nil {
		return Recorded{}, refused(err)
	}
	r.Weighing = &planner.Weighing{Tag: tag, GrossMG: grossMG}
	return s.Record(ctx, r)
}

// Receipt is what came in without an order of ours.
type Receipt struct {
	Act
	Part      string
	Quantity  units.Quantity
	To        string // blank: its home where the round is that is on, else in the workshop
	Supplier  string
	Cost      *decimal.Decimal // of all of it; nil: not known yet, not valued
	Currency  string
	ExpiresOn *day.Day // nil: by the part's storage life, if it has one
}

// Receive records a receipt: a lot of its own.
func (s *Store) Receive(ctx context.Context, r Receipt) (Recorded, error) {
	said := r
	return s.again(ctx, Request{ID: r.ID, Kind: "receipt", Said: said}, func() (Recorded, error) { return s.receive(ctx, said, r, s.recordAlone) })
}

// ReceiveAll records what came in at once, a lot each, as MoveAll does.
func (s *Store) ReceiveAll(ctx context.Context, receipts []Receipt) ([]Recorded, error) {
	return s.allOf(ctx, len(receipts), func(i int, write writes) (Recorded, error) { return s.receive(ctx, receipts[i], receipts[i], write) })
}

func (s *Store) receive(ctx context.Context, said any, r Receipt, write writes) (Recorded, error) {
	l, err := s.look(ctx, r.Act)
	if err != nil {
		return Recorded{}, err
	}
	rows, err := l.Receive(act.Receipt{Lot: "lot " + r.ID.String(), Part: r.Part, Quantity: r.Quantity, To: r.To, Supplier: r.Supplier, Cost: r.Cost,
		Currency: r.Currency, ExpiresOn: r.ExpiresOn}, l.known.season.Currency)
	return r.Act.request("receipt", said).recordRows(ctx, rows, err, write)
}

// OpenKit opens one seal kit: one kit out, its contents in as loose parts, in one record.
// The kit's cost is shared by list price; the last part takes the remainder.
func (s *Store) OpenKit(ctx context.Context, a Act, kit, at string) (Recorded, error) {
	said := kitOpened{a, kit, at}
	return s.again(ctx, Request{ID: a.ID, Kind: "open kit", Said: said}, func() (Recorded, error) { return s.openKit(ctx, said, a, kit, at) })
}

func (s *Store) openKit(ctx context.Context, said any, a Act, kit, at string) (Recorded, error) {
	l, err := s.look(ctx, a)
	if err != nil {
		return Recorded{}, err
	}
	rows, err := l.OpenKit(kit, at, "lot "+a.ID.String())
	return a.request("open kit", said).recordRows(ctx, rows, err, s.recordAlone)
}

// NewTag labels one thing of an untagged lot.
type NewTag struct {
	Act
	Tag      planner.Tag // Code and Part; tare, contents, opened on, measured rate, serial number as known
	At       string      // where it is; blank: its home
	Quantity units.Quantity
}

// TagNew records it: untagged out, tagged in, of the same lot.
func (s *Store) TagNew(ctx context.Context, n NewTag) (Recorded, error) {
	said := n
	return s.again(ctx, Request{ID: n.ID, Kind: "tag", Said: said}, func() (Recorded, error) { return s.tagNew(ctx, said, n) })
}

func (s *Store) tagNew(ctx context.Context, said any, n NewTag) (Recorded, error) {
	l, err := s.look(ctx, n.Act)
	if err != nil {
		return Recorded{}, err
	}
	rows, err := l.Label(n.Tag, n.At, n.Quantity)
	return n.Act.request("tag", said).recordRows(ctx, rows, err, s.Record)
}

// NewBlend is oils poured together into one labelled bottle.
type NewBlend struct {
	Act
	Tag  planner.Tag // the new bottle: Code, Part that the blend stands for, tare as known
	From []act.Poured
	At   string // where the new bottle is; blank: where the first of the others is
}

// Blend records it as one record: what is poured out of each bottle, and the new one with their
// sum. It returns what the blend has at 40 C in cSt too, 0 where a viscosity is not known. Said
// again with the same id it answers the same and records nothing. It returns ErrRefused for what
// cannot be meant, ErrDoubt for what can hardly be.
func (s *Store) Blend(ctx context.Context, b NewBlend) (done Recorded, cst40 float64, err error) {
	said := b
	done, err = s.again(ctx, Request{ID: b.ID, Kind: "tag", Said: said}, func() (Recorded, error) {
		l, err := s.look(ctx, b.Act)
		if err != nil {
			return Recorded{}, err
		}
		rows, cst, err := l.Blend(b.Tag, b.From, b.At, "lot "+b.ID.String())
		cst40 = cst
		return b.Act.request("tag", said).recordRows(ctx, rows, err, s.recordAlone)
	})
	return done, cst40, err
}

// What a person said, of which a record's rows are made.
type (
	caseMoved struct {
		Act
		Case, In string
	}
	kitOpened struct {
		Act
		Kit, At string
	}
	weighed struct {
		Act
		Tag     string
		GrossMG units.Milligrams
	}
)

// looked is what a record is checked against before it is written.
type looked struct {
	*act.State
	known *known
}

func (s *Store) look(ctx context.Context, a Act) (*looked, error) {
	k, snap, err := s.stores(ctx, a.Season)
	if err != nil {
		return nil, err
	}
	if err := k.person(a.Person); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	l := &looked{known: k}
	l.State, err = act.NewState(snap, a.when(k))
	return l, err
}

// when is when it happened.
func (a Act) when(k *known) act.When {
	w := act.When{Sure: a.Sure, Late: !a.At.IsZero()}
	if w.Late {
		w.On = day.At(a.At, k.zone)
	}
	return w
}

// request is the record of what a person did, as far as it says who, when and why; said is
// what the person asked for.
func (a Act) request(kind string, said any) Request {
	return Request{ID: a.ID, Season: a.Season, Kind: kind, Person: a.Person, At: a.At, DryRun: a.DryRun, Notes: a.Notes, Together: a.Together, Said: said}
}

// recordRows writes a record of the rows that it means, or says why they cannot be meant; how
// it is written says whether it is asked if the same was said before.
func (r Request) recordRows(ctx context.Context, rows act.Rows, err error, write writes) (Recorded, error) {
	if err != nil {
		return Recorded{}, refused(err)
	}
	r.Movements, r.Lots, r.Tags = rows.Movements, rows.Lots, rows.Tags
	done, err := write(ctx, r)
	done.Where = rows.Where
	return done, err
}

// refused makes a refusal of what cannot be meant; a doubt stays one.
func refused(err error) error {
	if errors.Is(err, ErrDoubt) {
		return err
	}
	return fmt.Errorf("%w: %w", ErrRefused, err)
}
