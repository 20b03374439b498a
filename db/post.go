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

	"roundkit/db/sqlcgen"
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
		Claimed     bool       `json:"claimed"`
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
	openedRow struct {
		Tag      string  `json:"tag"`
		OpenedOn day.Day `json:"opened_on"`
	}
	placeMoveRow struct {
		EntryID uuid.UUID `json:"entry_id"`
		Place   string    `json:"place"`
		Parent  string    `json:"parent"`
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
	Entries    []entryRow     `json:"entries"`
	Movements  []movementRow  `json:"movements"`
	Balances   []balanceRow   `json:"balances"`
	Jobs       []jobRow       `json:"jobs"`
	Counts     []countRow     `json:"counts"`
	Weighings  []weighingRow  `json:"weighings"`
	Opened     []openedRow    `json:"opened"`
	PlaceMoves []placeMoveRow `json:"place_moves"`
}

func rowsOf(entries []ledger.Entry) (ledgerRows, error) {
	// JSON arrays, never null: the database counts them
	r := ledgerRows{Entries: []entryRow{}, Movements: []movementRow{}, Balances: []balanceRow{}, Jobs: []jobRow{}, Counts: []countRow{},
		Weighings: []weighingRow{}, Opened: []openedRow{}, PlaceMoves: []placeMoveRow{}}
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
		r.Entries = append(r.Entries, row)
		for i, m := range e.Moves {
			r.Movements = append(r.Movements, movementRow{EntryID: e.ID, N: i + 1, Lot: m.Lot, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity, Notes: m.Notes})
			net[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.From}] -= m.Quantity
			net[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.To}] += m.Quantity
		}
		if j := e.Job; j != nil {
			r.Jobs = append(r.Jobs, jobRow{EntryID: e.ID, Round: j.Round, Service: j.Service, Assembly: j.Assembly, ArrivedAt: j.ArrivedAt, UsedNothing: j.UsedNothing})
		}
		if c := e.Count; c != nil {
			r.Counts = append(r.Counts, countRow{EntryID: e.ID, Place: c.Place, Part: c.Part, Lot: c.Lot, Tag: c.Tag, Counted: c.Counted, Book: c.Book})
		}
		if w := e.Weighing; w != nil {
			r.Weighings = append(r.Weighings, weighingRow{EntryID: e.ID, Tag: w.Tag, GrossMG: w.GrossMG, BenchC: w.BenchC, BookUL: w.BookUL})
		}
	}
	for k, change := range net {
		r.Balances = append(r.Balances, balanceRow{Lot: k.Lot, Tag: k.Tag, Place: k.Place, Change: change})
	}
	slices.SortFunc(r.Balances, func(a, b balanceRow) int {
		return strings.Compare(a.Lot+"\x00"+a.Tag+"\x00"+a.Place, b.Lot+"\x00"+b.Tag+"\x00"+b.Place)
	})
	return r, nil
}

// write stores entries that package ledger made. Claimed entries are those whose id
// record_begin has taken already.
func (r ledgerRows) write(ctx context.Context, q *sqlcgen.Queries, season int32) error {
	text, err := json.Marshal(r)
	if err != nil {
		return err
	}
	err = q.RecordWrite(ctx, season, text)
	wrap(&err, "write the records")
	return err
}

// post writes a load's entries.
func (w *writer) post(result ledger.Result) {
	if w.err != nil || len(result.Entries) == 0 {
		return
	}
	rows, err := rowsOf(result.Entries)
	if err != nil {
		w.err = err
		return
	}
	w.err = rows.write(w.ctx, w.q, w.season)
}
