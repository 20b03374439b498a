package planner

import (
	"time"

	"github.com/shopspring/decimal"

	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Snapshot is what the planner sees: the plan and the catalogue of today, and the
// sums of the stores ledger as of the end of a day. It holds no movements.
type Snapshot struct {
	Catalogue
	Plan
	Lots       []Lot
	Tags       []Tag
	Orders     []Order // of every state; placed after AsOf left out
	OrderLines []OrderLine
	AsOf       day.Day
	Zone       *time.Location
	Stock      []Holding
	Done       []DoneJobs
	Use        []PartUse // of the parts with an allocation, counted by use
	Packed     []PackedFor
}

// Holding is how much of a lot (or of one tag of it) is at a place of ours, an
// assembly or lent, as of the day. Quantity is above 0.
type Holding struct {
	Part      string
	Lot       string
	Tag       string
	Place     string
	Quantity  units.Quantity
	DueBackOn *day.Day // of a lent thing
}

// DoneJobs is how many jobs of a service were logged (and not undone) as of the day.
type DoneJobs struct {
	Round, Service, Assembly string
	Jobs                     int
}

// PartUse is how much jobs moved to "used" of a part since the season began.
type PartUse struct {
	Part     string
	Quantity units.Quantity
}

// PackedFor says that a case holds stock packed for a trip (reason pack) as of the day.
type PackedFor struct {
	Trip, Case string
}

// Money is an exact amount in an ISO 4217 currency.
type Money struct {
	Amount   decimal.Decimal
	Currency string
}
