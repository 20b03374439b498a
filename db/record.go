package db

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/shopspring/decimal"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
	"roundkit/planner/workbook"
)

// Request is one thing a person did, to be recorded once: the rows it would be in the
// season workbook. Rows need no codes; a row's blank lot is chosen from what is there.
type Request struct {
	ID        uuid.UUID // UUIDv7 made by whoever records it, before the first try
	Season    string    // code; empty: the one that holds today, else the latest
	Kind      string    // job, receipt, move, pack, return, count, weighing, lend, lent back, open kit, tag, scrap
	Person    string
	At        time.Time // when it happened; zero: now, when its turn has come
	Reference string
	DueBackOn *day.Day
	Notes     string

	Job       *planner.Job
	JobParts  []planner.JobPart
	Movements []planner.Movement
	Count     *planner.Count
	Weighing  *planner.Weighing
	Weighed   string        // part of the bottle weighed
	Lots      []planner.Lot // new ones, which the record brings
	Tags      []planner.Tag // new ones, likewise
	CaseMove  *CaseMove
	Undo      *ledger.Undo // takes another record back; its ID is the request's
	Redo      *Redone      `json:",omitempty"` // puts back what an undo took back
	Together  uuid.UUID    `json:",omitzero"`  // the first record of the command that this one belongs to; none: it is alone
	Change    *change      `json:"-"`          // of the plan or an order, taken back or put back with it
	Touches   []string     // parts beyond those the rows name
	DryRun    bool         `json:"-"` // say what it would do, write nothing
	// Said is what the person asked for, where the rows were made of it and of what was
	// there: a repeat says the same, though the rows would not be. Nil: the request itself.
	Said any `json:"-"`
	// guard is what the record depends on beyond the stock of its parts.
	guard guard
}

// guard is asked in the record's own transaction and round trip, when its parts are locked
// and its id is claimed: statements that lock and look, and what their answers must be.
type guard struct {
	ask   func(b *pgx.Batch)
	check func(answers pgx.BatchResults) error
}

// hash tells one request from another under the same id.
func (r Request) hash() ([]byte, error) {
	var said any = r // as made: a blank time stays blank in it
	if r.Said != nil {
		said = r.Said
	}
	content, err := json.Marshal(said)
	if err != nil {
		return nil, err
	}
	kind := r.Kind
	if r.Redo != nil { // of the kind of what it puts back
		kind = redoKind
	}
	sum := sha256.Sum256(append([]byte(kind+"\x00"), content...))
	return sum[:], nil
}

// CaseMove says that a place now stands inside another.
type CaseMove struct{ Place, Parent string }

// Redone says which undo is put back, and of which record.
type Redone struct {
	Undo, Entry uuid.UUID
	Job         *ledger.JobRow
}

// Double is a record that is likely the same one.
type Double struct {
	ID     uuid.UUID `json:"id"`
	Person string    `json:"person"`
	At     time.Time `json:"at"`
}

// Recorded is what a record did to the book.
type Recorded struct {
	ID       uuid.UUID
	Repeat   bool // the same request was recorded before: this is its answer again
	Entries  []ledger.Entry
	Parts    map[string]string // lot -> part, of the lots moved
	Warnings []string
	Doubles  []Double
	Where    string // where it went or came from, if nobody named the place
}

// maxAhead is how far a record's time may be ahead of the season clock: two clocks in a
// truck differ by minutes, not more.
const maxAhead = 10 * time.Minute

// Record writes one record into the ledger, once: the same request again gets the first
// answer again, another request under the same id is refused. What the book did not have
// is posted as found; what came late around a count does not move what was counted.
func (s *Store) Record(ctx context.Context, r Request) (Recorded, error) {
	done, err := s.recordAll(ctx, []Request{r})
	return whole(done), err
}

// whole is what the records of one command did, as one.
func whole(all []Recorded) (done Recorded) {
	if len(all) == 0 {
		return done
	}
	done = all[0]
	for _, d := range all[1:] {
		done.Entries, done.Warnings = append(done.Entries, d.Entries...), append(done.Warnings, d.Warnings...)
		done.Doubles = append(done.Doubles, d.Doubles...)
		maps.Copy(done.Parts, d.Parts)
	}
	return done
}

