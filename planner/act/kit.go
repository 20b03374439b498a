package act

import (
	"errors"
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/ledger"
)

// moneyDigits is to how many digits behind the point a share of a cost is kept: a hundredth
// of a cent, so that what is added up stays exact to the cent.
const moneyDigits = 4

// OpenKit returns the rows of opening one seal kit: one kit out, its contents in as loose
// parts at their share of its cost. The lots they come as are named after the record's.
func (s *State) OpenKit(kit, at, lots string) (rows Rows, err error) {
	_, err = s.Part(kit)
	if at != "" {
		err = errors.Join(err, s.Tree.Find(at))
	}
	if err != nil {
		return rows, err
	}
	var contents []planner.KitContent
	for _, c := range s.KitContents {
		if c.Kit == kit {
			contents = append(contents, c)
		}
	}
	if len(contents) == 0 {
		return rows, fmt.Errorf("found nothing inside %s, expected a seal kit whose contents are known", kit)
	}
	var roots []string
	roots, rows.Where = s.rootsOf(at)
	held, ok := s.first(kit, roots, func(planner.Holding) bool { return true })
	if !ok {
		return rows, fmt.Errorf("found no %s in %s to open, expected one%s", kit, strings.Join(roots, ", "), s.lies(kit))
	}
	rows.Movements = []planner.Movement{{Part: kit, Lot: held.Lot, Tag: held.Tag, From: held.Place, To: ledger.OpenedKit, Quantity: 1}}
	costs := kitShares(s.lots[held.Lot], contents, s.Offers)
	for i, c := range contents {
		lot := planner.Lot{Code: fmt.Sprintf("%s/%d", lots, i+1), Part: c.Part, FromLot: held.Lot, ReceivedOn: &s.AsOf, ExpiresOn: s.lots[held.Lot].ExpiresOn,
			Quantity: &contents[i].Quantity, Currency: s.lots[held.Lot].Currency}
		if costs != nil {
			lot.Cost = &costs[i]
		}
		rows.Lots = append(rows.Lots, lot)
		rows.Movements = append(rows.Movements, planner.Movement{Part: c.Part, Lot: lot.Code, From: ledger.OpenedKit, To: held.Place, Quantity: c.Quantity})
	}
	return rows, nil
}

// rootsOf is where a thing is looked for: at a place, else where the record is, and says so.
func (s *State) rootsOf(at string) (roots []string, where string) {
	if at != "" {
		return []string{at}, ""
	}
	here := s.here()
	return here.Roots, "no place was named: " + here.String()
}

// kitShares splits the cost of one kit of a lot by the list prices of its contents, the last
// takes the remainder; nil where the kit is not valued.
func kitShares(kit planner.Lot, contents []planner.KitContent, offers []planner.Offer) []decimal.Decimal {
	if kit.Cost == nil || kit.Quantity == nil {
		return nil
	}
	total := kit.Cost.DivRound(decimal.NewFromInt(int64(*kit.Quantity)), moneyDigits)
	weights, sum := make([]decimal.Decimal, len(contents)), decimal.Zero
	for i, c := range contents {
		weights[i] = decimal.NewFromInt(int64(c.Quantity)) // without a list price, by pieces
		for _, o := range offers {
			if o.Part == c.Part && o.PricePerPack != nil && o.Pack != nil {
				weights[i] = o.PricePerPack.Mul(decimal.NewFromInt(int64(c.Quantity))).DivRound(decimal.NewFromInt(int64(*o.Pack)), moneyDigits)
				break
			}
		}
		sum = sum.Add(weights[i])
	}
	shares, left := make([]decimal.Decimal, len(contents)), total
	for i := range contents {
		if i == len(contents)-1 || sum.IsZero() {
			shares[i] = left
			left = decimal.Zero
			continue
		}
		shares[i] = total.Mul(weights[i]).DivRound(sum, moneyDigits)
		left = left.Sub(shares[i])
	}
	return shares
}
