package order

import (
	"fmt"
	"strings"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

// planning is one plan while it is made.
type planning struct {
	o    *forecast.Outlook
	s    *planner.Snapshot
	opts Options
	res  Result

	under    []underWay
	stages   []stage
	rounds   []string // all that are left, in the calendar's order
	all      map[string]forecast.Part
	needs    *needs
	holdings map[string][]planner.Holding // of a part, first to expire first
	incoming []incoming                   // open orders
	moved    []moved                      // what the plan moves to a trip under way
	wants    []want                       // what must be bought, before it is put in orders
	offers   map[string][]offer
	base     string // the workshop, where parcels go
	handling day.Day
	ways     ways
	notes    notes

	lotGoodTo, tagGoodTo map[string]day.Day
}

// known is the need as forecast on a day, which stock does not change: plans of that day
// may share it.
type known struct {
	whole forecast.Result
	needs *needs
}

// newPlanner reads what a plan is made from. before is what a plan of the same day and
// rounds knew of the need, or nil.
func newPlanner(o *forecast.Outlook, opts Options, before *known) (*planning, error) {
	s := o.Snapshot
	p := &planning{
		o: o, s: s, opts: opts, res: Result{AsOf: s.AsOf, Holding: UsualHolding},
		holdings: map[string][]planner.Holding{}, lotGoodTo: map[string]day.Day{}, tagGoodTo: map[string]day.Day{},
	}
	if opts.Holding != nil {
		p.res.Holding = *opts.Holding
	}
	if !(p.res.Holding >= 0 && p.res.Holding <= 10) {
		return nil, fmt.Errorf("holding cost: found %v of the price a year, expected 0 to 10, such as 0.10", p.res.Holding)
	}
	if len(s.Season) > 0 && s.Season[0].HandlingDays != nil {
		p.handling = day.Day(*s.Season[0].HandlingDays)
	}
	var whole forecast.Result
	if before != nil {
		whole = before.whole
	} else {
		var err error
		ask := forecast.Options{Rounds: opts.Rounds, Trip: opts.Trip, Season: len(opts.Rounds) == 0 && opts.Trip == "", Confidence: opts.Confidence, Workers: opts.Workers}
		if whole, err = o.Forecast(ask); err != nil {
			return nil, err
		}
	}
	p.res.Confidence = whole.Confidence
	p.notes.add(whole.Notes...)
	p.all = map[string]forecast.Part{}
	for _, part := range whole.Parts {
		p.all[part.Code] = part
	}
	asked := map[string]bool{}
	for _, r := range whole.Horizon.Rounds {
		asked[r.Code] = true
		if !calendar.Over(r, s.AsOf) {
			p.rounds = append(p.rounds, r.Code)
		}
	}
	if len(p.rounds) == 0 {
		p.notes.add(fmt.Sprintf("no round asked for is still ahead on %s: nothing is needed", s.AsOf))
	}
	p.under, p.stages = layOut(o.Calendar, s, asked, func(t calendar.Trip) []string { return place.Roots(t.Trip, s.Packed) })
	for _, u := range p.under {
		p.res.Trips = append(p.res.Trips, u.trip.Code)
	}
	for _, st := range p.stages {
		if n := len(p.res.Trips); n == 0 || p.res.Trips[n-1] != st.trip.Code {
			p.res.Trips = append(p.res.Trips, st.trip.Code)
		}
	}
	if before != nil {
		p.needs = before.needs
	} else {
		p.needs = newNeeds(o, p.res.Confidence, opts.Workers, strings.Join(p.rounds, " "), whole)
	}
	p.readBase()
	p.readHoldings()
	p.readIncoming()
	p.readOffers()
	return p, nil
}

// readBase finds where parcels go: the first workshop that is in no other place.
func (p *planning) readBase() {
	for _, pl := range p.s.Places {
		if pl.Kind == "workshop" && pl.In == "" {
			p.base = pl.Code
			return
		}
	}
	p.notes.add("no place of kind workshop: orders have no place to be sent to")
}

// part plans one part: the trips under way first, since nothing else can be ready as
// soon, then those still to be packed.
func (p *planning) part(part planner.Part) error {
	if p.all[part.Code].AtConfidence == 0 {
		return nil
	}
	w := &walk{p: p, part: part, free: p.freeLeft(part)}
	for i := range p.under {
		if err := p.underWay(&p.under[i], part, w); err != nil {
			return err
		}
	}
	for k := range p.stages {
		if err := w.step(k); err != nil {
			return err
		}
	}
	return nil
}

// noAir reports whether a part may not go by air, so that on a trip by air it must be
// had there.
func noAir(part planner.Part, t calendar.Trip) bool {
	return t.GoesBy == calendar.Air && part.ByAir != nil && !*part.ByAir
}

// notes collects what is to be said once.
type notes struct {
	lines []string
	seen  map[string]bool
}

func (n *notes) add(lines ...string) {
	for _, line := range lines {
		if n.seen == nil {
			n.seen = map[string]bool{}
		}
		if !n.seen[line] {
			n.seen[line] = true
			n.lines = append(n.lines, line)
		}
	}
}

func (n *notes) list() []string { return n.lines }

func say(q units.Quantity, part planner.Part) string { return units.Say(q, part.Unit) }