// recordAll writes the records of one command, all of them or none, each seeing what those
// before it did. They are tied together under the first one's id, which is the command's.
func (s *Store) recordAll(ctx context.Context, all []Request) (done []Recorded, err error) {
	first := all[0]
	hashes := make([][]byte, len(all))
	for i := range all {
		if all[i].ID == uuid.Nil {
			return done, fmt.Errorf("%w: a record needs an id of its own", ErrRefused)
		}
		if len(all) > 1 && all[i].Together == uuid.Nil {
			all[i].Together = first.ID
		}
		if hashes[i], err = all[i].hash(); err != nil {
			return done, err
		}
	}
	const (
		tries = 5
		pause = 100 * time.Millisecond // for a server that is starting again
	)
	for range tries {
		k, errPlan := s.remembered(ctx, first.Season)
		if errPlan != nil {
			return done, errPlan
		}
		if errMay := k.mayRecord(first); errMay != nil {
			now, errNow := s.known(ctx, first.Season, false)
			if errNow != nil || now == k {
				return done, errMay
			}
			err = errStale
			continue
		}
		if err := k.canBe(all); err != nil {
			return done, fmt.Errorf("%w: %w", ErrRefused, err)
		}
		done, err = s.record(ctx, k, slices.Clone(all), hashes)
		switch {
		case errors.Is(err, errRepeat):
			return s.recorded(ctx, first.ID)
		case errors.Is(err, errStale):
			s.forget(first.Season, k)
		case errors.Is(err, ErrLost) && ctx.Err() == nil: // the id tells whether it was written after all
			time.Sleep(pause)
		case !errors.Is(err, ErrConflict):
			return done, err
		}
	}
	if errors.Is(err, errStale) {
		err = fmt.Errorf("%w: %w", ErrConflict, err)
	}
	return done, fmt.Errorf("the record could not be written in %d tries, send it again: %w", tries, err)
}

// mayRecord checks who records and when.
func (k *known) mayRecord(r Request) error {
	if err := k.person(r.Person); err != nil {
		return fmt.Errorf("%w: %w", ErrRefused, err)
	}
	if now := time.Now().Add(k.ahead); r.At.After(now.Add(maxAhead)) {
		return fmt.Errorf("%w: found the time %s, expected at most the present, %s", ErrRefused,
			r.At.In(k.zone).Format("2006-01-02 15:04"), now.In(k.zone).Format("2006-01-02 15:04"))
	}
	return nil
}

// canBe refuses records outside their season, and amounts that no team has: all at once.
func (k *known) canBe(all []Request) error {
	var faults []error
	for _, r := range all {
		faults = append(faults, k.oneCanBe(r))
	}
	return errors.Join(faults...)
}

func (k *known) oneCanBe(r Request) error {
	at := r.At
	if at.IsZero() {
		at = time.Now().Add(k.ahead)
	}
	var faults []error
	if first, last := k.season.RecordDays(); day.At(at, k.zone) < first || day.At(at, k.zone) > last {
		faults = append(faults, fmt.Errorf("found the day %s, expected one of %s to %s: season %s is %s to %s", day.At(at, k.zone), first, last,
			k.season.Code, k.season.FirstOn, k.season.LastOn))
	}
	most := func(part string, q units.Quantity) {
		if u := k.facts.Parts[part].Unit; q > planner.Most(u) {
			faults = append(faults, fmt.Errorf("found %s of %s, expected at most %s in one record", units.Say(q, u), part, units.Say(planner.Most(u), u)))
		}
	}
	for _, p := range r.JobParts {
		if p.Quantity != nil {
			most(p.Part, *p.Quantity)
		}
	}
	for _, m := range r.Movements {
		most(m.Part, m.Quantity)
	}
	if r.Count != nil {
		most(r.Count.Part, r.Count.Counted)
	}
	if r.Weighing != nil && units.Quantity(r.Weighing.GrossMG) > planner.Most(units.G) {
		faults = append(faults, fmt.Errorf("found %s gross, expected at most %s", units.SayMass(r.Weighing.GrossMG), units.Say(planner.Most(units.G), units.G)))
	}
	if !planner.Printable(r.Notes, true) {
		faults = append(faults, fmt.Errorf("found the note %q, expected text without control characters and marks that turn its direction", r.Notes))
	}
	for _, t := range r.Tags {
		for _, text := range []string{t.Code, t.SerialNumber, t.Notes} {
			if !planner.Printable(text, false) {
				faults = append(faults, fmt.Errorf("found %q on the label, expected text without control characters and marks that turn its direction", text))
			}
		}
	}
	for _, l := range r.Lots {
		faults = append(faults, moneyCanBe(l.Cost, l.Currency))
	}
	return errors.Join(faults...)
}

