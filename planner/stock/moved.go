package stock

import (
	"time"

	"github.com/google/uuid"

	"roundkit/planner/units"
)

// Moved is one movement as people ask about it: who, when, on what, from where to where.
type Moved struct {
	Entry             uuid.UUID
	At                time.Time
	Person            string
	Kind              string    // job, move, count, ...
	Undo              bool      // takes a record of that kind back
	Undoes            uuid.UUID // that record; told of a trip's movements, like round and part
	TakenBack         bool      // it is undone
	Redo              bool      // it puts back what was undone; told of a part's movements, like the next
	PutBack           bool      // it is undone, and put back
	Service, Assembly string    // of a job
	Round, Part       string
	Lot, Tag          string
	From, To          string
	Quantity          units.Quantity
	Reference, Notes  string
}
