// Package papers answers: which papers does a trip need for what rides with it: the road
// count or the list for the carrier, the list of what comes home, of what is used up, of
// what is personal, and by which day does each close?
//
// Method: what is with the trip already (in its truck, or in the cases packed for it) and
// what is packed for it ride; planner/transport holds the rules and the columns. The list
// of what comes home closes on the trip's "customs list by", the others on pack day.
//
// Source: common practice of race teams; the columns' sources are those of
// planner/transport. Limits: aids, never a clearance. Only what is in the stock list is
// known: bikes, tools that are always in a case and the cases themselves are named as
// missing, and are listed by hand.
package papers

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/load"
	"roundkit/planner/place"
	"roundkit/planner/transport"
)

// Papers are the lists of one trip.
type Papers struct {
	AsOf   day.Day
	Trip   calendar.Trip
	PackOn day.Day
	Team   string
	Here   bool // only of what is with the trip already
	// Goods are what has a UN number, by that number, with net quantities; Unknown is what
	// has one and could not be counted, with the reason.
	Goods   []transport.Dangerous
	Unknown []string
	Road    *transport.Road // of a trip by truck
	Air     *transport.Air  // of a trip by air

	Items      []transport.Item // what rides, as the catalogue is ordered: what the lists were made of
	Returnable transport.GeneralList
	UsedUp     transport.UsedUpList

	Abroad   []string // countries of the rounds, other than the team's own
	NoBorder bool     // no border with customs is crossed: no list for customs is due
	ReturnOn *day.Day // nil where the trip does not say
	ListBy   *day.Day // what comes home; nil where the trip does not say
	OthersBy day.Day  // what is used up, and personal things
	Missing  []string // of the list of what comes home: known to be incomplete
	Past     []string // lists whose day is over or not given

	outlook *forecast.Outlook
}

// List is one list of a trip and the last day on which it can be handed in.
type List struct {
	Name   string
	Closes *day.Day // nil where the trip does not say
	Lines  int
	Grams  decimal.Decimal
	Value  decimal.Decimal
	Blanks []string // what must be filled in before it goes out, by part
	About  string   // what it is for
}

// The lists' names.
const (
	ComesHomeList = "comes home"
	UsedUpName    = "used up"
	PersonalList  = "personal"
	DangerousList = "dangerous goods"
)

// Lists returns the lists in the order in which they are handed in.
func (p *Papers) Lists() []List {
	others := p.OthersBy
	dangerous := List{DangerousList, &others, len(p.Goods), decimal.Zero, decimal.Zero, p.Unknown, "by UN number, for the driver or the carrier"}
	if p.NoBorder {
		return []List{dangerous}
	}
	return []List{
		{ComesHomeList, p.ListBy, len(p.Returnable.Lines), p.Returnable.Grams, p.Returnable.Value, p.Returnable.Faults,
			"returns in the same state; all of it, or the list stays open"},
		{UsedUpName, &others, len(p.UsedUp.Lines), p.UsedUp.Grams, p.UsedUp.Value, p.UsedUp.Faults, "consumables with heading, origin and value"},
		{PersonalList, &others, 0, decimal.Zero, decimal.Zero, nil, "an empty form, one a person"},
		dangerous,
	}
}

// carnetDays is the longest an ATA carnet is good for.
const carnetDays = 365

// For returns the papers that go with a load: Of its trip, or nil for one at home.
func For(o *forecast.Outlook, packed *load.Result) (*Papers, error) {
	if packed.Trip.GoesBy == calendar.Home {
		return nil, nil
	}
	return Of(o, packed.Trip, packed)
}

// Of returns the papers of a trip for what is with it and, unless packed is nil, for what
// is packed for it. It returns an error for a trip that stays at home: nothing travels.
func Of(o *forecast.Outlook, trip calendar.Trip, packed *load.Result) (*Papers, error) {
	if trip.GoesBy == calendar.Home {
		return nil, fmt.Errorf("trip %s stays at home: nothing travels, so it needs no papers", trip.Code)
	}
	s := o.Snapshot
	p := &Papers{AsOf: s.AsOf, Trip: trip, PackOn: trip.PackOn, Here: packed == nil, ListBy: trip.CustomsListBy, OthersBy: trip.PackOn, ReturnOn: trip.BackOn, outlook: o}
	if packed != nil {
		p.PackOn, p.OthersBy = packed.PackOn, packed.PackOn
	}
	a := newAboard(o)
	items := a.there(place.Roots(trip.Trip, s.Packed))
	if packed != nil {
		items = append(items, a.packed(packed)...)
	}
	a.inOrder(items)
	p.Items = items
	home := transport.Home{Rates: map[string]decimal.Decimal{}}
	country := ""
	if len(s.Season) > 0 {
		p.Team, home.Currency, country = s.Season[0].Team, s.Season[0].Currency, s.Season[0].Country
	}
	latest := map[string]day.Day{}
	for _, r := range s.Rates {
		if from, ok := latest[r.Currency]; r.FromOn <= s.AsOf && (!ok || r.FromOn > from) {
			latest[r.Currency], home.Rates[r.Currency] = r.FromOn, r.Rate
		}
	}
	road, err := transport.RoadFor(items, trip.StartOn)
	if err != nil {
		return nil, fmt.Errorf("papers %s: %w", trip.Code, err)
	}
	p.Goods, p.Unknown = road.Goods, road.Unknown
	if trip.GoesBy == calendar.Air {
		air := transport.AirFor(items, wanted(o), trip.StartOn)
		p.Air = &air
	} else {
		p.Road = &road
	}
	for _, r := range trip.Rounds {
		if r.Country != "" && r.Country != country && !slices.Contains(p.Abroad, r.Country) {
			p.Abroad = append(p.Abroad, r.Country)
		}
	}
	p.Returnable = transport.GeneralListOf(items, home)
	p.UsedUp = transport.UsedUpListOf(items, home, "used up on the team's own bikes, not for sale")
	p.NoBorder = trip.Customs != nil && !*trip.Customs
	if !p.NoBorder {
		p.missing(o, packed)
	}
	p.days()
	return p, nil
}