// moneyCanBe refuses an amount that nobody means and a currency that there is not.
func moneyCanBe(amount *decimal.Decimal, currency string) error {
	var faults []error
	if amount != nil && !planner.MoneyCanBe(*amount) {
		faults = append(faults, errors.New("found an amount beyond what can be, expected one below 1000000000"))
	}
	if _, ok := workbook.CurrencyDecimals(currency); currency != "" && !ok {
		faults = append(faults, fmt.Errorf("found the currency %s, expected a code of ISO 4217, such as EUR", currency))
	}
	return errors.Join(faults...)
}

// errRepeat says that the very same request is recorded already.
var errRepeat = errors.New("recorded before")

// errStale asks for the plan to be read again: somebody changed it.
var errStale = errors.New("the plan has changed")

// errTaken says that an id names another record.
var errTaken = errors.New("is that of another record")

// facts is what record_begin returns.
type facts struct {
	RepeatOf string           `json:"repeat_of"`
	At       time.Time        `json:"at"` // when it happened, to the microsecond
	Version  int64            `json:"version"`
	Doubles  []Double         `json:"doubles"`
	Lots     []planner.Lot    `json:"lots"`
	Tags     []planner.Tag    `json:"tags"`
	Balances []balanceFact    `json:"balances"`
	Moves    []ledgerMoveFact `json:"moves"`
	Counts   []countFact      `json:"counts"`

	Undone  []undoneFact      `json:"undone"`
	Crossed []crossedFact     `json:"crossed"`
	Parents map[string]string `json:"parents"`
	Packed  []string          `json:"packed"`
}

type (
	balanceFact struct {
		Lot      string         `json:"lot"`
		Tag      string         `json:"tag"`
		Place    string         `json:"place"`
		Quantity units.Quantity `json:"quantity"`
		UsedAt   *time.Time     `json:"used_at"`
	}
	undoneFact struct {
		ID    uuid.UUID        `json:"id"`
		At    time.Time        `json:"at"`
		Seq   int64            `json:"seq"`
		Moves []ledgerMoveFact `json:"moves"`
	}
	crossedFact struct {
		Undo     uuid.UUID      `json:"undo"`
		UndoSeq  int64          `json:"undo_seq"`
		DoneSeq  int64          `json:"done_seq"`
		DoneAt   time.Time      `json:"done_at"`
		UndoneAt time.Time      `json:"undone_at"`
		Lot      string         `json:"lot"`
		Tag      string         `json:"tag"`
		Place    string         `json:"place"`
		Done     units.Quantity `json:"done"`
		Net      units.Quantity `json:"net"`
		Made     []struct {
			ID       uuid.UUID      `json:"id"`
			Quantity units.Quantity `json:"quantity"`
		} `json:"made"` // by entries made because of the undo
	}
	ledgerMoveFact struct {
		At       time.Time      `json:"at"`
		Lot      string         `json:"lot"`
		Tag      string         `json:"tag"`
		From     string         `json:"from"`
		To       string         `json:"to"`
		Quantity units.Quantity `json:"quantity"`
	}
	countFact struct {
		At    time.Time `json:"at"`
		ID    uuid.UUID `json:"id"`
		Seq   int64     `json:"seq"`
		Exact bool      `json:"exact"`
		Place string    `json:"place"`
		Part  string    `json:"part"`
		Lot   string    `json:"lot"`
		Tag   string    `json:"tag"`
	}
)

