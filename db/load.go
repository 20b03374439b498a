package db

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
	"roundkit/planner/workbook"
)

// LoadOptions say how a workbook is loaded.
type LoadOptions struct {
	DryRun bool // find every fault and say what would change, write nothing
}

// LoadReport is what a load did, or would do.
type LoadReport struct {
	Season   string
	Changes  workbook.Changes
	Notes    []string  // what was left out or understood
	Warnings []string  // what was used though the book did not have it
	Entries  int       // records that the ledger took
	ClockAt  time.Time // set when the load set the season clock
}

// errDryRun rolls a dry run back.
var errDryRun = errors.New("dry run")

// Load reads a workbook's rows into the database, all or nothing. Faults in the workbook
// come back as workbook.Faults, every one at once; then nothing was written.
func (s *Store) Load(ctx context.Context, in workbook.Input, o LoadOptions) (report LoadReport, err error) {
	now, _, err := s.Now(ctx)
	if err != nil {
		return report, err
	}
	err = s.Transact(ctx, pgx.TxOptions{}, func(q *sqlcgen.Queries, _ pgx.Tx) error {
		if in.Sheets == nil { // it was read, and held the lock of all stock: only a server in trouble asks for another try
			return fmt.Errorf("%w: the database asked for the load once more, expected it to be left alone meanwhile: load the workbook again", ErrRefused)
		}
		report = LoadReport{}
		l := loader{ctx: ctx, q: q, now: now, dryRun: o.DryRun, report: &report}
		if err := l.load(&in); err != nil {
			return err
		}
		if o.DryRun {
			return errDryRun
		}
		return nil
	})
	if errors.Is(err, errDryRun) {
		err = nil
	}
	return report, err
}

type loader struct {
	ctx    context.Context
	q      *sqlcgen.Queries
	now    time.Time
	dryRun bool
	report *LoadReport
}

func (l *loader) load(in *workbook.Input) (err error) {
	if err := l.q.LoadLock(l.ctx); err != nil {
		wrap(&err, "wait for other records")
		return err
	}
	old, season, err := l.old(*in)
	if err != nil {
		return err
	}
	loaded, faults := workbook.Load(*in, old)
	in.Sheets = nil // the cells are read: a long season's are as large as its book
	if len(faults) > 0 {
		return faults
	}
	merged := &loaded.Merged
	l.report.Changes, l.report.Notes, l.report.Season = loaded.Changes, loaded.Notes, merged.Season[0].Code
	if l.dryRun {
		l.report.Notes = append(l.report.Notes, loaded.Stays()...)
	}
	if len(loaded.Changes) == 0 {
		return nil
	}
	l.report.Notes = append(l.report.Notes, ledger.OpeningLots(merged, merged.Season[0].FirstOn)...)
	result, faults, err := l.post(&loaded, season.ID)
	if err != nil {
		return err
	}
	if len(faults) > 0 {
		return faults
	}
	l.report.Warnings, l.report.Entries = result.Warnings, len(result.Entries)
	if l.dryRun { // every fault is known; what would be written need not be, to be taken back
		before, err := l.q.EntryCount(l.ctx)
		if err != nil {
			return err
		}
		return l.setClock(before == 0, result.Entries)
	}
	return l.write(&loaded, result, season)
}

// old reads what the database knows of the workbook's season: of the one it names, else of
// the one that holds today.
func (l *loader) old(in workbook.Input) (old *planner.Book, season seasonRow, err error) {
	defer wrap(&err, "read the season before the load")
	all, err := seasons(l.ctx, l.q)
	if err != nil {
		return nil, season, err
	}
	if code := workbook.Season(in); code != "" {
		for _, s := range all {
			if s.Code == code {
				season = s
			}
		}
	} else if len(all) > 0 {
		if season, err = pickSeason(all, "", day.At(l.now, time.UTC)); err != nil {
			return nil, season, err
		}
	}
	old, err = readBook(l.ctx, l.q, season)
	return old, season, err
}

// post lets the ledger decide what the new records do; rows it cannot take are faults of
// the workbook.
func (l *loader) post(loaded *workbook.Loaded, season int32) (result ledger.Result, faults workbook.Faults, err error) {
	defer wrap(&err, "read the ledger before the load")
	merged := &loaded.Merged
	input := ledger.Input{Book: merged, Zone: loaded.Zone, Known: map[uuid.UUID]bool{}, Undone: map[uuid.UUID]bool{}, Stock: map[uuid.UUID]units.Quantity{}}
	ids, err := l.q.EntryIDs(l.ctx, season)
	if err != nil {
		return result, nil, err
	}
	for _, x := range ids {
		input.Known[x.ID] = true
		if x.Undoes.Valid {
			input.Undone[x.Undoes.UUID] = true
		}
	}
	if len(ids) > 0 {
		if err := l.past(season, merged.Season[0].Code, &input); err != nil {
			return result, nil, err
		}
	}
	result, problems := ledger.Post(input)
	for _, p := range problems {
		f := loaded.Fault(p.Sheet, p.Index, p.Column)
		f.Found, f.Expected = p.Found, p.Expected
		faults = append(faults, f)
	}
	return result, faults, nil
}

