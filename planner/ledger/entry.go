package ledger

import (
	"time"

	"github.com/google/uuid"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// The outside: where stock comes from and ends. Never shown as places.
const (
	Supplier        = "supplier"
	Used            = "used"
	Scrap           = "scrap"
	CountDifference = "count difference"
	Opening         = "opening"
	OpenedKit       = "opened kit"
	Relabelled      = "relabelled"
)

// Outside lists them.
func Outside() []string {
	return []string{Supplier, Used, Scrap, CountDifference, Opening, OpenedKit, Relabelled}
}

// OutsideOf is the set of a book's places that are outside, those of Outside among them:
// all others are kept and never below nothing.
func OutsideOf(b *planner.Book) map[string]bool {
	outside := map[string]bool{}
	for _, o := range Outside() {
		outside[o] = true
	}
	for _, p := range b.Places {
		outside[p.Code] = outside[p.Code] || p.Kind == "outside"
	}
	return outside
}

// Move says that a quantity of a lot went from one place to another, once.
type Move struct {
	Lot, Tag, From, To string
	Quantity           units.Quantity // above 0
	Notes              string
}

// Entry is one thing a person did, with its movements.
type Entry struct {
	ID        uuid.UUID
	Kind      string // of the database's closed list
	Code      string // its name in a workbook; empty for what has only its id
	Person    string
	At        time.Time
	Reference string
	Undoes    uuid.NullUUID
	DueBackOn *day.Day
	Notes     string
	Pos       *int `json:"-"` // the row in its sheet; nil for what the ledger adds itself
	Moves     []Move
	Job       *JobRow
	Count     *CountRow
	Weighing  *WeighingRow
	CaseMove  *CaseMove
}

// CaseMove says that a place now stands inside another; a blank Parent: in none.
type CaseMove struct{ Place, Parent string }

// JobRow is the job of a job entry.
type JobRow struct {
	Round, Service, Assembly string
	ArrivedAt                *time.Time
	UsedNothing              bool
}

// CountRow is what was counted; Lot and Tag are set where one lot and tag was
// (a stock row), else the count is of the part at the place and below it.
type CountRow struct {
	Place, Part, Lot, Tag string
	Exact                 bool
	Counted               units.Quantity
	Book                  *units.Quantity
}

// WeighingRow is what the scale said of one bottle.
type WeighingRow struct {
	Tag     string
	GrossMG units.Milligrams
	BenchC  *string // kept as typed; no figure uses it
	BookUL  *units.Quantity
}

// namespace makes the ids of rows that come from a workbook: fixed for ever, so that
// the same row is the same record on every machine (RFC 9562, version 5).
var namespace = uuid.MustParse("6f1d7b0e-6c9e-5a51-9d0b-3a3f6a4f5d10")

// ID returns the identity of a workbook's row: UUIDv5 of season, sheet and key. A
// code that is itself a UUID is taken as the id.
func ID(season, sheet, code string) uuid.UUID {
	if id, err := uuid.Parse(code); err == nil {
		return id
	}
	return uuid.NewSHA1(namespace, []byte(season+"\x00"+sheet+"\x00"+code))
}

// Because returns the identity of what the ledger adds itself: UUIDv5 of its cause.
func Because(cause uuid.UUID, what string) uuid.UUID { return uuid.NewSHA1(cause, []byte(what)) }

// FoundID returns the identity of what is booked as found at a key, where a record took
// more than was there.
func FoundID(cause uuid.UUID, k Key) uuid.UUID {
	return Because(cause, "found "+k.Lot+" "+k.Tag+" "+k.Place)
}