// record is one try: two round trips a record, the locks held between them.
func (s *Store) record(ctx context.Context, k *known, all []Request, hashes [][]byte) (done []Recorded, err error) {
	defer wrap(&err, "record")
	conn, err := s.pool.Acquire(ctx)
	if err != nil {
		return done, err
	}
	defer conn.Release()
	open := true
	defer func() {
		if open { // give the connection back clean, also when ctx is over
			_, _ = conn.Exec(context.WithoutCancel(ctx), "rollback")
		}
	}()
	var now time.Time
	var parts []string // of all: whoever comes next locks no more of them
	for _, r := range all {
		parts = append(parts, k.parts(r)...)
	}
	for i, r := range all {
		timed := !r.At.IsZero()
		if !timed {
			r.At = now // of one command, the same
		}
		f, err := begin(ctx, conn.Conn(), k, r, hashes[i], i == 0, parts)
		if err != nil {
			return done, taken(err, r)
		}
		if f.RepeatOf != "" {
			if f.RepeatOf != hex.EncodeToString(hashes[i]) || i > 0 {
				return done, fmt.Errorf("%w: id %s %w", ErrRefused, r.ID, errTaken)
			}
			return done, errRepeat // answered once this connection is given back: one holds none while it waits for another
		}
		if f.Version != k.version {
			return done, errStale
		}
		r.At, parts = f.At, k.parts(all[min(i+1, len(all)-1)])
		if !timed {
			now = f.At
		}
		input := k.input(f, r)
		result, problems := ledger.Post(input)
		if len(problems) > 0 {
			return done, refusal(problems)
		}
		result.Entries = withAct(result.Entries, r)
		if r.Change != nil {
			if err := r.Change.apply(ctx, sqlcgen.New(conn), k, r); err != nil {
				return done, err
			}
		}
		last := i == len(all)-1
		if !r.DryRun || !last {
			if err := write(ctx, conn.Conn(), k, r, f, result, last); err != nil {
				return done, taken(err, r)
			}
			open = !last
		}
		one := Recorded{ID: r.ID, Entries: result.Entries, Parts: map[string]string{}, Warnings: result.Warnings, Doubles: f.Doubles}
		for _, l := range input.Book.Lots {
			one.Parts[l.Code] = l.Part
		}
		done = append(done, one)
	}
	return done, nil
}

// taken says what a person must know where somebody else was quicker to take the same record
// back, or to put it back.
func taken(err error, r Request) error {
	var pg *pgconn.PgError
	if !errors.As(err, &pg) || pg.Code != uniqueViolation {
		return err
	}
	switch pg.ConstraintName {
	case "entry_undoes_key":
		return fmt.Errorf("%w: %s is undone already, just now", ErrRefused, r.Undo.Entry)
	case "redo_redoes_key":
		return fmt.Errorf("%w: %s is put back already, just now", ErrRefused, r.Redo.Entry)
	}
	return err
}

// uniqueViolation is PostgreSQL's code of it.
const uniqueViolation = "23505"

// withAct adds the request's own entry where nothing moved: the act is recorded all the same.
func withAct(entries []ledger.Entry, r Request) []ledger.Entry {
	if slices.ContainsFunc(entries, func(e ledger.Entry) bool { return e.ID == r.ID }) {
		return entries
	}
	return append([]ledger.Entry{{ID: r.ID, Kind: r.Kind, Person: r.Person, At: r.At, Reference: r.Reference, Notes: r.Notes}}, entries...)
}

// begin runs record_begin, with the first record of a transaction in the round trip that
// opens it.
func begin(ctx context.Context, conn *pgx.Conn, k *known, r Request, hash []byte, first bool, parts []string) (f facts, err error) {
	var undoes, redoes *uuid.UUID
	if r.Undo != nil {
		undoes = &r.Undo.Entry
	}
	if r.Redo != nil {
		redoes = &r.Redo.Undo
	}
	var due *time.Time
	if r.DueBackOn != nil {
		t := r.DueBackOn.UTC()
		due = &t
	}
	var at *time.Time
	if !r.At.IsZero() {
		cut := r.At.Truncate(time.Microsecond) // as the database keeps it
		at = &cut
	}
	service, assembly := "", ""
	if r.Job != nil {
		service, assembly = r.Job.Service, r.Job.Assembly
	}
	batch := &pgx.Batch{}
	if first {
		batch.Queue("begin")
	}
	batch.Queue(sqlcgen.RecordBegin, k.season.ID, r.ID, r.Kind, r.Person, at, hash, undoes, redoes, r.Reference, due, r.Notes, parts, service, assembly, k.byAir(r))
	if r.guard.ask != nil {
		r.guard.ask(batch)
	}
	results := conn.SendBatch(ctx, batch)
	if first {
		_, err = results.Exec()
	}
	var text []byte
	if err == nil {
		err = results.QueryRow().Scan(&text)
	}
	if err == nil {
		if err = json.Unmarshal(text, &f); err != nil {
			err = fmt.Errorf("read what the database says of the parts: %w", err)
		}
	}
	if err == nil && r.guard.check != nil && f.RepeatOf == "" {
		err = r.guard.check(results)
	}
	return f, errors.Join(err, results.Close())
}

