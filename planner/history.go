package planner

import (
	"time"

	"github.com/shopspring/decimal"

	"roundkit/planner/day"
	"roundkit/planner/units"
)

// History is what has happened: rows are only ever added.
type History struct {
	Orders     []Order     `sheet:"orders"`
	OrderLines []OrderLine `sheet:"order-lines"`
	Lots       []Lot       `sheet:"lots"`
	Tags       []Tag       `sheet:"tags"`
	Stock      []StockRow  `sheet:"stock"`
	Jobs       []Job       `sheet:"job-log"`
	JobParts   []JobPart   `sheet:"job-parts"`
	Movements  []Movement  `sheet:"movements"`
	Counts     []Count     `sheet:"counts"`
	Weighings  []Weighing  `sheet:"weighings"`
	Charges    []Charge    `sheet:"charges"`
}

// Book is everything a season workbook can say.
type Book struct {
	Plan
	Catalogue
	History
}

// Lot is what came in one receipt; cost is of the whole lot, with what was spread over it
// since. FirstCost is what it was recorded with: what a workbook from before says.
type Lot struct {
	Code       string          `sheet:"lot" is:"key" json:"code"`
	Part       string          `sheet:"part" is:"needed" ref:"part" json:"part"`
	Supplier   string          `sheet:"supplier" ref:"supplier" json:"supplier"`
	Order      string          `sheet:"order" ref:"order" json:"order_code"`
	FromLot    string          `sheet:"from lot" ref:"lot" json:"from_lot"`
	ReceivedOn *day.Day        `sheet:"received" json:"received_on"`
	ExpiresOn  *day.Day        `sheet:"expires" json:"expires_on"` // last good day
	Quantity   *units.Quantity `sheet:"quantity" in:"Part" json:"quantity"`
	Cost       Decimal         `sheet:"cost" json:"cost"`
	FirstCost  Decimal         `json:"first_cost"`
	Currency   string          `sheet:"currency" json:"currency"`
	ListValue  Decimal         `sheet:"list value" json:"list_value"`
	Allocation *bool           `sheet:"allocation" json:"allocation"`
	Notes      string          `sheet:"notes" json:"notes"`
}

// Tag is the label on one physical thing of a lot.
type Tag struct {
	Code               string            `sheet:"tag" is:"key" json:"code"`
	Lot                string            `sheet:"lot" ref:"lot" json:"lot"`
	Part               string            `sheet:"part" is:"needed" ref:"part" json:"part"`
	TareMG             *units.Milligrams `sheet:"tare g" json:"tare_mg"`
	Contents           *units.Quantity   `sheet:"contents" in:"Part" json:"contents"`
	OpenedOn           *day.Day          `sheet:"opened on" json:"opened_on"` // blank: sealed
	MeasuredRateNPerMM Decimal           `sheet:"measured rate N/mm" json:"measured_rate"`
	SerialNumber       string            `sheet:"serial number" json:"serial_number"`
	Notes              string            `sheet:"notes" json:"notes"`
}

// StockRow is a count of one lot and tag at one place, at 00:00 of its day or at a time.
type StockRow struct {
	Place     string         `sheet:"place" is:"key" ref:"place" json:"place"`
	Part      string         `sheet:"part" is:"key" ref:"part" json:"part"`
	Lot       string         `sheet:"lot" is:"key" ref:"lot" json:"lot"`
	Tag       string         `sheet:"tag" is:"key" ref:"tag" json:"tag"`
	Quantity  units.Quantity `sheet:"quantity" is:"needed" in:"Part" json:"quantity"`
	CountedAt time.Time      `sheet:"counted on" is:"key" json:"counted_at"`
	Arrival   *int           `sheet:"arrival" json:"arrival"` // in the order of arrival; blank: the ledger decides
	Notes     string         `sheet:"notes" json:"notes"`
}

// Order is what is bought from one supplier at one time.
type Order struct {
	Code      string   `sheet:"order" is:"key" json:"code"`
	Supplier  string   `sheet:"supplier" is:"needed" ref:"supplier" json:"supplier"`
	PlacedOn  *day.Day `sheet:"placed" json:"placed_on"`
	DueOn     *day.Day `sheet:"due" json:"due_on"`
	ShipTo    string   `sheet:"ship to" ref:"place" json:"ship_to"`
	ArrivedOn *day.Day `sheet:"arrived" json:"arrived_on"` // blank: still on order
	State     string   `sheet:"state" oneof:"drafted|placed|confirmed|part here|here|called off" json:"state"`
	Carriage  Decimal  `sheet:"carriage" json:"carriage"`
	Duty      Decimal  `sheet:"duty" json:"duty"`
	EntryFee  Decimal  `sheet:"entry fee" json:"entry_fee"`
	Currency  string   `sheet:"currency" json:"currency"`
	Notes     string   `sheet:"notes" json:"notes"`
}

// OrderLine is what was ordered of one part.
type OrderLine struct {
	Order        string         `sheet:"order" is:"key" ref:"order" json:"order_code"`
	Part         string         `sheet:"part" is:"key" ref:"part" json:"part"`
	Packs        *int           `sheet:"packs" json:"packs"`
	Quantity     units.Quantity `sheet:"quantity" is:"needed" in:"Part" json:"quantity"`
	PricePerPack Decimal        `sheet:"price per pack" json:"price_per_pack"`
	FreePacks    *int           `sheet:"free packs" json:"free_packs"` // of Packs, by an allocation; blank: 0
	Notes        string         `sheet:"notes" json:"notes"`
}

