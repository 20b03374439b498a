package workbook

import (
	"slices"

	"github.com/shopspring/decimal"
)

// buying checks what can be bought, from whom and when.
func (c *checker) buying() {
	type offer struct{ supplier, part string }
	offers := map[offer]*decimal.Decimal{}
	for i, o := range c.book.Offers {
		c.currency("offers", i, o.Currency)
		c.some("offers", i, "pack", o.Pack)
		if o.Preference != nil && *o.Preference < 1 {
			c.say("offers", i, "preference", "1 or more: 1 is the first choice")
		}
		if o.MinimumPacks != nil && *o.MinimumPacks < 1 {
			c.say("offers", i, "minimum packs", "1 or more")
		}
		if o.LeadDays != nil && o.LeadDays95 != nil && *o.LeadDays95 < *o.LeadDays {
			c.say("offers", i, "lead days 95 %", sprint("at least the typical %d", *o.LeadDays))
		}
		offers[offer{o.Supplier, o.Part}] = o.PricePerPack
	}
	breaks := map[offer][]int{}
	var order []offer // as the sheet has them, so that faults come in one order
	for i, b := range c.book.PriceBreaks {
		key := offer{b.Supplier, b.Part}
		if _, ok := offers[key]; !ok {
			c.say("price-breaks", i, "part", "a part that "+b.Supplier+" offers in the sheet offers")
			continue
		}
		if b.FromPacks < 1 {
			c.say("price-breaks", i, "from packs", "1 or more")
		}
		if breaks[key] == nil {
			order = append(order, key)
		}
		breaks[key] = append(breaks[key], i)
	}
	for _, key := range order {
		c.falling(breaks[key], offers[key])
	}
	for i, x := range c.book.Closures {
		c.order("closures", i, "last day", &x.FirstOn, &x.LastOn, "first day")
	}
	for i, a := range c.book.Allocations {
		c.order("allocations", i, "last day", a.FirstOn, a.LastOn, "first day")
		c.some("allocations", i, "free quantity", &c.book.Allocations[i].FreeQuantity)
	}
}

// falling checks that more packs are cheaper: a price that rises with the number is a slip.
func (c *checker) falling(rows []int, price *decimal.Decimal) {
	b := c.book.PriceBreaks
	slices.SortFunc(rows, func(x, y int) int { return b[x].FromPacks - b[y].FromPacks })
	for _, row := range rows {
		if price != nil && !b[row].PricePerPack.LessThan(*price) {
			c.say("price-breaks", row, "price per pack", "less than "+price.String()+", the price of fewer packs")
		}
		price = &b[row].PricePerPack
	}
}