// write stores what the ledger made of the record; after the last one of a command it ends
// the transaction.
func write(ctx context.Context, conn *pgx.Conn, k *known, r Request, f facts, result ledger.Result, last bool) error {
	rows := rowsOf(result.Entries)
	for i := range rows.Entries {
		rows.Entries[i].Claimed = rows.Entries[i].ID == r.ID
	}
	for tag, on := range result.Opened {
		rows.Opened = append(rows.Opened, openedRow{Tag: tag, OpenedOn: on})
	}
	if m := r.CaseMove; m != nil {
		rows.PlaceMoves = append(rows.PlaceMoves, placeMoveRow{EntryID: r.ID, Place: m.Place, Parent: m.Parent})
	}
	p, err := rows.params(k.season.ID)
	if err != nil {
		return err
	}
	batch := &pgx.Batch{}
	if len(r.Lots) > 0 {
		lots, err := rowsJSONFrom(r.Lots, livePos)
		if err != nil {
			return err
		}
		batch.Queue(sqlcgen.LotPut, k.season.ID, lots)
		batch.Queue(sqlcgen.LotCostPut, day.At(r.At, k.zone).UTC(), lots, k.season.ID)
	}
	if len(r.Tags) > 0 {
		tags, err := rowsJSONFrom(r.Tags, livePos)
		if err != nil {
			return err
		}
		batch.Queue(sqlcgen.TagPut, k.season.ID, tags)
	}
	batch.Queue(sqlcgen.RecordWrite, p.SeasonID, p.Entries, p.Movements, p.Balances, p.Jobs, p.Counts, p.Weighings, p.Opened, p.PlaceMoves)
	if r.Together != uuid.Nil {
		batch.Queue(sqlcgen.TogetherAdd, r.ID, r.Together)
	}
	if r.Redo != nil {
		batch.Queue(sqlcgen.RedoAdd, r.ID, r.Redo.Undo)
		if redo := f.redo(r); redo != nil {
			for _, w := range redo.Also { // found again: it puts back what the undo of that took back
				batch.Queue(sqlcgen.RedoAdd, ledger.RedoneID(r.ID, w), ledger.TakenBackID(r.Redo.Undo, w.Entry))
			}
		}
	}
	if r.Kind == "receipt" || r.Undo != nil { // what came on an order, or is taken back, settles its state
		batch.Queue(sqlcgen.OrderReceived, day.At(r.At, k.zone).UTC(), k.season.ID, "", r.ID)
	}
	if r.CaseMove != nil || r.Undo != nil {
		batch.Queue(sqlcgen.PlacesMoved, r.ID)
	}
	if last {
		batch.Queue("commit")
	}
	return conn.SendBatch(ctx, batch).Close()
}

// livePos puts lots and tags that a record brought behind those of a workbook.
const livePos = 1 << 30

// parts lists the parts a record touches, with their alternatives and kit contents.
func (k *known) parts(r Request) []string {
	var codes []string
	add := func(code string) {
		if code != "" && !slices.Contains(codes, code) {
			codes = append(codes, code)
		}
	}
	for _, p := range r.JobParts {
		add(p.Part)
	}
	for _, m := range r.Movements {
		add(m.Part)
	}
	for _, l := range r.Lots {
		add(l.Part)
	}
	if r.Count != nil {
		add(r.Count.Part)
	}
	add(r.Weighed)
	for _, p := range r.Touches {
		add(p)
	}
	for _, x := range k.book.Alternatives {
		if slices.Contains(codes, x.Part) {
			add(x.Alternative)
		}
	}
	for _, x := range k.book.KitContents {
		if slices.Contains(codes, x.Kit) {
			add(x.Part)
		}
	}
	return codes
}

