package order

import (
	"github.com/shopspring/decimal"

	"roundkit/planner"
)

// tier is packs of one offer at one price.
type tier struct {
	packs int
	price decimal.Decimal
	how   string
}

// cost is what tiers cost.
func cost(tiers []tier) decimal.Decimal {
	sum := decimal.Zero
	for _, t := range tiers {
		sum = sum.Add(t.price.Mul(decimal.NewFromInt(int64(t.packs))))
	}
	return sum
}

// beyondPrice is the price of a pack beyond an allocation: its share of list.
func (o *offer) beyondPrice() decimal.Decimal {
	share := decimal.NewFromInt(100)
	if o.alloc != nil && o.alloc.BeyondPercent != nil {
		share = *o.alloc.BeyondPercent
	}
	return o.price.Mul(share).Shift(-2)
}

// tiers prices packs that are paid for: beyond an allocation at its share of list, else
// at list with its breaks. A break on all packs is the price of the whole order once it
// is reached; one on the packs beyond is that of the packs from it on.
func (o *offer) tiers(packs int, beyond bool) []tier {
	if packs == 0 {
		return nil
	}
	if beyond {
		return []tier{{packs, o.beyondPrice(), Beyond}}
	}
	whole := tier{packs, o.price, List}
	for _, b := range o.breaks {
		if !beyondOnly(b) && packs >= b.FromPacks {
			whole.price, whole.how = b.PricePerPack, Break
		}
	}
	out := []tier{whole}
	for _, b := range o.breaks {
		last := &out[len(out)-1]
		before := packs - last.packs // packs in the tiers below
		if !beyondOnly(b) || packs < b.FromPacks || b.FromPacks-1 < before {
			continue
		}
		rest := packs - (b.FromPacks - 1)
		last.packs -= rest
		if last.packs == 0 {
			out = out[:len(out)-1]
		}
		out = append(out, tier{rest, b.PricePerPack, Break})
	}
	return out
}

func beyondOnly(b planner.PriceBreak) bool { return b.AppliesTo == "packs beyond" }

// cheaper returns a number of packs at a break that costs less than the packs wanted,
// else those: more for less.
func (o *offer) cheaper(packs int, beyond bool) int {
	if packs == 0 || beyond {
		return packs
	}
	best, least := packs, cost(o.tiers(packs, false))
	for _, b := range o.breaks {
		if b.FromPacks <= packs {
			continue
		}
		if c := cost(o.tiers(b.FromPacks, false)); c.LessThan(least) {
			best, least = b.FromPacks, c
		}
	}
	return best
}

// noCents are the currencies without a smaller coin, of those that teams meet.
// Source: ISO 4217, from memory.
var noCents = map[string]bool{"JPY": true, "KRW": true, "CLP": true, "ISK": true}

// cents rounds an amount that a rule gave, half to even.
func cents(d decimal.Decimal, currency string) decimal.Decimal {
	if noCents[currency] {
		return d.RoundBank(0)
	}
	return d.RoundBank(2)
}

// homeCurrency is that of the season, "" if none is named.
func (p *planning) homeCurrency() string {
	if len(p.s.Season) == 0 {
		return ""
	}
	return p.s.Season[0].Currency
}

// rate returns what one of a currency is at home as of the day.
func (p *planning) rate(currency string) (decimal.Decimal, bool) { return RateOf(p.s, currency) }

// RateOf returns how much home currency one of a currency is on the snapshot's day: 1
// for the season's own; false if no rate is known by then.
func RateOf(s *planner.Snapshot, currency string) (decimal.Decimal, bool) {
	if len(s.Season) > 0 && s.Season[0].Currency == currency {
		return decimal.NewFromInt(1), true
	}
	var found *planner.ExchangeRate
	for i, r := range s.Rates {
		if r.Currency == currency && r.FromOn <= s.AsOf && r.Rate.Sign() > 0 && (found == nil || r.FromOn > found.FromOn) {
			found = &s.Rates[i]
		}
	}
	if found == nil {
		return decimal.Zero, false
	}
	return found.Rate, true
}
