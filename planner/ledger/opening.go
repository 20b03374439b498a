package ledger

import (
	"fmt"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// costDigits is how finely the cost of an opening lot is kept: four decimals of the
// offer's currency, two more than most currencies print.
const costDigits = 4

// OpeningLot is the code of the lot that a part's stock without a lot is of.
func OpeningLot(part string) string { return "opening " + part }

// OpeningLots gives stock rows without a lot one, the opening lot of their part, and
// adds those lots to the book: at the list price where there is an offer, else not
// valued. It returns a line for each lot it made.
func OpeningLots(b *planner.Book, on day.Day) []string {
	have := map[string]bool{}
	for _, l := range b.Lots {
		have[l.Code] = true
	}
	total := map[string]units.Quantity{}
	var order []string
	for i, r := range b.Stock {
		if r.Lot != "" {
			continue
		}
		code := OpeningLot(r.Part)
		b.Stock[i].Lot = code
		if have[code] {
			continue
		}
		if _, seen := total[r.Part]; !seen {
			order = append(order, r.Part)
		}
		total[r.Part] += r.Quantity
	}
	offers, contents := listOffers(b), map[string]int64{}
	for i := range b.Parts {
		contents[b.Parts[i].Code] = b.Parts[i].Unit.Base()
	}
	var notes []string
	for _, part := range order {
		lot := planner.Lot{Code: OpeningLot(part), Part: part, ReceivedOn: &on}
		if q := total[part]; q > 0 {
			lot.Quantity = &q
		}
		said := "not valued: no offer says what it costs"
		if offer, ok := offers[part]; ok && lot.Quantity != nil {
			cost := listCost(offer, contents[part], *lot.Quantity)
			lot.Cost, lot.Currency, lot.Supplier = &cost, offer.Currency, offer.Supplier
			said = "at the list price of " + offer.Supplier
		}
		b.Lots = append(b.Lots, lot)
		notes = append(notes, fmt.Sprintf("stock of %s without a lot is lot %q, %s", part, lot.Code, said))
	}
	return notes
}

// listOffers are the first-choice offers of the parts: their list prices.
func listOffers(b *planner.Book) map[string]planner.Offer {
	rank := func(o planner.Offer) int {
		if o.Preference == nil {
			return 1
		}
		return *o.Preference
	}
	best := map[string]planner.Offer{}
	for _, o := range b.Offers {
		if o.PricePerPack == nil || o.Currency == "" {
			continue
		}
		if held, ok := best[o.Part]; !ok || rank(o) < rank(held) {
			best[o.Part] = o
		}
	}
	return best
}

// listCost is what a quantity costs at the offer's price, its pack (blank: one of the
// part's unit) taken as divisible.
func listCost(o planner.Offer, pack int64, q units.Quantity) decimal.Decimal {
	if o.Pack != nil {
		pack = int64(*o.Pack)
	}
	return o.PricePerPack.Mul(decimal.NewFromInt(int64(q))).DivRound(decimal.NewFromInt(pack), costDigits)
}