// input is the record as the ledger takes it: the plan, the stock of the parts touched,
// and what happened after the record's own time.
func (k *known) input(f facts, r Request) ledger.Input {
	b := k.book
	b.Lots = append(slices.Clone(f.Lots), r.Lots...)
	b.Tags = append(slices.Clone(f.Tags), r.Tags...)
	if r.Job != nil {
		j := *r.Job
		j.Code, j.DoneAt, j.Person, j.Notes = r.ID.String(), r.At, r.Person, r.Notes
		b.Jobs = []planner.Job{j}
		for _, p := range r.JobParts {
			p.Job = j.Code
			b.JobParts = append(b.JobParts, p)
		}
	}
	for i, m := range r.Movements {
		m.Code = r.ID.String()
		if i > 0 {
			m.Code = fmt.Sprintf("%s/%d", r.ID, i+1)
		}
		m.At, m.Person, m.Reason, m.Reference, m.DueBackOn, m.Notes = r.At, r.Person, r.Kind, r.Reference, r.DueBackOn, r.Notes
		b.Movements = append(b.Movements, m)
	}
	if r.Count != nil {
		c := *r.Count
		c.Code, c.At, c.Person, c.Notes = r.ID.String(), r.At, r.Person, r.Notes
		b.Counts = []planner.Count{c}
	}
	if r.Weighing != nil {
		w := *r.Weighing
		w.Code, w.At, w.Person, w.Notes = r.ID.String(), r.At, r.Person, r.Notes
		b.Weighings = []planner.Weighing{w}
	}
	in := ledger.Input{Book: &b, Catalogue: &k.facts, Zone: k.zone, Live: true, Opening: map[ledger.Key]units.Quantity{}, LastUsed: map[[2]string]string{}}
	if r.Undo != nil {
		in.Undo = f.undo(r)
	}
	in.Redo = f.redo(r)
	if trip := k.byAir(r); trip != "" {
		in.Packed = map[string][]string{trip: f.Packed}
	}
	if len(f.Parents) > 0 {
		b.Places = slices.Clone(b.Places)
		facts := ledger.Facts{Parts: k.facts.Parts, Parent: maps.Clone(k.facts.Parent)}
		for i, p := range b.Places {
			if parent, moved := f.Parents[p.Code]; moved {
				b.Places[i].In, facts.Parent[p.Code] = parent, parent
			}
		}
		in.Catalogue = &facts
	}
	part := map[string]string{}
	for _, l := range f.Lots {
		part[l.Code] = l.Part
	}
	last := map[[2]string]time.Time{}
	for _, x := range f.Balances {
		in.Opening[ledger.Key{Lot: x.Lot, Tag: x.Tag, Place: x.Place}] = x.Quantity
		at := [2]string{x.Place, part[x.Lot]}
		if x.UsedAt != nil && (in.LastUsed[at] == "" || x.UsedAt.After(last[at]) || x.UsedAt.Equal(last[at]) && x.Lot > in.LastUsed[at]) {
			in.LastUsed[at], last[at] = x.Lot, *x.UsedAt
		}
	}
	for _, m := range f.Moves { // the balance at the record's time: now, less what came later
		in.Opening[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.From}] += m.Quantity
		in.Opening[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.To}] -= m.Quantity
		in.Past.Moves = append(in.Past.Moves, ledger.PastMove{At: m.At, Lot: m.Lot, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity})
	}
	for _, x := range f.Crossed {
		c := ledger.Crossed{Undo: x.Undo, UndoSeq: x.UndoSeq, DoneSeq: x.DoneSeq, DoneAt: x.DoneAt, UndoneAt: x.UndoneAt,
			Key: ledger.Key{Lot: x.Lot, Tag: x.Tag, Place: x.Place}, Done: x.Done, Net: x.Net}
		for _, e := range x.Made {
			if e.ID == ledger.FoundID(x.Undo, c.Key) {
				c.Found += e.Quantity
			}
		}
		in.Crossed = append(in.Crossed, c)
	}
	for _, c := range f.Counts {
		in.Past.Counts = append(in.Past.Counts, ledger.PastCount{At: c.At, ID: c.ID, Seq: c.Seq, Place: c.Place, Part: c.Part, Lot: c.Lot, Tag: c.Tag, Exact: c.Exact})
	}
	return in
}

// byAir names the trip of a job's round if it goes by air: such a job draws on the cases
// packed for it.
func (k *known) byAir(r Request) string {
	if r.Job == nil {
		return ""
	}
	for _, round := range k.book.Rounds {
		if round.Code != r.Job.Round {
			continue
		}
		for _, t := range k.book.Trips {
			if t.Code == round.Trip && t.GoesBy == "air" {
				return t.Code
			}
		}
	}
	return ""
}

