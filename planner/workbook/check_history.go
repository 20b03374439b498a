package workbook

import (
	"slices"

	"roundkit/planner"
	"roundkit/planner/units"
)

// history checks what has happened, row against row; whether stock suffices is the
// ledger's question.
func (c *checker) history() {
	c.lots()
	c.tags()
	c.stock()
	c.orders()
	c.jobs()
	c.jobParts()
	c.movements()
	c.weighings()
	for i, x := range c.book.Charges {
		c.currency("charges", i, x.Currency)
	}
}

func (c *checker) lots() {
	for i, l := range c.book.Lots {
		c.some("lots", i, "quantity", l.Quantity)
		c.currency("lots", i, l.Currency)
		c.order("lots", i, "expires", l.ReceivedOn, l.ExpiresOn, "day it was received")
		if l.Cost != nil && l.Cost.Sign() > 0 && l.Currency == "" {
			c.say("lots", i, "currency", "the currency of the cost")
		}
		if j, ok := c.codes["lot"][l.FromLot]; ok && c.book.Lots[j].Part != l.Part && !c.inKit(c.book.Lots[j].Part, l.Part) {
			c.say("lots", i, "from lot", "a lot of "+l.Part+", or of a kit that it came out of")
		}
		if j, ok := c.codes["order"][l.Order]; ok && l.Supplier != "" && c.book.Orders[j].Supplier != l.Supplier {
			c.say("lots", i, "order", "an order to "+l.Supplier)
		}
	}
	for _, row := range loops(len(c.book.Lots), func(row int) int {
		if at, ok := c.codes["lot"][c.book.Lots[row].FromLot]; ok && c.book.Lots[row].FromLot != "" {
			return at
		}
		return -1
	}) {
		c.say("lots", row, "from lot", "a lot that was not split from "+c.book.Lots[row].Code+" itself")
	}
}

func (c *checker) tags() {
	for i, t := range c.book.Tags {
		c.lotOf("tags", i, t.Lot, t.Part)
		c.some("tags", i, "contents", t.Contents)
		c.above("tags", i, "measured rate N/mm", t.MeasuredRateNPerMM)
	}
}

// lotOf checks that a lot is one of the part.
func (c *checker) lotOf(sheet string, row int, lot, part string) {
	if i, ok := c.codes["lot"][lot]; ok && part != "" && c.book.Lots[i].Part != part {
		c.say(sheet, row, "lot", "a lot of "+part+": that is one of "+c.book.Lots[i].Part)
	}
}

// tagOf checks that a tag is one of the part and the lot, and that one thing is one thing.
func (c *checker) tagOf(sheet string, row int, tag, lot, part string, q *units.Quantity) {
	i, ok := c.codes["tag"][tag]
	if !ok {
		return
	}
	t := c.book.Tags[i]
	switch {
	case part != "" && t.Part != part:
		c.say(sheet, row, "tag", "a tag of "+part+": that is one of "+t.Part)
	case lot != "" && t.Lot != "" && t.Lot != lot:
		c.say(sheet, row, "tag", "a tag of the lot "+lot+": that is one of "+t.Lot)
	case q != nil && c.units[t.Part] == units.PC && *q > 1:
		c.say(sheet, row, "quantity", "1: the tag "+tag+" is one thing")
	}
}

func (c *checker) stock() {
	type once struct {
		tag string
		at  int64
	}
	where := map[once]string{}
	for i := range c.book.Stock {
		s := &c.book.Stock[i]
		if _, listed := c.codes["place"][s.Place]; listed && Outside[s.Place] {
			c.say("stock", i, "place", "a place of ours")
		}
		if _, fitted := c.codes["assembly"][s.Place]; fitted {
			if p := c.part(s.Part); p != nil && p.Kind != "spring" {
				c.say("stock", i, "part", "a spring: "+s.Place+" is an assembly")
			}
		}
		c.lotOf("stock", i, s.Lot, s.Part)
		c.tagOf("stock", i, s.Tag, s.Lot, s.Part, &s.Quantity)
		if s.Tag == "" || s.Quantity == 0 {
			continue
		}
		key := once{s.Tag, s.CountedAt.Unix()}
		if first, twice := where[key]; twice && first != s.Place {
			c.say("stock", i, "tag", "each tag in one place: it is in "+first+" too")
		}
		where[key] = s.Place
	}
}

func (c *checker) orders() {
	for i, o := range c.book.Orders {
		c.currency("orders", i, o.Currency)
		c.order("orders", i, "due", o.PlacedOn, o.DueOn, "day it was placed")
		c.order("orders", i, "arrived", o.PlacedOn, o.ArrivedOn, "day it was placed")
	}
	for i := range c.book.OrderLines {
		l := &c.book.OrderLines[i]
		c.some("order-lines", i, "quantity", &l.Quantity)
		if l.Packs != nil && *l.Packs < 1 {
			c.say("order-lines", i, "packs", "1 or more")
		}
		if l.FreePacks != nil && (l.Packs == nil || *l.FreePacks < 0 || *l.FreePacks > *l.Packs) {
			c.say("order-lines", i, "free packs", "from 0 to the packs of the line")
		}
	}
}