// Paid is how many of the line's packs are paid for; nil where the packs are not known.
func (l OrderLine) Paid() *int {
	if l.Packs == nil || l.FreePacks == nil {
		return l.Packs
	}
	paid := *l.Packs - *l.FreePacks
	return &paid
}

// Job is one service done on an assembly.
type Job struct {
	Code      string    `sheet:"job" is:"key" json:"code"`
	DoneAt    time.Time `sheet:"done at" is:"needed" json:"done_at"`
	Person    string    `sheet:"person" ref:"person" json:"person"`
	Round     string    `sheet:"round" ref:"round" json:"round"` // blank: between rounds
	Service   string    `sheet:"service" is:"needed" ref:"service" json:"service"`
	Assembly  string    `sheet:"assembly" ref:"assembly" json:"assembly"`
	ArrivedAt Moment    `sheet:"arrived at" json:"arrived_at"`
	UndoneAt  Moment    `sheet:"undone at" json:"undone_at"`
	UndoneBy  string    `sheet:"undone by" ref:"person" json:"undone_by"`
	Arrival   *int      `sheet:"arrival" json:"arrival"`
	Notes     string    `sheet:"notes" json:"notes"`
}

// JobPart is one part that a job moved.
type JobPart struct {
	Job      string          `sheet:"job" is:"needed" ref:"job" json:"job"`
	Part     string          `sheet:"part" ref:"part" json:"part"` // blank: the job used nothing
	Lot      string          `sheet:"lot" ref:"lot" json:"lot"`
	Tag      string          `sheet:"tag" ref:"tag" json:"tag"`
	From     string          `sheet:"from" ref:"place" json:"from_place"`
	To       string          `sheet:"to" ref:"place" json:"to_place"`
	Quantity *units.Quantity `sheet:"quantity" in:"Part" json:"quantity"`
	Notes    string          `sheet:"notes" json:"notes"`
}

// Movement is a movement that no job made. Where it has its number of arrival it may also say
// what else was recorded: what a job's undo took back, an undo of what had moved nothing, a case
// put somewhere else.
type Movement struct {
	Code      string         `sheet:"movement" is:"key" json:"code"`
	At        time.Time      `sheet:"when" is:"needed" json:"happened_at"`
	Person    string         `sheet:"person" ref:"person" json:"person"`
	Part      string         `sheet:"part" is:"needed" ref:"part" json:"part"`
	Lot       string         `sheet:"lot" ref:"lot" json:"lot"`
	Tag       string         `sheet:"tag" ref:"tag" json:"tag"`
	From      string         `sheet:"from" is:"needed" ref:"place" json:"from_place"`
	To        string         `sheet:"to" is:"needed" ref:"place" json:"to_place"`
	Quantity  units.Quantity `sheet:"quantity" is:"needed" in:"Part" json:"quantity"`
	Reason    string         `sheet:"reason" oneof:"receipt|move|pack|return|count|weighing|lend|lent back|open kit|tag|scrap|job|stock" json:"reason"`
	Reference string         `sheet:"reference" json:"reference"`
	Undoes    string         `sheet:"undoes" ref:"movement" json:"undoes"`
	DueBackOn *day.Day       `sheet:"due back" json:"due_back_on"`
	Case      string         `sheet:"case" ref:"place" json:"moved_place"` // the place that was moved, whole
	Arrival   *int           `sheet:"arrival" json:"arrival"`
	Notes     string         `sheet:"notes" json:"notes"`
}

// Count is what was counted of one part at one place and below it.
type Count struct {
	Code    string          `sheet:"count" is:"key" json:"code"`
	At      time.Time       `sheet:"when" is:"needed" json:"happened_at"`
	Person  string          `sheet:"person" ref:"person" json:"person"`
	Place   string          `sheet:"place" is:"needed" ref:"place" json:"place"`
	Part    string          `sheet:"part" is:"needed" ref:"part" json:"part"`
	Counted units.Quantity  `sheet:"counted" is:"needed" in:"Part" json:"counted"`
	Book    *units.Quantity `sheet:"book" in:"Part" json:"book"` // blank: the load posts the difference
	Arrival *int            `sheet:"arrival" json:"arrival"`
	Notes   string          `sheet:"notes" json:"notes"`
}

// Weighing is what the scale said of one bottle.
type Weighing struct {
	Code    string           `sheet:"weighing" is:"key" json:"code"`
	At      time.Time        `sheet:"when" is:"needed" json:"happened_at"`
	Person  string           `sheet:"person" ref:"person" json:"person"`
	Tag     string           `sheet:"tag" is:"needed" ref:"tag" json:"tag"`
	GrossMG units.Milligrams `sheet:"gross g" is:"needed" json:"gross_mg"`
	BenchC  Decimal          `sheet:"bench C" json:"bench_c"`
	BookUL  *units.Quantity  `sheet:"book ml" in:"ml" json:"book_ul"`
	Arrival *int             `sheet:"arrival" json:"arrival"`
	Notes   string           `sheet:"notes" json:"notes"`
}

// Charge is money without a lot.
type Charge struct {
	Code     string          `sheet:"charge" is:"key" json:"code"`
	On       day.Day         `sheet:"date" is:"needed" json:"on_day"`
	Line     string          `sheet:"line" oneof:"parts|freight|customs lists and agents|oils and waste|courier|contingency" json:"line"`
	Round    string          `sheet:"round" ref:"round" json:"round"`
	Supplier string          `sheet:"supplier" ref:"supplier" json:"supplier"`
	Amount   decimal.Decimal `sheet:"amount" is:"needed" json:"amount"`
	Currency string          `sheet:"currency" json:"currency"`
	Notes    string          `sheet:"notes" json:"notes"`
}
