package db

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
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
		UsedAt *time.Time     `json:"used_at"` // when the last of it was used up there, by these entries
	}
	jobRow struct {
		EntryID     uuid.UUID  `json:"entry_id"`
		Round       string     `json:"round"`
		Service     string     `json:"service"`
		Assembly    string     `json:"assembly"`
		ArrivedAt   *time.Time `json:"arrived_at"`
		UsedNothing bool       `json:"used_nothing"`
		HappenedAt  time.Time  `json:"happened_at"`
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
	Entries    []entryRow
	Movements  []movementRow
	Balances   []balanceRow
	Jobs       []jobRow
	Counts     []countRow
	Weighings  []weighingRow
	Opened     []openedRow
	PlaceMoves []placeMoveRow
}

func rowsOf(entries []ledger.Entry) ledgerRows {
	// JSON arrays, never null: the database counts them
	r := ledgerRows{Entries: []entryRow{}, Movements: []movementRow{}, Balances: []balanceRow{}, Jobs: []jobRow{}, Counts: []countRow{},
		Weighings: []weighingRow{}, Opened: []openedRow{}, PlaceMoves: []placeMoveRow{}}
	for _, e := range entries {
		sum := hashOf(e)
		row := entryRow{ID: e.ID, Kind: e.Kind, Person: e.Person, HappenedAt: e.At, RequestHash: hex.EncodeToString(sum[:]),
			Code: e.Code, Reference: e.Reference, DueBackOn: e.DueBackOn, Notes: e.Notes, SheetPos: e.Pos}
		if e.Undoes.Valid {
			row.Undoes = &e.Undoes.UUID
		}
		r.Entries = append(r.Entries, row)
		for i, m := range e.Moves {
			r.Movements = append(r.Movements, movementRow{EntryID: e.ID, N: i + 1, Lot: m.Lot, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity, Notes: m.Notes})
		}
		if j := e.Job; j != nil {
			r.Jobs = append(r.Jobs, jobRow{EntryID: e.ID, Round: j.Round, Service: j.Service, Assembly: j.Assembly, ArrivedAt: j.ArrivedAt, UsedNothing: j.UsedNothing, HappenedAt: e.At})
		}
		if c := e.Count; c != nil {
			r.Counts = append(r.Counts, countRow{EntryID: e.ID, Place: c.Place, Part: c.Part, Lot: c.Lot, Tag: c.Tag, Counted: c.Counted, Book: c.Book})
		}
		if m := e.CaseMove; m != nil {
			r.PlaceMoves = append(r.PlaceMoves, placeMoveRow{EntryID: e.ID, Place: m.Place, Parent: m.Parent})
		}
		if w := e.Weighing; w != nil {
			r.Weighings = append(r.Weighings, weighingRow{EntryID: e.ID, Tag: w.Tag, GrossMG: w.GrossMG, BenchC: w.BenchC, BookUL: w.BookUL})
		}
	}
	r.Balances = balancesOf(entries)
	return r
}

// balancesOf is what entries change at each key, and when they last used it up there.
func balancesOf(entries []ledger.Entry) []balanceRow {
	net, used, rows := map[ledger.Key]units.Quantity{}, map[ledger.Key]*time.Time{}, []balanceRow{}
	for _, e := range entries {
		for _, m := range e.Moves {
			net[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.From}] -= m.Quantity
			net[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.To}] += m.Quantity
			from := ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.From}
			if m.To == ledger.Used && m.From != ledger.CountDifference && (used[from] == nil || e.At.After(*used[from])) {
				used[from] = &e.At
			}
		}
	}
	for k, change := range net {
		rows = append(rows, balanceRow{Lot: k.Lot, Tag: k.Tag, Place: k.Place, Change: change, UsedAt: used[k]})
	}
	slices.SortFunc(rows, func(a, b balanceRow) int {
		return cmp.Or(strings.Compare(a.Lot, b.Lot), strings.Compare(a.Tag, b.Tag), strings.Compare(a.Place, b.Place))
	})
	return rows
}

// hashOf is the hash of what an entry says, so that the same id with another content is
// found out. The row it stood in does not count.
func hashOf(e ledger.Entry) [sha256.Size]byte {
	h := sha256.New()
	fmt.Fprint(h, e.Kind, "\x00", e.Person, "\x00", e.At.UnixNano(), "\x00", e.Reference, "\x00", e.Notes, "\x00")
	for _, m := range e.Moves {
		fmt.Fprint(h, m.Lot, "\x00", m.Tag, "\x00", m.From, "\x00", m.To, "\x00", int64(m.Quantity), "\x00", m.Notes, "\x00")
	}
	return [sha256.Size]byte(h.Sum(nil))
}

// params are the rows as record_write takes them: an array of JSON each.
func (r ledgerRows) params(season int32) (sqlcgen.RecordWriteParams, error) {
	p := sqlcgen.RecordWriteParams{SeasonID: season}
	for _, part := range []struct {
		to   *[]byte
		rows any
	}{
		{&p.Entries, r.Entries}, {&p.Movements, r.Movements}, {&p.Balances, r.Balances}, {&p.Jobs, r.Jobs},
		{&p.Counts, r.Counts}, {&p.Weighings, r.Weighings}, {&p.Opened, r.Opened}, {&p.PlaceMoves, r.PlaceMoves},
	} {
		text, err := json.Marshal(part.rows)
		if err != nil {
			return p, err
		}
		*part.to = text
	}
	return p, nil
}

// entriesAtOnce is how many entries are sent in one call: a season's load holds no more of
// them as text, here or in the server.
const entriesAtOnce = 5_000

// post writes a load's entries, and the balances after all of them: between two entries a
// place may read less than nothing, only the present is guarded.
func (w *writer) post(result ledger.Result) {
	if w.err != nil || len(result.Entries) == 0 {
		return
	}
	for some := range slices.Chunk(result.Entries, entriesAtOnce) {
		rows := rowsOf(some)
		rows.Balances = []balanceRow{}
		w.record(rows)
	}
	all := rowsOf(nil)
	all.Balances = balancesOf(result.Entries)
	w.record(all)
}

func (w *writer) record(rows ledgerRows) {
	if w.err != nil {
		return
	}
	params, err := rows.params(w.season)
	if err != nil {
		w.err = err
		return
	}
	w.err = w.q.RecordWrite(w.ctx, params)
	wrap(&w.err, "write the records")
}
