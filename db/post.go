package db

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// The rows of the ledger's put queries.
type (
	entryRow struct {
		ID          uuid.UUID  `json:"id"`
		Kind        string     `json:"kind"`
		Person      string     `json:"person"`
		HappenedAt  time.Time  `json:"happened_at"`
		RequestHash string     `json:"request_hash"`
		Undoes      *uuid.UUID `json:"undoes"`
		Code        string     `json:"code"`
		Reference   string     `json:"reference"`
		DueBackOn   *day.Day   `json:"due_back_on"`
		Notes       string     `json:"notes"`
		SheetPos    *int       `json:"sheet_pos"`
		Pos         *int       `json:"-"`
	}
	movementRow struct {
		EntryID  uuid.UUID      `json:"entry_id"`
		N        int            `json:"n"`
		Lot      string         `json:"lot"`
		Tag      string         `json:"tag"`
		From     string         `json:"from_place"`
		To       string         `json:"to_place"`
		Quantity units.Quantity `json:"quantity"`
		Notes    string         `json:"notes"`
	}
	balanceRow struct {
		Lot    string         `json:"lot"`
		Tag    string         `json:"tag"`
		Place  string         `json:"place"`
		Change units.Quantity `json:"change"`
	}
	jobRow struct {
		EntryID     uuid.UUID  `json:"entry_id"`
		Round       string     `json:"round"`
		Service     string     `json:"service"`
		Assembly    string     `json:"assembly"`
		ArrivedAt   *time.Time `json:"arrived_at"`
		UsedNothing bool       `json:"used_nothing"`
	}
	countRow struct {
		EntryID uuid.UUID       `json:"entry_id"`
		Place   string          `json:"place"`
		Part    string          `json:"part"`
		Lot     string          `json:"lot"`
		Tag     string          `json:"tag"`
		Counted units.Quantity  `json:"counted"`
		Book    *units.Quantity `json:"book"`
	}
	weighingRow struct {
		EntryID uuid.UUID        `json:"entry_id"`
		Tag     string           `json:"tag"`
		GrossMG units.Milligrams `json:"gross_mg"`
		BenchC  *string          `json:"bench_c"`
		BookUL  *units.Quantity  `json:"book_ul"`
	}
)

// ledgerRows are entries taken apart into the tables' rows.
type ledgerRows struct {
	ids       []uuid.UUID
	entries   []entryRow
	movements []movementRow
	balances  []balanceRow
	jobs      []jobRow
	counts    []countRow
	weighings []weighingRow
}

func rowsOf(entries []ledger.Entry) (ledgerRows, error) {
	var r ledgerRows
	net := map[ledger.Key]units.Quantity{}
	for _, e := range entries {
		content, err := json.Marshal(e)
		if err != nil {
			return r, err
		}
		sum := sha256.Sum256(content)
		row := entryRow{ID: e.ID, Kind: e.Kind, Person: e.Person, HappenedAt: e.At, RequestHash: hex.EncodeToString(sum[:]),
			Code: e.Code, Reference: e.Reference, DueBackOn: e.DueBackOn, Notes: e.Notes, SheetPos: e.Pos}
		if e.Undoes.Valid {
			row.Undoes = &e.Undoes.UUID
		}
		r.ids = append(r.ids, e.ID)
		r.entries = append(r.entries, row)
		for i, m := range e.Moves {
			r.movements = append(r.movements, movementRow{EntryID: e.ID, N: i + 1, Lot: m.Lot, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity, Notes: m.Notes})
			net[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.From}] -= m.Quantity
			net[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.To}] += m.Quantity
		}
		if j := e.Job; j != nil {
			r.jobs = append(r.jobs, jobRow{EntryID: e.ID, Round: j.Round, Service: j.Service, Assembly: j.Assembly, ArrivedAt: j.ArrivedAt, UsedNothing: j.UsedNothing})
		}
		if c := e.Count; c != nil {
			r.counts = append(r.counts, countRow{EntryID: e.ID, Place: c.Place, Part: c.Part, Lot: c.Lot, Tag: c.Tag, Counted: c.Counted, Book: c.Book})
		}
		if w := e.Weighing; w != nil {
			r.weighings = append(r.weighings, weighingRow{EntryID: e.ID, Tag: w.Tag, GrossMG: w.GrossMG, BenchC: w.BenchC, BookUL: w.BookUL})
		}
	}
	for k, change := range net {
		r.balances = append(r.balances, balanceRow{Lot: k.Lot, Tag: k.Tag, Place: k.Place, Change: change})
	}
	slices.SortFunc(r.balances, func(a, b balanceRow) int {
		return strings.Compare(a.Lot+"\x00"+a.Tag+"\x00"+a.Place, b.Lot+"\x00"+b.Tag+"\x00"+b.Place)
	})
	return r, nil
}

// post writes entries that package ledger made, with their movements and balances.
func (w *writer) post(entries []ledger.Entry, recordedAt time.Time) {
	if w.err != nil || len(entries) == 0 {
		return
	}
	r, err := rowsOf(entries)
	if err != nil {
		w.err = err
		return
	}
	w.changed = func(string) bool { return true }
	swap := func(f func(context.Context, []byte, int32) (int64, error)) func(context.Context, []byte) (int64, error) {
		return func(ctx context.Context, rows []byte) (int64, error) { return f(ctx, rows, w.season) }
	}
	put(w, "entries", r.entries, func(ctx context.Context, rows []byte) (int64, error) {
		return w.q.EntryPut(ctx, w.season, recordedAt, rows)
	})
	if w.err == nil {
		w.err = w.q.EntrySeqPut(w.ctx, r.ids)
		wrap(&w.err, "number the entries")
	}
	put(w, "movements", r.movements, swap(w.q.MovementPut))
	put(w, "balances", r.balances, func(ctx context.Context, rows []byte) (int64, error) {
		return int64(len(r.balances)), w.q.BalanceOpen(ctx, rows, w.season)
	})
	put(w, "balances", r.balances, swap(w.q.BalanceAdd))
	put(w, "job-log", r.jobs, w.of(w.q.JobPut))
	put(w, "counts", r.counts, swap(w.q.CountLinePut))
	put(w, "weighings", r.weighings, swap(w.q.WeighingPut))
}