func (c *checker) jobs() {
	for i, j := range c.book.Jobs {
		if at, ok := c.codes["service"][j.Service]; ok {
			want := c.book.Services[at].ModelKind
			if kind := c.kindOf(j.Assembly); kind != "" && want != "" && kind != want {
				c.say("job-log", i, "assembly", sprint("a %s for %s: that is a %s", want, j.Service, kind))
			}
		}
		if j.UndoneAt != nil && j.UndoneAt.Before(j.DoneAt) {
			c.say("job-log", i, "undone at", "a time after the job was done")
		}
		if j.UndoneBy != "" && j.UndoneAt == nil {
			c.say("job-log", i, "undone at", "the time it was undone")
		}
	}
}

func (c *checker) jobParts() {
	count := map[string]int{}
	for _, p := range c.book.JobParts {
		count[p.Job]++
	}
	for i := range c.book.JobParts {
		p := &c.book.JobParts[i]
		if p.Part == "" {
			switch {
			case p.Quantity != nil || p.Lot != "" || p.Tag != "":
				c.say("job-parts", i, "part", "the part that was moved")
			case count[p.Job] > 1:
				c.say("job-parts", i, "part", "a part: only a job that used nothing has a row without one")
			}
			continue
		}
		if p.Quantity == nil {
			c.say("job-parts", i, "quantity", example(c.units[p.Part]))
		}
		c.some("job-parts", i, "quantity", p.Quantity)
		c.moved("job-parts", i, p.Part, p.Lot, p.Tag, p.From, p.To, p.Quantity)
	}
}

// moved checks one movement: from one place to another, of one lot and tag.
func (c *checker) moved(sheet string, row int, part, lot, tag, from, to string, q *units.Quantity) {
	if from != "" && from == to {
		c.say(sheet, row, "to", "another place than the one it left")
	}
	c.lotOf(sheet, row, lot, part)
	c.tagOf(sheet, row, tag, lot, part, q)
}

// referTo says which noun a movement of a reason refers to.
var referTo = map[string]string{"pack": "trip", "return": "trip"}

func (c *checker) movements() {
	for i := range c.book.Movements {
		m := &c.book.Movements[i]
		if m.Part == "" && m.Arrival != nil {
			continue // a record that moved nothing
		}
		if (m.Reason == "job" || m.Reason == "stock") && m.Arrival == nil {
			c.say("movements", i, "reason", "receipt, move, pack, return, count, weighing, lend, lent back, open kit, tag or scrap: undo a job in job-log, correct stock in its row")
		}
		c.some("movements", i, "quantity", &m.Quantity)
		c.moved("movements", i, m.Part, m.Lot, m.Tag, m.From, m.To, &m.Quantity)
		if m.Undoes != "" && m.Undoes == m.Code {
			c.say("movements", i, "undoes", "another movement")
		}
		if noun := referTo[m.Reason]; noun != "" && m.Reference != "" {
			if _, ok := c.codes[noun][m.Reference]; !ok {
				c.say("movements", i, "reference", c.wantRef(noun, m.Reference))
			}
		}
		if m.Reason == "receipt" && m.From != "supplier" && m.Undoes == "" {
			c.say("movements", i, "from", "supplier, as it is a receipt")
		}
		if m.Reason == "lend" && m.Undoes == "" && c.placeKind(m.To) != "lent" && c.known(m.To) {
			c.say("movements", i, "to", "a place of kind lent, as it is lent")
		}
	}
}

func (c *checker) placeKind(code string) string {
	if i, ok := c.codes["place"][code]; ok {
		return c.book.Places[i].Kind
	}
	return ""
}

func (c *checker) known(place string) bool {
	_, ok := c.codes["place"][place]
	return ok || Outside[place]
}

func (c *checker) weighings() {
	for i, w := range c.book.Weighings {
		at, ok := c.codes["tag"][w.Tag]
		if !ok {
			continue
		}
		t := c.book.Tags[at]
		p := c.part(t.Part)
		if p == nil {
			continue
		}
		if p.Unit == units.PC {
			c.say("weighings", i, "tag", "a bottle or tub: "+t.Part+" is counted in pieces")
			continue
		}
		tare := tareOf(t, p)
		if tare != nil && w.GrossMG < *tare {
			c.say("weighings", i, "gross g", "at least the empty bottle, "+units.Format(units.Quantity(*tare), units.G)+" g")
		}
	}
}

// tareOf is the tag's own tare, else that of its part's container.
func tareOf(t planner.Tag, p *planner.Part) *units.Milligrams {
	if t.TareMG != nil {
		return t.TareMG
	}
	return p.TareMG
}

// inKit reports whether a part is inside a seal kit: its loose parts are lots split from one.
func (c *checker) inKit(kit, part string) bool {
	return slices.ContainsFunc(c.book.KitContents, func(k planner.KitContent) bool { return k.Kit == kit && k.Part == part })
}
