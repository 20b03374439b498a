package load

import (
	"context"
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/mass"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

// packing is a load while it is made.
type packing struct {
	ctx  context.Context // of the one call that makes this load
	soft context.Context // ends the search for the load; the best so far is taken
	soon context.Context // ends what is only said beside it
	o    *forecast.Outlook
	opts Options
	trip calendar.Trip
	res  forecast.Result

	packOn    day.Day
	handling  int
	lastOn    day.Day
	topUp     *planner.TopUp // of a trip under way: the next one
	stays     []string       // roots of what is already with the trip
	refused   []string       // roots that serve another trip
	closed    bool           // nothing can join any more
	parts     []supply       // in the catalogue's order
	at        map[string]int // index into parts
	work      work
	blocks    []block
	models    []*springBlock
	chain     *forecast.Chain // the trips before; nil where none comes before, or by itself
	legs      []playedLeg     // the same, to be drawn
	limits    []limit
	boxes     []Case // by air: the cases that may go
	partial   bool   // not all loads of some block were weighed
	alone     bool   // the readiness asked for is reached
	views     []view // of each weather
	viewed    bool
	asked     asked   // how the load was chosen
	counted   []bool  // parts that its target does not count; nil: those given up
	last      weighed // how it was weighed last
	cases     []Case
	placed    []stack // what is in which case
	lots      map[string]planner.Lot
	tags      map[string]planner.Tag
	mass      *mass.Facts
	stayGrams decimal.Decimal
	stayUL    units.Quantity
	unknown   map[string]map[string]bool
	notes     []string
}

// supply is one part of a packing.
type supply struct {
	planner.Part
	line    forecast.Part
	then    forecast.Then  // what the trips before leave of it
	there   units.Quantity // already with the trip and good to its end
	fitted  units.Quantity // springs in forks and shocks on the trip
	can     []container    // what may be had by pack day, as it would be used
	kinds   []kind         // of them
	sets    []set          // the efficient ones, lightest first
	pick    int            // the set that is packed
	never   bool           // not by air
	leave   bool           // stays at home by wish
	carry   units.Quantity // that must be carried by wish, with what is there
	tooBig  string         // a container that no case holds
	stops   bool           // a job cannot be done without it
	onSite  bool           // only ever wanted on site
	standIn string         // packed as well for this part
	capped  bool           // not beyond top
	top     int            // of a load to the confidence: no more than this set
	given   bool           // given up: what is used for certain cannot be had, or a limit does not hold it
}

func newPacking(ctx context.Context, o *forecast.Outlook, opts Options) (*packing, error) {
	p := &packing{
		ctx: ctx, soft: ctx, soon: ctx, o: o, opts: opts, at: map[string]int{}, lots: map[string]planner.Lot{}, tags: map[string]planner.Tag{},
		mass:    mass.New(o.Snapshot.Catalogue, o.Snapshot.Tags),
		unknown: map[string]map[string]bool{"mass": {}, "room": {}, "density": {}},
	}
	for _, l := range o.Snapshot.Lots {
		p.lots[l.Code] = l
	}
	for _, t := range o.Snapshot.Tags {
		p.tags[t.Code] = t
	}
	var err error
	if opts.Trip == "" {
		p.trip, err = o.Calendar.Current(o.Snapshot.AsOf)
	} else {
		p.trip, err = o.Calendar.Trip(opts.Trip)
	}
	if err != nil {
		return nil, err
	}
	if len(p.trip.Rounds) == 0 {
		return nil, fmt.Errorf("trip %s: found no round, expected at least one: name the trip at its rounds on the sheet rounds", p.trip.Code)
	}
	if p.res, err = o.Forecast(forecast.Options{Trip: p.trip.Code, Confidence: opts.Confidence, Alone: true}); err != nil {
		return nil, err
	}
	p.notes = append(p.notes, p.res.Notes...)
	p.settle()
	for i, part := range o.Snapshot.Parts {
		p.at[part.Code] = i
	}
	p.readWork()
	for i, part := range o.Snapshot.Parts {
		p.parts = append(p.parts, p.supplyOf(part, p.res.Parts[i]))
	}
	p.addStock()
	p.addOrders()
	for i := range p.parts {
		order(p.parts[i].can)
	}
	if err = p.readBefore(); err != nil {
		return nil, err
	}
	if err = p.marks(); err != nil {
		return nil, err
	}
	if p.trip.GoesBy == calendar.Air {
		p.boxes = p.airCases()
	}
	p.dropTooBig()
	if p.blocks, err = p.makeBlocks(); err != nil {
		return nil, err
	}
	p.makeAllSets()
	return p, p.readLimits()
}

// settle finds pack day, what stays with the trip and what serves another.
func (p *packing) settle() {
	s := p.o.Snapshot
	p.packOn, p.lastOn = p.trip.PackOn, p.res.Horizon.LastOn
	if len(s.Season) > 0 && s.Season[0].HandlingDays != nil {
		p.handling = *s.Season[0].HandlingDays
	}
	p.stays = place.Roots(p.trip.Trip, s.Packed)
	if p.trip.GoesBy != calendar.Home && s.AsOf > p.packOn && p.trip.StartOn <= s.AsOf {
		p.closed = true
		for _, t := range s.TopUps {
			if t.Trip == p.trip.Code && t.On > s.AsOf && (p.topUp == nil || t.On < p.topUp.On) {
				p.topUp, p.closed, p.packOn = &t, false, t.On
			}
		}
		if p.closed {
			p.notes = append(p.notes, fmt.Sprintf("the trip left on %s and no top-up is ahead: nothing more can join it", p.trip.StartOn))
		} else {
			p.notes = append(p.notes, fmt.Sprintf("the trip is under way: what is listed joins it by %s from %s on %s", p.topUp.How, p.topUp.From, p.topUp.On))
		}
	}
	p.refused = place.Away(p.o.Calendar, s.Packed, s.AsOf, max(p.packOn, s.AsOf), []string{p.trip.Code})
	// Cases that are packed serve their trip until it is back, also before it leaves.
	for _, t := range p.o.Calendar.Trips {
		if t.Code == p.trip.Code || t.Truck != "" || t.GoesBy == calendar.Home || t.EndOn <= max(p.packOn, s.AsOf) {
			continue
		}
		cases := place.Roots(t.Trip, s.Packed)
		if !t.CalledOff(s.AsOf) {
			p.refused = append(p.refused, cases...)
		} else if len(cases) > 0 {
			p.note("%s has no round any more: what is packed for it in %s is free", t.Code, joined(cases))
		}
	}
}

func (p *packing) supplyOf(part planner.Part, line forecast.Part) supply {
	s := supply{Part: part, line: line}
	s.never = p.trip.GoesBy == calendar.Air && part.ByAir != nil && !*part.ByAir
	s.stops, s.onSite = p.work.stops[part.Code], p.work.onSite[part.Code] && !p.work.used[part.Code]
	return s
}

// within reports whether a place is one of the roots or below it.
func (p *packing) within(code string, roots []string) bool {
	return slices.ContainsFunc(roots, func(root string) bool { return p.o.Places.Within(code, root) })
}

// nearness orders the places a part may be taken from.
func (p *packing) nearness(part planner.Part, code string) int {
	switch {
	case code == part.HomeInWorkshop:
		return 0
	case code == part.HomeInTruck:
		return 2
	}
	return 1
}

// addStock lays the stock out: what is there, what is fitted, what may be had.
func (p *packing) addStock() {
	for _, h := range p.o.Snapshot.Stock {
		i, ok := p.at[h.Part]
		if !ok {
			continue
		}
		s := &p.parts[i]
		good := p.o.GoodOn(h, p.lastOn)
		switch {
		case p.o.Places.Assembly(h.Place):
			if p.travels(h.Place) && p.work.springs[h.Part] {
				s.fitted += h.Quantity
			}
		case !p.o.Places.Ours(h.Place):
		case p.within(h.Place, p.stays):
			g, _, known := p.about(h.Part, h.Tag, h.Quantity)
			if !known {
				p.unknown["mass"][h.Part] = true
			}
			room, _ := p.mass.PackedUL(h.Part, h.Tag, h.Quantity)
			p.stayGrams, p.stayUL = p.stayGrams.Add(g), p.stayUL+room
			if good {
				s.there += h.Quantity
			}
		case p.within(h.Place, p.refused) || !good || s.never:
		case p.trip.GoesBy == calendar.Home:
			s.there += h.Quantity
		case p.closed || p.topUp != nil && !p.o.Places.Within(h.Place, p.topUp.From):
		default:
			s.can = append(s.can, p.split(s.Part, h)...)
		}
	}
}

// about weighs stock, and notes where a liquid's density was guessed.
func (p *packing) about(part, tag string, q units.Quantity) (grams, guess decimal.Decimal, known bool) {
	grams, guess, known = p.mass.About(part, tag, q)
	if guess.IsPositive() {
		p.unknown["density"][part] = true
	}
	return grams, guess, known
}

// travels reports whether a fork or shock is on the trip.
func (p *packing) travels(code string) bool {
	for _, a := range p.o.Snapshot.Assemblies {
		if a.Code == code {
			return calendar.Travels(a, p.trip)
		}
	}
	return false
}

// addOrders adds what is on its way and can still be packed: due, and ours for the
// handling days, by pack day.
func (p *packing) addOrders() {
	s := p.o.Snapshot
	for _, o := range s.Orders {
		switch {
		case p.closed, o.State == "drafted", o.State == "called off":
			continue
		case o.ArrivedOn != nil && *o.ArrivedOn <= s.AsOf:
			continue
		case o.DueOn == nil || int(*o.DueOn)+p.handling > int(p.packOn):
			continue
		case o.ShipTo != "" && (!p.o.Places.Ours(o.ShipTo) || p.within(o.ShipTo, p.refused)):
			continue
		case p.topUp != nil && !p.o.Places.Within(o.ShipTo, p.topUp.From):
			continue
		}
		for _, l := range s.OrderLines {
			i, ok := p.at[l.Part]
			if l.Order != o.Code || !ok || p.parts[i].never {
				continue
			}
			left := l.Quantity
			for _, lot := range s.Lots {
				here := lot.ReceivedOn == nil || *lot.ReceivedOn <= s.AsOf
				if lot.Order == o.Code && lot.Part == l.Part && lot.FromLot == "" && here && lot.Quantity != nil {
					left -= *lot.Quantity
				}
			}
			if left <= 0 {
				continue
			}
			if p.trip.GoesBy == calendar.Home {
				p.parts[i].there += left
				continue
			}
			p.addOrdered(&p.parts[i], o, l, left)
		}
	}
}

func (p *packing) addOrdered(s *supply, o planner.Order, l planner.OrderLine, left units.Quantity) {
	size := units.Quantity(1)
	switch {
	case s.Contents != nil && *s.Contents > 0:
		size = *s.Contents
	case s.Unit != units.PC:
		size = left
	}
	price := decimal.Zero // home currency, of one base unit
	if paid := l.Paid(); l.PricePerPack != nil && paid != nil && l.Quantity > 0 {
		rate, ok := p.rate(o.Currency)
		if !ok {
			p.notes = append(p.notes, fmt.Sprintf("order %s: no exchange rate for %s, so its money is not counted", o.Code, o.Currency))
		}
		price = l.PricePerPack.Mul(decimal.NewFromInt(int64(*paid))).Mul(rate).Div(decimal.NewFromInt(int64(l.Quantity)))
	}
	coming := p.cut(s.Part, container{order: o.Code, due: o.DueOn, near: 1}, left, size)
	for i := range coming {
		coming[i].spend = price.Mul(decimal.NewFromInt(int64(coming[i].quantity)))
	}
	s.can = append(s.can, coming...)
}

// rate returns home currency for one of a currency, as of the day.
func (p *packing) rate(currency string) (decimal.Decimal, bool) {
	if currency == "" || currency == p.homeCurrency() {
		return decimal.NewFromInt(1), true
	}
	var best *planner.ExchangeRate
	for _, r := range p.o.Snapshot.Rates {
		if r.Currency == currency && r.FromOn <= p.o.Snapshot.AsOf && (best == nil || r.FromOn > best.FromOn) {
			best = &r
		}
	}
	if best == nil {
		return decimal.Zero, false
	}
	return best.Rate, true
}

func (p *packing) homeCurrency() string {
	if len(p.o.Snapshot.Season) == 0 {
		return ""
	}
	return p.o.Snapshot.Season[0].Currency
}