// wanted are the parts of the catalogue that never fly: whoever packs will look for them.
func wanted(o *forecast.Outlook) []planner.Part {
	var out []planner.Part
	for _, part := range o.Snapshot.Parts {
		if part.ByAir != nil && !*part.ByAir {
			out = append(out, part)
		}
	}
	return out
}

// missing says what travels and is no stock.
func (p *Papers) missing(o *forecast.Outlook, packed *load.Result) {
	kind := map[string]string{}
	for _, m := range o.Snapshot.Models {
		kind[m.Code] = m.Kind
	}
	carried := map[string]bool{} // forks and shocks that sit on a bike
	var bikes, loose []string
	for _, a := range o.Snapshot.Assemblies {
		carried[a.Code] = a.OnBike != ""
	}
	for _, a := range o.Snapshot.Assemblies {
		switch {
		case !calendar.Travels(a, p.Trip):
		case kind[a.Model] == "bike":
			bikes = append(bikes, a.Code)
		case !carried[a.Code]:
			loose = append(loose, a.Code)
		}
	}
	if len(bikes) > 0 {
		p.Missing = append(p.Missing, fmt.Sprintf("the bikes with all that is on them (%s): one line each, frame number as the serial number", strings.Join(bikes, ", ")))
	}
	if len(loose) > 0 {
		p.Missing = append(p.Missing, "forks and shocks that are on no bike: "+strings.Join(loose, ", "))
	}
	used := place.Roots(p.Trip.Trip, o.Snapshot.Packed)
	if packed != nil {
		for _, c := range packed.Cases {
			used = append(used, c.Code)
		}
	}
	for _, c := range o.Snapshot.Cases {
		if c.FixedKG == nil || !c.FixedKG.IsPositive() {
			continue
		}
		what := "hand tools one line as a set, powered tools one each"
		switch {
		case slices.Contains(used, c.Code):
			p.Missing = append(p.Missing, fmt.Sprintf("%s: %s kg are always in it and not in the stock list: %s", c.Code, c.FixedKG, what))
		case c.GoesBy == p.Trip.GoesBy:
			p.Missing = append(p.Missing, fmt.Sprintf("%s, if it goes along: %s kg are always in it and not in the stock list: %s", c.Code, c.FixedKG, what))
		}
	}
	if p.Trip.GoesBy == calendar.Air {
		p.Missing = append(p.Missing, "the cases themselves")
	} else {
		p.Missing = append(p.Missing, "the truck's own equipment: benches, tent, compressor, tools")
	}
}

// days says which day is over or not given.
func (p *Papers) days() {
	customs := p.Trip.Customs
	switch {
	case p.NoBorder:
		return
	case p.ListBy == nil && customs != nil:
		p.Past = append(p.Past, "the trip crosses a border with customs and has no \"customs list by\": ask the agent by when")
	case p.ListBy == nil && len(p.Abroad) > 0:
		p.Past = append(p.Past, fmt.Sprintf("the trip goes to %s and does not say under \"customs\" whether a border with customs is crossed: ask the agent whether a list is due, and by when", strings.Join(p.Abroad, ", ")))
	case p.ListBy != nil && *p.ListBy < p.AsOf:
		p.Past = append(p.Past, fmt.Sprintf("the list of what comes home closed on %s: nothing can be added to it any more", *p.ListBy))
	}
	if p.OthersBy < p.AsOf {
		p.Past = append(p.Past, fmt.Sprintf("the list of what is used up was due on pack day, %s", p.OthersBy))
	}
	switch {
	case p.ReturnOn == nil:
		p.Past = append(p.Past, "the trip has no day of return: a list of what comes home is good for one year at most")
	case int(*p.ReturnOn)-int(p.Trip.StartOn) > carnetDays:
		p.Past = append(p.Past, fmt.Sprintf("back on %s is more than a year after leaving: a carnet is good for one year at most", *p.ReturnOn))
	}
}
