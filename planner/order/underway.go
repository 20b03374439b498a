package order

import (
	"slices"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// underWay covers what is left of a trip under way: moves first, then what can be
// collected on the way or still be sent. What it buys, and what stays short, the walk
// through the trips to come is told.
func (p *planning) underWay(u *underWay, part planner.Part, w *walk) error {
	all, err := p.tripNeed(part, u.rounds)
	if err != nil || all.at == 0 {
		return err
	}
	if !p.needs.spring(part) {
		w.learn(u.goodOn, all.variance)
	}
	have := p.withTrip(u, part, u.goodOn)
	reason := Reason{Trip: u.trip.Code, Rounds: u.rounds, DueOn: u.goodOn, Need: all.at, Have: have, Short: all.at - have}
	missing := p.moveTo(u, part, all.at-have, all.runShort(have), reason)
	early, earlyChance, err := p.tooEarly(u, part)
	if err != nil {
		return err
	}
	if missing <= 0 && early <= 0 {
		return nil
	}
	if noAir(part, u.trip) {
		p.short(Short{Part: part, Trip: u.trip.Code, Rounds: u.rounds, DueOn: u.dueOn(), Quantity: max(missing, early), Chance: max(earlyChance, all.runShort(all.at-missing)),
			Remedies: []Remedy{thereRemedy(stage{trip: u.trip})}})
		return nil
	}
	chance := max(earlyChance, all.runShort(all.at-max(missing, 0)))
	reason.Have = all.at - missing
	reason.Short = max(missing, early)
	got, before := p.buyOnTheWay(u, part, max(missing, early), w.free, chance, reason)
	missing -= got
	if got > 0 { // back with the trip, if it is not used
		w.bought = append(w.bought, bought{got, u.trip.EndOn, shelfLife(part, p.s.AsOf)})
	}
	if before {
		early -= got
	}
	if q := max(missing, early); q > 0 {
		if missing > 0 {
			w.away = append(w.away, unmet{u.trip, missing})
		}
		rounds, err := p.runsOut(u, part, all.at-missing, max(missing, 0), max(early, 0))
		if err != nil {
			return err
		}
		p.short(Short{Part: part, Trip: u.trip.Code, Rounds: rounds, DueOn: u.dueOn(), Quantity: q, Chance: chance, Remedies: p.remediesUnderWay(u, part, q)})
	}
	return nil
}

// runsOut returns the rounds left of a trip at which a part runs short: those before the
// first top-up where that comes too late, and those from the first on whose need, with all
// before it, is more than there will be.
func (p *planning) runsOut(u *underWay, part planner.Part, have, missing, early units.Quantity) (rounds []string, err error) {
	if early > 0 {
		rounds = append(rounds, u.before...)
	}
	if missing == 0 {
		return rounds, nil
	}
	out := false
	for i, code := range u.rounds {
		if !out {
			n, err := p.tripNeed(part, u.rounds[:i+1])
			if err != nil {
				return nil, err
			}
			out = n.at > have
		}
		if out && !slices.Contains(rounds, code) {
			rounds = append(rounds, code)
		}
	}
	return rounds, nil
}

// dueOn is the day by which something must be there to be of use: the next top-up,
// else the end of the trip.
func (u *underWay) dueOn() day.Day {
	if len(u.topUps) > 0 {
		return u.topUps[0].On
	}
	return u.goodOn
}

func (p *planning) tripNeed(part planner.Part, rounds []string) (need, error) {
	if p.needs.spring(part) {
		return p.needs.atOnce(part, rounds, rounds)
	}
	return p.needs.of(part, rounds, true)
}

// tooEarly returns what is missing at the rounds that the first top-up comes too late
// for, and the chance that it matters.
func (p *planning) tooEarly(u *underWay, part planner.Part) (units.Quantity, float64, error) {
	if len(u.before) == 0 {
		return 0, 0, nil
	}
	n, err := p.tripNeed(part, u.before)
	if err != nil || n.at == 0 {
		return 0, 0, err
	}
	var goodOn day.Day
	for _, r := range u.trip.Rounds {
		if slices.Contains(u.before, r.Code) {
			goodOn = max(goodOn, r.LastOn)
		}
	}
	have := p.withTrip(u, part, goodOn)
	return n.at - have, n.runShort(have), nil
}

// withTrip returns how much of a part is with a trip: in its places, in the forks and
// shocks that travel, and on its way there before the last round begins.
func (p *planning) withTrip(u *underWay, part planner.Part, goodOn day.Day) units.Quantity {
	var have units.Quantity
	for _, h := range p.holdings[part.Code] {
		switch {
		case p.fitted(h):
			if p.needs.spring(part) && p.travels(h.Place, u.trip) {
				have += h.Quantity
			}
		case p.within(h.Place, u.roots) && p.goodTo(h) >= goodOn:
			have += h.Quantity
		}
	}
	for _, in := range p.incoming {
		if in.part == part.Code && p.within(in.order.ShipTo, u.roots) && p.by(in, u.lastStart(p.s.AsOf)) {
			have += in.quantity
		}
	}
	return have
}

// lastStart is the first day of the trip's last round, or tomorrow once that has begun.
func (u *underWay) lastStart(asOf day.Day) day.Day {
	var last day.Day
	for _, r := range u.trip.Rounds {
		if slices.Contains(u.rounds, r.Code) {
			last = max(last, r.FirstOn)
		}
	}
	return max(last, asOf+1)
}

// moveTo plans what the top-ups bring of what is missing, as far as it is where they
// come from, and returns what is still missing.
func (p *planning) moveTo(u *underWay, part planner.Part, missing units.Quantity, chance float64, reason Reason) units.Quantity {
	if len(u.roots) == 0 {
		return missing
	}
	for _, up := range u.topUps {
		if missing <= 0 {
			break
		}
		from := up.From
		if from == "" {
			from = p.base
		}
		m := Move{Part: part, From: from, To: p.home(part, u), By: up.On, Trip: u.trip.Code, Reason: reason}
		for _, pick := range p.picks(part, u, up, from) {
			if m.Quantity >= missing {
				break
			}
			// A thing with a tag is moved whole; of the rest only what is missing.
			if pick.Tag == "" {
				pick.Quantity = min(pick.Quantity, missing-m.Quantity)
			}
			m.Quantity += pick.Quantity
			m.Picks = append(m.Picks, pick)
			lie := moved{trip: u.trip.Code, part: part.Code, place: pick.Place, lot: pick.Lot, tag: pick.Tag, order: pick.Order, quantity: pick.Quantity}
			p.moved = append(p.moved, lie)
		}
		if m.Quantity > 0 {
			missing -= m.Quantity
			p.res.Moves = append(p.res.Moves, m)
		}
	}
	return missing
}

// home is where a trip's stock is: its truck, or the case that has the part, else the
// first.
func (p *planning) home(part planner.Part, u *underWay) string {
	for _, h := range p.holdings[part.Code] {
		for _, root := range u.roots {
			if p.o.Places.Within(h.Place, root) {
				return root
			}
		}
	}
	return u.roots[0]
}

// picks lists what a top-up can bring of a part, what expires first first, and last
// what an order will have brought there by then.
func (p *planning) picks(part planner.Part, u *underWay, up planner.TopUp, from string) []Pick {
	away := append(p.awayRoots(up.On), u.roots...)
	var out []Pick
	for _, h := range p.left(part, up.On) {
		if !p.fitted(h) && p.o.Places.Within(h.Place, from) && !p.within(h.Place, away) && p.goodTo(h) >= u.goodOn {
			out = append(out, Pick{Place: h.Place, Lot: h.Lot, Tag: h.Tag, Quantity: h.Quantity})
		}
	}
	for _, in := range p.incoming {
		if in.part != part.Code || !p.by(in, up.On) || !(p.o.Places.Within(in.order.ShipTo, from) || in.order.ShipTo == "" && from == p.base) {
			continue
		}
		q := in.quantity
		for _, m := range p.moved {
			if m.order == in.order.Code && m.part == in.part {
				q -= m.quantity
			}
		}
		if q > 0 {
			out = append(out, Pick{Place: from, Order: in.order.Code, Quantity: q})
		}
	}
	return out
}

// buyOnTheWay buys what can still reach a trip under way: collected from the first
// choice at one of its rounds, sent to where a top-up comes from, or sent to the trip
// itself before a round begins. before says that it comes early enough for the rounds
// before the first top-up too.
func (p *planning) buyOnTheWay(u *underWay, part planner.Part, missing units.Quantity, free allowance, chance float64, reason Reason) (got units.Quantity, before bool) {
	if len(u.roots) == 0 {
		return 0, false
	}
	for _, src := range p.sources(part, free, p.s.AsOf) {
		o := src.offer
		x := want{trip: u.trip.Code, goodOn: u.goodOn, how: Sent}
		if c, ok := p.collectAt(u, o); ok {
			x.how, x.round, x.shipTo, x.orderBy, x.dueOn = Collect, c.Code, u.roots[0], c.LastOn, c.LastOn
			before = slices.Contains(u.before, c.Code) || len(u.before) == 0
			if before { // the sooner the better
				x.orderBy = max(c.FirstOn, p.s.AsOf+1)
				x.dueOn = x.orderBy
			}
		} else if up, ok := p.sendByTopUp(u, o); ok {
			x.shipTo, x.dueOn, x.orderBy = p.fromOf(up), up.On, o.timing(p, up.On).orderBy
		} else if r, ok := p.sendToRound(u, o); ok {
			x.shipTo, x.dueOn, x.orderBy = u.roots[0], r.FirstOn, o.timing(p, r.FirstOn).orderBy
		} else {
			continue
		}
		if src.most > 0 {
			missing = min(missing, src.most)
		}
		bought := p.want(part, o, missing, o.minimum, free, p.s.AsOf)
		x.part, x.offer, x.need, x.free, x.paid, x.beyond = part, o, missing, bought.free, bought.paid, bought.beyond
		x.chance, x.reason = chance, reason
		p.wants = append(p.wants, x)
		return x.quantity(), before
	}
	return 0, false
}

func (p *planning) fromOf(up planner.TopUp) string {
	if up.From == "" {
		return p.base
	}
	return up.From
}

// collectAt returns the first round of the trip that is not over at which the supplier
// can be met.
func (p *planning) collectAt(u *underWay, o *offer) (planner.Round, bool) {
	for _, r := range u.trip.Rounds {
		if calendar.Over(r, p.s.AsOf) {
			continue
		}
		for _, c := range p.s.Collections {
			if c.Supplier == o.Supplier && c.Round == r.Code {
				return r, true
			}
		}
	}
	return planner.Round{}, false
}

// sendByTopUp returns the first top-up that an order of today surely catches.
func (p *planning) sendByTopUp(u *underWay, o *offer) (planner.TopUp, bool) {
	for _, up := range u.topUps {
		if !o.timing(p, up.On).late {
			return up, true
		}
	}
	return planner.TopUp{}, false
}

// sendToRound returns the first round of the trip before which an order of today surely
// arrives there.
func (p *planning) sendToRound(u *underWay, o *offer) (planner.Round, bool) {
	for _, r := range u.trip.Rounds {
		if slices.Contains(u.rounds, r.Code) && r.FirstOn > p.s.AsOf && !o.timing(p, r.FirstOn).late {
			return r, true
		}
	}
	return planner.Round{}, false
}
