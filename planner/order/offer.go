package order

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// usualLeadDays is the lead time of an offer that names none.
const usualLeadDays = 7

// offer is a supplier's offer with its blanks filled and its faults named.
type offer struct {
	planner.Offer
	supplier planner.Supplier
	clock    clock
	pack     units.Quantity
	minimum  int // packs
	lead     int
	lead95   int
	price    decimal.Decimal // of a pack
	currency string
	breaks   []planner.PriceBreak // by packs
	alloc    *planner.Allocation
	faults   []string // said once the offer is used
}

// readOffers reads the offers of every part, first choice first.
func (p *planning) readOffers() {
	p.offers = map[string][]offer{}
	suppliers := map[string]planner.Supplier{}
	for _, s := range p.s.Suppliers {
		suppliers[s.Code] = s
	}
	for _, row := range p.s.Offers {
		s, ok := suppliers[row.Supplier]
		if !ok {
			s = planner.Supplier{Code: row.Supplier, Name: row.Supplier}
		}
		p.offers[row.Part] = append(p.offers[row.Part], p.readOffer(row, s))
	}
	for part := range p.offers {
		slices.SortStableFunc(p.offers[part], func(a, b offer) int {
			return cmp.Or(cmp.Compare(choice(a.Offer), choice(b.Offer)), cmp.Compare(a.Supplier, b.Supplier))
		})
	}
}

// choice is an offer's preference; one left blank comes last.
func choice(o planner.Offer) int {
	if o.Preference == nil {
		return int(^uint(0) >> 1)
	}
	return *o.Preference
}

func (p *planning) readOffer(row planner.Offer, s planner.Supplier) offer {
	o := offer{Offer: row, supplier: s, clock: clockOf(s, p.s.Closures), pack: 1, minimum: 1, lead: usualLeadDays, currency: row.Currency}
	fault := func(format string, args ...any) {
		o.faults = append(o.faults, fmt.Sprintf("%s from %s: ", row.Part, row.Supplier)+fmt.Sprintf(format, args...))
	}
	switch {
	case row.Pack == nil:
		for _, part := range p.s.Parts {
			if part.Code == row.Part {
				o.pack = units.Quantity(part.Unit.Base())
			}
		}
	case *row.Pack <= 0:
		fault("found a pack of %d, expected more than nothing; taken as one", *row.Pack)
	default:
		o.pack = *row.Pack
	}
	if row.MinimumPacks != nil {
		o.minimum = max(1, *row.MinimumPacks)
	}
	switch {
	case row.LeadDays == nil:
		fault("no lead time, taken as %d days", usualLeadDays)
	case *row.LeadDays < 0:
		fault("found lead days %d, expected 0 or more; taken as %d", *row.LeadDays, usualLeadDays)
	default:
		o.lead = *row.LeadDays
	}
	o.lead95 = o.lead
	if row.LeadDays95 != nil {
		o.lead95 = max(o.lead, *row.LeadDays95)
		if *row.LeadDays95 < o.lead {
			fault("found lead days 95 %% %d below lead days %d; taken as %d", *row.LeadDays95, o.lead, o.lead)
		}
	}
	if len(p.s.Season) > 0 {
		if season := int(p.s.Season[0].LastOn - p.s.Season[0].FirstOn); o.lead95 > season {
			fault("its lead time of %d days is longer than the season", o.lead95)
		}
	}
	if o.currency == "" {
		o.currency = s.Currency
	}
	switch {
	case row.PricePerPack == nil:
		fault("no price, so its amount is not known and counted as 0")
	case row.PricePerPack.Sign() < 0:
		fault("found a price of %s, expected 0 or more; counted as 0", row.PricePerPack)
	case row.PricePerPack.IsZero():
		fault("its price is 0")
		fallthrough
	default:
		o.price = *row.PricePerPack
	}
	o.currencyFaults(p, fault)
	o.readBreaks(p.s.PriceBreaks, fault)
	for i, a := range p.s.Allocations {
		if a.Supplier == row.Supplier && a.Part == row.Part {
			o.alloc = &p.s.Allocations[i]
		}
	}
	return o
}

// currencyFaults says what keeps the amounts from being added up at home.
func (o *offer) currencyFaults(p *planning, fault func(string, ...any)) {
	home := p.homeCurrency()
	switch _, ok := p.rate(o.currency); {
	case o.currency == "":
		fault("no currency, so its amounts are plain numbers")
	case len(o.currency) != 3:
		fault("found currency %q, expected three letters such as EUR", o.currency)
	case !ok && home != "":
		fault("no exchange rate of %s to %s by %s, so it is not summed with the rest", o.currency, home, p.s.AsOf)
	}
}

func (o *offer) readBreaks(rows []planner.PriceBreak, fault func(string, ...any)) {
	for _, b := range rows {
		if b.Supplier != o.Supplier || b.Part != o.Part {
			continue
		}
		if b.FromPacks < 1 || b.PricePerPack.Sign() < 0 {
			fault("found a price break of %s from %d packs, expected a price and a number above 0; left out", b.PricePerPack, b.FromPacks)
			continue
		}
		o.breaks = append(o.breaks, b)
	}
	if !slices.IsSortedFunc(o.breaks, byPacks) {
		fault("its price breaks are out of order; sorted by packs")
		slices.SortStableFunc(o.breaks, byPacks)
	}
	before := o.price
	for _, b := range o.breaks {
		if b.PricePerPack.GreaterThan(before) {
			fault("found %s a pack from %d packs, dearer than %s for fewer", b.PricePerPack, b.FromPacks, before)
		}
		before = b.PricePerPack
	}
}

func byPacks(a, b planner.PriceBreak) int { return cmp.Compare(a.FromPacks, b.FromPacks) }

// timing is when an order for a need must go out.
type timing struct {
	orderBy  day.Day // so that it arrives within the 95 % lead time
	late     bool    // that day has passed
	possible bool    // ordered today it still comes by the usual lead time
	arrives  day.Day // ordered today, by the usual lead time
}

// orderOn is the day of the order: that of orderBy, or today if it has passed.
func (t timing) orderOn(asOf day.Day) day.Day { return max(t.orderBy, asOf) }

func (o *offer) timing(p *planning, dueOn day.Day) timing {
	t := timing{orderBy: o.clock.orderBy(dueOn-p.handling, o.lead95)}
	t.late = t.orderBy < p.s.AsOf
	t.arrives = o.clock.arrives(o.clock.leaves(p.s.AsOf), o.lead)
	t.possible = !t.late || t.arrives+p.handling <= dueOn
	return t
}

// shelfLife is the last good day of what arrives on a day.
func shelfLife(part planner.Part, arrivesOn day.Day) day.Day {
	if part.StorageLifeMonths == nil {
		return forEver
	}
	return arrivesOn.AddMonths(*part.StorageLifeMonths)
}

func months(part planner.Part) string {
	if part.StorageLifeMonths == nil {
		return "no months"
	}
	if *part.StorageLifeMonths == 1 {
		return "1 month"
	}
	return strconv.Itoa(*part.StorageLifeMonths) + " months"
}
