package ledger

import (
	"time"

	"github.com/google/uuid"

	"roundkit/planner"
	"roundkit/planner/units"
)

// events lists the records that the ledger does not hold yet.
func (p *poster) events() []event {
	b, season := p.in.Book, p.season
	var out []event
	add := func(at time.Time, rank, n int, post func(*poster)) {
		out = append(out, event{at: at, rank: rank, n: n, post: post})
	}
	for i, r := range b.Stock {
		id := StockID(season, r)
		before, held := p.in.Stock[id]
		if held && before == r.Quantity {
			continue
		}
		if held { // the same key with another quantity corrects that count
			id = Because(id, "corrected to "+units.Format(r.Quantity, units.PC))
			if p.in.Known[id] {
				continue
			}
		}
		add(r.CountedAt, rankStock, i, func(p *poster) { p.stockRow(i, id, r, held) })
	}
	p.undoEvents(add)
	if r := p.in.Redo; r != nil {
		add(r.At, rankUndo, -1, func(p *poster) { p.redo(*r) })
	}
	p.crossedEvents(add)
	p.receiptEvents(add)
	p.movementEvents(add)
	for i, j := range b.Jobs {
		id := ID(season, "job-log", j.Code)
		if !p.in.Known[id] {
			add(j.DoneAt, rankJob, i, func(p *poster) { p.job(i, id, j) })
		}
		if j.UndoneAt != nil && !p.in.Undone[id] {
			add(*j.UndoneAt, rankUndo, i, func(p *poster) { p.undoJob(i, id, j) })
		}
	}
	for i, c := range b.Counts {
		if id := ID(season, "counts", c.Code); !p.in.Known[id] {
			add(c.At, rankCount, i, func(p *poster) { p.count(i, id, c) })
		}
	}
	for i, w := range b.Weighings {
		if id := ID(season, "weighings", w.Code); !p.in.Known[id] {
			add(w.At, rankWeighing, i, func(p *poster) { p.weighing(i, id, w) })
		}
	}
	return out
}

// receiptEvents are the lots that name an order and that no receipt brings in.
func (p *poster) receiptEvents(add func(time.Time, int, int, func(*poster))) {
	b := p.in.Book
	brought := map[string]bool{}
	for _, m := range b.Movements {
		if m.Reason == "receipt" {
			brought[m.Lot] = true
		}
	}
	for _, r := range b.Stock { // what was counted at the start needs no receipt
		brought[r.Lot] = true
	}
	orders := map[string]planner.Order{}
	for _, o := range b.Orders {
		orders[o.Code] = o
	}
	for i, l := range b.Lots {
		if l.Order == "" || l.FromLot != "" || brought[l.Code] {
			continue
		}
		id := ID(p.season, "lots", l.Code)
		if p.in.Known[id] {
			continue
		}
		on := orders[l.Order].ArrivedOn
		if l.ReceivedOn != nil {
			on = l.ReceivedOn
		}
		if on == nil || l.Quantity == nil {
			continue // still on its way
		}
		add(on.Start(p.in.Zone), rankReceipt, i, func(p *poster) { p.receipt(i, id, l, orders[l.Order], on.Start(p.in.Zone)) })
	}
}

// movementGroup is an entry of the movements sheet: id and id/2 are two movements of one.
type movementGroup struct {
	id    uuid.UUID
	rows  []int
	first int
}

// movementGroups are the entries of the movements sheet, in its order.
func (p *poster) movementGroups() []*movementGroup {
	byCode := map[string]*movementGroup{}
	var order []*movementGroup
	for i, m := range p.in.Book.Movements {
		code := p.codeOf(m.Code)
		g := byCode[code]
		if g == nil {
			g = &movementGroup{id: ID(p.season, "movements", code), first: i}
			byCode[code] = g
			order = append(order, g)
		}
		g.rows = append(g.rows, i)
	}
	return order
}

func (p *poster) movementEvents(add func(time.Time, int, int, func(*poster))) {
	for _, g := range p.movementGroups() {
		if p.in.Known[g.id] {
			continue
		}
		first := p.in.Book.Movements[g.first]
		rank := rankMovement
		if first.Reason == "receipt" {
			rank = rankReceipt
		}
		add(first.At, rank, g.first, func(p *poster) { p.movement(g.id, g.rows) })
	}
}