// undo is what the ledger needs to take a record back.
func (f facts) undo(r Request) *ledger.Undo {
	u := &ledger.Undo{}
	if r.Undo != nil {
		u.Entry = r.Undo.Entry
	}
	for i, x := range f.Undone {
		w := ledger.Undo{Entry: x.ID, DoneAt: x.At, DoneSeq: x.Seq}
		for _, m := range x.Moves {
			w.Moves = append(w.Moves, ledger.Move{Lot: m.Lot, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity})
		}
		if i == 0 { // the record itself comes first
			u = &w
			continue
		}
		u.Also = append(u.Also, w)
	}
	u.ID, u.At, u.By, u.Notes = r.ID, r.At, r.Person, r.Notes
	return u
}

// redo is what the ledger needs to put a record back; nil where it is no redo, or one of a
// count, which is counted again at its own minute.
func (f facts) redo(r Request) *ledger.Redo {
	if r.Redo == nil || r.Count != nil || r.Weighing != nil {
		return nil
	}
	return &ledger.Redo{Undo: *f.undo(r), Kind: r.Kind, Reference: r.Reference, DueBackOn: r.DueBackOn, Job: r.Redo.Job}
}

// refusal is every reason at once.
func refusal(problems []ledger.Problem) error {
	var all []error
	for _, p := range problems {
		found := p.Found
		if found == "" {
			found = "nothing"
		}
		all = append(all, fmt.Errorf("found %s, expected %s", found, p.Expected))
	}
	return fmt.Errorf("%w: %w", ErrRefused, errors.Join(all...))
}

// recorded reads back what a command recorded, record by record.
func (s *Store) recorded(ctx context.Context, id uuid.UUID) (all []Recorded, err error) {
	defer wrap(&err, "read the record")
	q := sqlcgen.New(s.pool)
	entries, err := q.CommandOf(ctx, id)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		moves, err := q.EntryMoves(ctx, e.ID)
		if err != nil {
			return nil, err
		}
		entry := ledger.Entry{ID: e.ID, Kind: e.Kind, Person: e.Person, At: e.HappenedAt}
		parts := map[string]string{}
		for _, m := range moves {
			parts[m.Lot] = m.Part
			entry.Moves = append(entry.Moves, ledger.Move{Lot: m.Lot, Tag: m.Tag, From: m.FromPlace, To: m.ToPlace, Quantity: units.Quantity(m.Quantity)})
		}
		all = append(all, Recorded{ID: e.ID, Repeat: true, Parts: parts, Entries: []ledger.Entry{entry}})
	}
	return all, nil
}

// again runs a record whose rows are made of what is there, unless the same request is
// recorded already; also where its rows could not be made because of that very record,
// sent twice at once or still being written for a client that gave up waiting.
func (s *Store) again(ctx context.Context, r Request, record func() (Recorded, error)) (Recorded, error) {
	if done, ok, err := s.before(ctx, r); ok || err != nil {
		return done, err
	}
	done, refused := record()
	if errors.Is(refused, ErrRefused) {
		if err := s.awaitOther(ctx, r.ID); err != nil {
			return done, err
		}
		if done, ok, err := s.before(ctx, r); ok || err != nil {
			return done, err
		}
	}
	return done, refused
}

// awaitOther waits until nobody is writing a record of this id: it claims the id itself,
// which waits for another's claim, and lets it go.
func (s *Store) awaitOther(ctx context.Context, id uuid.UUID) (err error) {
	defer wrap(&err, "look for the record")
	k, err := s.known(ctx, "", false)
	if err != nil {
		return err
	}
	conn, err := s.pool.Acquire(ctx)
	if err != nil {
		return err
	}
	defer conn.Release()
	defer func() { _, _ = conn.Exec(context.WithoutCancel(ctx), "rollback") }()
	_, err = begin(ctx, conn.Conn(), k, Request{ID: id, Kind: "move"}, []byte{}, true, nil)
	return err
}

// before looks whether the request is recorded already: where its rows are made of what is
// there, they could not be made again.
func (s *Store) before(ctx context.Context, r Request) (done Recorded, ok bool, err error) {
	hash, err := r.hash()
	if err != nil {
		return done, false, err
	}
	e, err := sqlcgen.New(s.pool).EntryOf(ctx, r.ID)
	switch {
	case errors.Is(err, pgx.ErrNoRows):
		return done, false, nil
	case err != nil:
		wrap(&err, "look for the record")
		return done, false, err
	case !bytes.Equal(e.RequestHash, hash):
		return done, false, fmt.Errorf("%w: id %s %w", ErrRefused, r.ID, errTaken)
	}
	all, err := s.recorded(ctx, r.ID)
	return whole(all), true, err
}