// past reads the records the ledger already holds, which new ones may be earlier than.
func (l *loader) past(season int32, code string, input *ledger.Input) error {
	moves, err := l.q.PastMoves(l.ctx, season)
	if err != nil {
		return err
	}
	for _, m := range moves {
		input.Past.Moves = append(input.Past.Moves, ledger.PastMove{At: m.HappenedAt, Lot: m.Lot, Tag: m.Tag, From: m.FromPlace, To: m.ToPlace, Quantity: units.Quantity(m.Quantity)})
	}
	counts, err := l.q.PastCounts(l.ctx, season)
	if err != nil {
		return err
	}
	for _, c := range counts {
		input.Past.Counts = append(input.Past.Counts, ledger.PastCount{At: c.HappenedAt, ID: c.ID, Place: c.Place, Part: c.Part, Lot: c.Lot, Tag: c.Tag, Exact: c.Exact})
	}
	rows, err := l.q.StockRowList(l.ctx, season)
	if err != nil {
		return err
	}
	var stock []planner.StockRow
	if err := json.Unmarshal(rows, &stock); err != nil {
		return fmt.Errorf("read stock rows: %w", err)
	}
	for _, r := range latestStock(stock) {
		input.Stock[ledger.StockID(code, r)] = r.Quantity
	}
	return nil
}

// write stores the sheets that changed and the entries that the ledger made of them.
func (l *loader) write(loaded *workbook.Loaded, result ledger.Result, season seasonRow) error {
	merged := &loaded.Merged
	for i, t := range merged.Tags {
		if on, ok := result.Opened[t.Code]; ok {
			merged.Tags[i].OpenedOn = &on
		}
	}
	row, err := json.Marshal(merged.Season[0])
	if err != nil {
		return err
	}
	if season.ID, err = l.q.SeasonPut(l.ctx, row); err != nil {
		wrap(&err, "write sheet season")
		return err
	}
	before, err := l.q.EntryCount(l.ctx)
	if err != nil {
		return err
	}
	changed := map[string]bool{"lots": true, "tags": len(result.Opened) > 0}
	for _, c := range loaded.Changes {
		changed[c.Sheet] = true
	}
	w := &writer{ctx: l.ctx, q: l.q, season: season.ID, changed: func(sheet string) bool { return changed[sheet] }}
	w.catalogue(merged)
	w.plan(merged)
	w.history(merged, day.At(l.now, loaded.Zone))
	w.post(result)
	if w.err != nil {
		return w.err
	}
	if err := l.q.PlanChanged(l.ctx); err != nil {
		wrap(&err, "say that the plan changed")
		return err
	}
	return l.setClock(before == 0, result.Entries)
}

// history writes what the records refer to: orders, lots, tags and charges.
func (w *writer) history(b *planner.Book, today day.Day) {
	put(w, "orders", b.Orders, w.of(w.q.OrderPut))
	add(w, "order-lines", b.OrderLines, w.of(w.q.OrderLinePut))
	put(w, "lots", b.Lots, w.of(w.q.LotPut))
	add(w, "lots", b.Lots, func(ctx context.Context, rows []byte) (int64, error) {
		return 0, w.q.LotCostPut(ctx, today.UTC(), rows, w.season)
	})
	put(w, "tags", b.Tags, w.of(w.q.TagPut))
	add(w, "charges", b.Charges, w.of(w.q.ChargePut))
}

// add writes rows of which some may be there already.
func add[T any](w *writer, sheet string, rows []T, write func(context.Context, []byte) (int64, error)) {
	put(w, sheet, rows, func(ctx context.Context, text []byte) (int64, error) {
		_, err := write(ctx, text)
		return int64(len(rows)), err
	})
}

// setClock lets the season's now be its last record, where a first load into an empty
// database lies ahead of the computer's clock.
func (l *loader) setClock(first bool, entries []ledger.Entry) error {
	var last time.Time
	for _, e := range entries {
		if e.At.After(last) {
			last = e.At
		}
	}
	if !first || !last.After(l.now) {
		return nil
	}
	err := l.q.ClockSet(l.ctx, last)
	wrap(&err, "set the season clock")
	l.report.ClockAt = last
	return err
}
