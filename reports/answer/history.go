package answer

import (
	"time"

	"github.com/google/uuid"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/record"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

// Moved is one row of `stock history PART --json`.
type Moved struct {
	When      time.Time `json:"when"`
	Person    string    `json:"person"`
	Kind      string    `json:"kind"`
	Undo      bool      `json:"undo"`
	Undone    bool      `json:"undone"`   // it is taken back
	Redo      bool      `json:"redo"`     // it puts back what was undone
	PutBack   bool      `json:"put_back"` // it is undone, and put back
	Service   string    `json:"service"`
	Assembly  string    `json:"assembly"`
	Lot       string    `json:"lot"`
	Tag       string    `json:"tag"`
	From      string    `json:"from"`
	To        string    `json:"to"`
	Quantity  float64   `json:"quantity"`
	Unit      string    `json:"unit"`
	Reference string    `json:"reference"`
	Notes     string    `json:"notes"`
	Record    uuid.UUID `json:"record"`
}

// OfHistory renders the movements of a part.
func OfHistory(moved []stock.Moved, unit units.Unit) []Moved {
	out := make([]Moved, len(moved))
	for i, m := range moved {
		out[i] = Moved{When: m.At, Person: m.Person, Kind: m.Kind, Undo: m.Undo, Undone: m.TakenBack, Redo: m.Redo, PutBack: m.PutBack, Service: m.Service, Assembly: m.Assembly, Lot: m.Lot, Tag: m.Tag,
			From: m.From, To: m.To, Quantity: units.ToFloat(m.Quantity, unit), Unit: string(unit), Reference: m.Reference, Notes: m.Notes, Record: m.Entry}
	}
	return out
}

// Recorded is what a record did, as every command that records prints it with --json.
type Recorded struct {
	ID       uuid.UUID      `json:"id"`
	Repeat   bool           `json:"repeat"`
	DryRun   bool           `json:"dry_run"`
	Moves    []RecordedMove `json:"moves"`
	Warnings []string       `json:"warnings"`
	Doubles  []uuid.UUID    `json:"doubles"`
	Notes    []string       `json:"notes"`
}

// RecordedMove is one movement of it.
type RecordedMove struct {
	Part     string  `json:"part"`
	Lot      string  `json:"lot"`
	Tag      string  `json:"tag"`
	From     string  `json:"from"`
	To       string  `json:"to"`
	Quantity float64 `json:"quantity"`
	Unit     string  `json:"unit"`
}

// OfMoves renders the movements of entries.
func OfMoves(entries []ledger.Entry, partOf map[string]string, parts map[string]planner.Part) []RecordedMove {
	out := []RecordedMove{}
	for _, e := range entries {
		for _, m := range e.Moves {
			p := parts[partOf[m.Lot]]
			out = append(out, RecordedMove{Part: p.Code, Lot: m.Lot, Tag: m.Tag, From: m.From, To: m.To, Quantity: units.ToFloat(m.Quantity, p.Unit), Unit: string(p.Unit)})
		}
	}
	return out
}

// Undone is what an undo or a redo did: a record, and what it took back or put back.
type Undone struct {
	Recorded
	Of Told `json:"of"`
}

// Told is a record as people are told of it.
type Told struct {
	ID     uuid.UUID `json:"id"`
	Code   string    `json:"code"` // of a workbook; "" for what was recorded here
	Kind   string    `json:"kind"`
	When   time.Time `json:"when"`
	Person string    `json:"person"`
	Title  string    `json:"title"`
	Lines  []string  `json:"lines"`
}

// OfRecord renders a record.
func OfRecord(r record.Record, parts map[string]planner.Part) Told {
	e := r.First()
	return Told{ID: r.ID, Code: e.Code, Kind: e.Kind, When: e.At, Person: e.Person, Title: r.Title(), Lines: append([]string{}, r.Lines(parts)...)}
}
