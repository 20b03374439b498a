package load

import (
	"context"
	"fmt"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// Options are what a load is asked for. The zero value packs the trip under way, else
// the next, to the season's confidence for each part, within the trip's own limits.
//
// With a limit alone the product of the chances is made as great as the limits allow,
// also beyond the confidence. With a confidence or a readiness the load is the lightest
// that reaches it within the limits.
type Options struct {
	Trip       string
	Confidence float64         // chance wanted per part, above 0 and below 1; 0: the season's
	Readiness  float64         // chance wanted for the trip (product without the short parts); 0: none
	LimitKG    planner.Decimal // gross; nil: the trip's own
	LimitL     planner.Decimal
	LimitSpend planner.Decimal   // home currency
	Carry      map[string]string // part -> quantity, in words, that must be with the trip
	Leave      []string          // parts that stay at home
	Least      string            // what a readiness asked for makes least: WhyKilos (the usual), WhyLitres, WhyMoney
	Alone      bool              // leave out what the trips before it leave
	Best       bool              // the greatest readiness within the limits
	Seconds    float64           // after so long the best so far is taken, with its bound; 0: no end
	Seed       uint64            // of the drawn readiness
	Draws      int               // 0: 20,000; below 0: none
}

// Result is a load.
type Result struct {
	AsOf       day.Day
	Trip       calendar.Trip
	PackOn     day.Day // by the end of this day; of a trip under way, the next top-up's
	Horizon    forecast.Horizon
	Confidence float64 // per part
	Readiness  Readiness
	Asked      Asked
	Bound, Gap float64 // no load within the limits has a greater product without the short parts; what is left to it

	Lines []Line   // what is to be packed, in the order of putting in; what stays on the truck is not in it
	Short []Short  // parts below the confidence, and what cannot come
	After []string // the trips before, that use the same stock first
	Left  []Before // of which parts they take what is with the trip now
	Cases []Case   // by air: those used

	Grams  decimal.Decimal // of the lines
	UL     units.Quantity  // room of the lines, microlitres
	Gross  decimal.Decimal // grams: lines, what stays, cases used with what is always in them
	Spend  planner.Money   // what comes from orders on their way, home currency
	Limits []Limit

	Certain      *Offer // the lightest load with which every certain job can be done
	More         *Offer // what the next readiness would weigh
	FirstToLeave *Step  // the container whose leaving costs least readiness a kilo
	NextToAdd    *Step  // what would bring most readiness a kilo
	Services     []Service
	PlaceNames   map[string]string // of every place, by its code
	Team         string
	Notes        []string // what could not be counted or was decided, and why
}

// Line is containers of one part from one place, lot, tag or order, into one case or
// drawer. A bottle, tub or tagged thing is a line of its own.
type Line struct {
	Part       planner.Part
	Quantity   units.Quantity // base units
	Containers int
	Place      string // where they are now; "" while on their way
	Case       string // the case or drawer they go into; "" where none is known
	Lot, Tag   string
	Serial     string   // of a numbered thing
	Order      string   // the order they come with
	DueOn      *day.Day // of that order
	Expires    *day.Day // last good day of the lot, or of the opened bottle if that is earlier
	Opened     *day.Day
	Chance     float64         // that what the trip has of the part is enough, on its own
	For        string          // the part it stands in for
	Layer      string          // by air, in its case: Bottom or Upper
	Waits      float64         // by air: rounds expected to pass before it is first used
	Grams      decimal.Decimal // with the empty containers
	About      bool            // a guess is in it: a liquid without a density counts as 1 g/ml
	UL         units.Quantity  // room, microlitres
	Spend      decimal.Decimal // of an order on its way, home currency
	Value      *decimal.Decimal
	ValueIn    string // currency of Value: cost or list value of the lot's share
}

// Short is a part that does not reach the confidence. Quantities are in base units.
type Short struct {
	Part   planner.Part
	Need   units.Quantity // at the confidence
	Have   units.Quantity // packed, there and fitted
	Chance float64        // that it is enough
	Why    string         // stock, kilos, litres, money, air
	Remedy string         // what may help, in words
	OnSite bool           // must be there, is not used up
	Stops  bool           // a job cannot be done without it
	// GivenUp: the work that surely needs it cannot be saved; the other parts were chosen as
	// if it were not wanted.
	GivenUp bool
}

// The reasons of a Short.
const (
	WhyStock  = "stock"
	WhyKilos  = "kilos"
	WhyLitres = "litres"
	WhyMoney  = "money"
	WhyAir    = "air"
	WhyLeft   = "left" // by wish
)

// Step is one change to the load and the readiness (product without the short parts)
// after it.
type Step struct {
	Part       planner.Part
	Container  string // as it is carried
	Containers int
	Readiness  float64
	Grams      decimal.Decimal
}

// Service is the chance that nothing stops any of its jobs on the trip: the product
// over the parts of its lines that stop the job.
type Service struct {
	Code  string
	Name  string
	Jobs  float64 // left; of an unplanned service, the number expected
	Ready float64
	Least string // the part most likely to stop it
	Care  string // the caution of the service
}

// Limit is what the load may not exceed.
type Limit struct {
	What string // kilos, litres, money
	Most decimal.Decimal
	Used decimal.Decimal
	Per  string // kg, l or a currency
	// OneMore is the readiness (product without the short parts) of the best load with one
	// more of it, the other limits as they are; 0 where it does not bind.
	OneMore float64
	// Binds: one more of it would raise the readiness.
	Binds bool
	// Worth is what one more of it would raise the readiness by, as a share of it; 0: it
	// does not bind.
	Worth float64
}

// UsualSeconds is how long a load is searched for where nothing is said.
const UsualSeconds = 10

// searchShare is the share of the time that goes to the choice of the load; the rest is for
// what is said beside it.
const searchShare = 0.7

// Plan returns what to pack for a trip.
func Plan(ctx context.Context, o *forecast.Outlook, opts Options) (*Result, error) {
	p, err := newPacking(ctx, o, opts)
	if err != nil {
		return nil, fmt.Errorf("pack: %w", err)
	}
	var end, endSoon context.CancelFunc
	p.soft, end = soonOf(ctx, opts.Seconds*searchShare)
	defer end()
	p.soon, endSoon = soonOf(ctx, opts.Seconds)
	defer endSoon()
	if err := p.pack(); err != nil {
		return nil, fmt.Errorf("pack %s: %w", p.trip.Code, err)
	}
	if err := p.oneMore(); err != nil {
		return nil, fmt.Errorf("pack %s: %w", p.trip.Code, err)
	}
	certain, more, err := p.offers()
	if err != nil {
		return nil, fmt.Errorf("pack %s: %w", p.trip.Code, err)
	}
	res, err := p.result()
	if err != nil {
		return nil, fmt.Errorf("pack %s: %w", p.trip.Code, err)
	}
	res.Certain, res.More = certain, more
	return res, nil
}
