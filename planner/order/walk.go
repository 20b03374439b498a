package order

import (
	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// walk goes through the stages of the trips to be packed with one part, and buys what
// is not there.
type walk struct {
	p      *planning
	part   planner.Part
	free   allowance
	bought []bought
	unmet  units.Quantity // short at the stage before, so short again at this one
	known  []knownBy      // what will be known of the need, by date
	away   []unmet        // short with trips that are not back yet
}

// unmet is what is short with a trip under way: once it is back, its need counts in all
// that follow, but that much of it is said already.
type unmet struct {
	trip     calendar.Trip
	quantity units.Quantity
}

// bought is what the walk has decided to buy.
type bought struct {
	quantity units.Quantity
	by       day.Day // there from this day on
	goodTo   day.Day
}

// gap is what is missing at a stage.
type gap struct {
	need   units.Quantity
	have   units.Quantity
	chance float64
	doubt  doubt
}

func (g gap) short() units.Quantity { return g.need - g.have }

// step covers one stage.
func (w *walk) step(k int) error {
	st := w.p.stages[k]
	if noAir(w.part, st.trip) {
		n, err := w.need(st.rounds, st.rounds, false)
		if err != nil || n.at == 0 {
			return err
		}
		w.p.short(Short{Part: w.part, Trip: st.trip.Code, Rounds: st.rounds, DueOn: st.dueOn, Quantity: n.at, Chance: n.runShort(0), Remedies: []Remedy{thereRemedy(st)}})
		return nil
	}
	worst, err := w.worst(k)
	if err != nil {
		return err
	}
	worst.doubt.known = w.known
	w.learn(st.goodOn, worst.doubt.variance)
	if worst.short() <= 0 {
		w.unmet = 0
		w.backBy(st.dueOn)
		return nil
	}
	w.unmet += w.backBy(st.dueOn)
	fresh := worst.short() - w.unmet
	reason := Reason{Trip: st.trip.Code, Rounds: st.rounds, DueOn: st.dueOn, Need: worst.need, Have: worst.have, Short: worst.short()}
	rest, late := w.buy(worst, st, reason)
	w.unmet = rest
	if late > 0 {
		rest = max(rest, late)
	}
	if rest > 0 && fresh > 0 {
		rounds, err := w.runsOut(k, rest)
		if err != nil {
			return err
		}
		w.p.short(Short{Part: w.part, Trip: st.trip.Code, Rounds: rounds, DueOn: st.dueOn, Quantity: min(rest, fresh), Chance: worst.chance,
			Remedies: w.p.remediesToPack(w.part, st, min(rest, fresh), late > 0)})
	}
	return nil
}

// runsOut returns the rounds of a stage at which the part runs short at the confidence,
// if so much is missing in the end: from the first one on whose need, with all before it,
// is more than there is.
func (w *walk) runsOut(k int, missing units.Quantity) ([]string, error) {
	st := w.p.stages[k]
	soFar, ofTrip, _ := w.stretch(-1, k)
	whole, err := w.need(ofTrip, soFar, true)
	if err != nil {
		return nil, err
	}
	have := whole.at - missing
	for i := 1; i < len(st.rounds); i++ {
		later := len(st.rounds) - i
		n, err := w.need(ofTrip[:len(ofTrip)-later], soFar[:len(soFar)-later], false)
		if err != nil {
			return nil, err
		}
		if n.at > have {
			return st.rounds[i-1:], nil
		}
	}
	return st.rounds[len(st.rounds)-1:], nil
}

// backBy takes what is short with trips that are back by a day off the list, and returns
// how much that is.
func (w *walk) backBy(on day.Day) units.Quantity {
	var sum units.Quantity
	var still []unmet
	for _, u := range w.away {
		if apart(u.trip, on) {
			still = append(still, u)
		} else {
			sum += u.quantity
		}
	}
	w.away = still
	return sum
}

// worst returns the largest gap over the stretches of stages that end at k: from the
// first, and from each before which some of the stock expires.
func (w *walk) worst(k int) (gap, error) {
	worst, err := w.gap(-1, k)
	if err != nil {
		return gap{}, err
	}
	for j := 0; j <= k; j++ {
		if !w.expiresBefore(j) {
			continue
		}
		g, err := w.gap(j, k)
		if err != nil {
			return gap{}, err
		}
		if g.short() > worst.short() {
			worst = g
		}
	}
	return worst, nil
}

// expiresBefore reports whether something that is good at the stage before is not at
// this one.
func (w *walk) expiresBefore(j int) bool {
	from := w.p.s.AsOf
	if j > 0 {
		from = w.p.stages[j-1].goodOn
	}
	goes := func(goodTo day.Day) bool { return from <= goodTo && goodTo < w.p.stages[j].goodOn }
	for _, h := range w.p.holdings[w.part.Code] {
		if goes(w.p.goodTo(h)) {
			return true
		}
	}
	for _, b := range w.bought {
		if goes(b.goodTo) {
			return true
		}
	}
	return false
}

// gap sets the need of the stages j to k (from -1: with the trips under way) against
// what there is by k that is good at j.
func (w *walk) gap(j, k int) (gap, error) {
	p, st := w.p, w.p.stages[k]
	goodOn := p.goodFrom(j)
	soFar, ofTrip, away := w.stretch(j, k)
	n, err := w.need(ofTrip, soFar, j < 0)
	if err != nil {
		return gap{}, err
	}
	g := gap{need: n.at, have: p.supply(w.part, st.dueOn, goodOn, append([]calendar.Trip{st.trip}, tripsOf(away)...))}
	for _, b := range w.bought {
		if b.by <= st.dueOn && b.goodTo >= goodOn {
			g.have += b.quantity
		}
	}
	var apart units.Quantity
	for _, a := range away {
		load, err := w.need(a.rounds, a.rounds, true)
		if err != nil {
			return gap{}, err
		}
		apart += load.at
	}
	g.need += apart
	g.chance = n.runShort(g.have - apart)
	if !w.p.needs.spring(w.part) { // the most at once is not known bit by bit
		g.doubt = doubt{beyondMean: float64(n.at) - n.mean, variance: n.variance}
	}
	return g, nil
}

// need returns the need of a trip, with all before it; of a spring, the most wanted at
// once on the trip.
func (w *walk) need(trip, soFar []string, shared bool) (need, error) {
	if w.p.needs.spring(w.part) {
		return w.p.needs.atOnce(w.part, trip, soFar)
	}
	return w.p.needs.of(w.part, soFar, shared)
}

// load is what is packed for a trip that is away.
type load struct {
	trip   calendar.Trip
	rounds []string
}

func tripsOf(loads []load) []calendar.Trip {
	var out []calendar.Trip
	for _, l := range loads {
		out = append(out, l.trip)
	}
	return out
}

// stretch splits the rounds of the stages j to k into those whose need is met from the
// same stock, and those of trips whose load is away on the day of k.
func (w *walk) stretch(j, k int) (soFar, ofTrip []string, away []load) {
	p, st := w.p, w.p.stages[k]
	if j < 0 {
		for _, u := range p.under {
			if !apart(u.trip, st.dueOn) && !noAir(w.part, u.trip) {
				soFar = append(soFar, u.rounds...)
			}
		}
	}
	for _, s := range p.stages[max(j, 0) : k+1] {
		switch {
		case noAir(w.part, s.trip):
		case s.trip.Code == st.trip.Code:
			soFar, ofTrip = append(soFar, s.rounds...), append(ofTrip, s.rounds...)
		case !apart(s.trip, st.dueOn):
			soFar = append(soFar, s.rounds...)
		case len(away) > 0 && away[len(away)-1].trip.Code == s.trip.Code:
			away[len(away)-1].rounds = append(away[len(away)-1].rounds, s.rounds...)
		default:
			away = append(away, load{s.trip, append([]string(nil), s.rounds...)})
		}
	}
	return soFar, ofTrip, away
}

// goodFrom is the day on which stock must be good to serve some of the stages from j on.
func (p *planning) goodFrom(j int) day.Day {
	if j >= 0 {
		return p.stages[j].goodOn
	}
	first := forEver
	for _, u := range p.under {
		first = min(first, u.goodOn)
	}
	if first == forEver && len(p.stages) > 0 {
		first = p.stages[0].goodOn
	}
	return first
}

// buy buys what is missing at a stage. It returns what no supplier it may choose can
// bring in time, and what comes in time by its usual lead time only.
func (w *walk) buy(g gap, st stage, reason Reason) (unmet, late units.Quantity) {
	p := w.p
	rest := g.short()
	for _, src := range p.sources(w.part, w.free, p.s.AsOf) {
		if rest <= 0 {
			break
		}
		b := src.offer.timing(p, st.dueOn)
		if !b.possible || w.tooOld(src.offer, st) {
			p.notes.add(src.offer.faults...)
			continue
		}
		take := rest
		if src.most > 0 {
			take = min(rest, src.most)
		}
		least := 1 // what is bought to reach the minimum is seen when wants share orders
		if w.free[src.offer.Supplier] > 0 {
			least = src.offer.minimum
		}
		x := p.want(w.part, src.offer, take, least, w.free, b.orderOn(p.s.AsOf))
		x.trip, x.dueOn, x.goodOn, x.how, x.shipTo = st.trip.Code, st.dueOn, st.goodOn, Sent, p.base
		x.orderBy, x.late, x.chance, x.doubt, x.reason = b.orderBy, b.late, g.chance, g.doubt, reason
		p.wants = append(p.wants, x)
		w.bought = append(w.bought, bought{x.quantity(), st.dueOn, shelfLife(w.part, st.dueOn-p.handling)})
		if b.late {
			late += take
		}
		rest -= x.quantity()
	}
	return max(rest, 0), late
}

// tooOld reports whether what is bought for a stage would expire before its end.
func (w *walk) tooOld(of *offer, st stage) bool {
	if shelfLife(w.part, st.dueOn-w.p.handling) >= st.goodOn {
		return false
	}
	w.p.notes.add(w.part.Code + ": its storage life of " + months(w.part) + " ends before " + st.trip.Code + " does, so it is not ordered for it")
	return true
}
