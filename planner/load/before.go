package load

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/chain"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// Before is what the trips before leave of a part that is with the trip now, in base units.
type Before struct {
	Part      planner.Part
	There     units.Quantity // now
	Low, High units.Quantity // when the trip is packed: 5 to 95 %
	Moved     units.Quantity // what the plan moves to it before, for the trips before
}

// readBefore asks what the trips before leave of each part, and sets its need against that.
func (p *packing) readBefore() error {
	if p.opts.Alone {
		return nil
	}
	home, truck := p.trip.GoesBy == calendar.Home, p.trip.GoesBy == calendar.Truck && p.trip.Truck != ""
	free := func(code string) bool {
		return p.o.Places.Ours(code) && !p.o.Places.Assembly(code) && !p.within(code, p.stays) && !p.within(code, p.refused)
	}
	opts := forecast.ChainOptions{
		Confidence: p.res.Confidence,
		With:       func(code string) bool { return p.within(code, p.stays) || home && free(code) },
		Same: func(t calendar.Trip) bool {
			return home || truck && t.GoesBy == calendar.Truck && t.Truck == p.trip.Truck
		},
		Joins: func(o planner.Order) bool {
			return o.ShipTo == "" || p.o.Places.Ours(o.ShipTo) && !p.within(o.ShipTo, p.refused)
		},
	}
	if !home {
		opts.Base = free
	}
	var err error
	if p.chain, err = p.o.ChainTo(p.res.Horizon, opts); err != nil || p.chain == nil {
		return err
	}
	for i := range p.parts {
		s := &p.parts[i]
		then, err := p.chain.Of(s.Part, s.line.Need)
		if err != nil {
			return err
		}
		if home { // there an order on its way counts as had
			then = then.WithCome()
		}
		if then.Doubt != "" {
			p.note("%s: %s", s.Code, then.Doubt)
		}
		s.then, s.line.Need, s.line.AtConfidence = then, then.Need, then.Wanted.AtConfidence(p.res.Confidence)
		if then.Stock != nil {
			s.usedBefore(then.BaseHigh)
			// Where base may run out more than is wanted may reach it.
			if q := then.Need.AtConfidence(p.res.Confidence); q <= s.most() {
				s.line.AtConfidence = q
			}
		}
	}
	for _, t := range p.chain.Legs() {
		w := p.workOn(t.Trip)
		l := playedLeg{with: t.With, tasks: w.tasks, isWet: make([]bool, len(t.Trip.Rounds)), wet: make([]float64, len(t.Trip.Rounds))}
		for r, round := range t.Trip.Rounds {
			if l.wet[r], _, err = calendar.WetChance(round, p.o.Snapshot.AsOf); err != nil {
				return err
			}
		}
		p.legs = append(p.legs, l)
	}
	return nil
}

// usedBefore leaves out the containers that the trips before will have used: what goes first,
// until no more is left than there can be.
func (s *supply) usedBefore(left units.Quantity) {
	total := units.Quantity(0)
	for _, c := range s.can {
		total += c.quantity
	}
	for len(s.can) > 0 && total-s.can[0].quantity >= left {
		total -= s.can[0].quantity
		s.can = s.can[1:]
	}
}

// before lists the parts of which the trips before take what is with the trip now.
func (p *packing) before() (out []Before) {
	for _, s := range p.parts {
		if t := s.then; p.chain != nil && t.There > 0 && t.Low < t.There && s.line.Mean > 0 {
			out = append(out, Before{Part: s.Part, There: t.There, Low: t.Low, High: t.High, Moved: t.Moved})
		}
	}
	return out
}

// noteBefore says what the trips before leave of what is with the trip now, where it tells.
func (p *packing) noteBefore() {
	if p.chain == nil {
		return
	}
	var words []string
	for _, b := range p.before() {
		left := units.Say(b.Low, b.Part.Unit)
		if b.High > b.Low {
			left += " to " + units.Say(b.High, b.Part.Unit)
		}
		words = append(words, fmt.Sprintf("%s %s of %s", b.Part.Code, left, units.Say(b.There, b.Part.Unit)))
	}
	verb := "use"
	if len(p.legs) == 1 {
		verb = "uses"
	}
	note := fmt.Sprintf("%s %s the same stock before", strings.Join(p.chain.Trips(), ", "), verb)
	if len(words) > 0 {
		note += "; of what is with the trip now will be left (5 to 95 %): " + strings.Join(words, ", ")
	}
	p.note("%s", note)
}

// playedLeg is a trip before, drawn job by job.
type playedLeg struct {
	with  bool
	tasks []task
	wet   []float64
	isWet []bool
}

// age is stock of one age while a season is played, in base units.
type age struct {
	amount float64
	good   int
}

// playBefore draws the trips before and adds to each part's drawn need what they take of what
// is there now, and what then cannot be packed of what was to be. Nothing of it comes from the
// exact distributions but what the plan moves.
func (s *stage) playBefore(p *packing, need []float64, have []units.Quantity) {
	if p.chain == nil {
		return
	}
	if s.uses == nil {
		s.uses = make([][]float64, len(p.legs))
		for k := range s.uses {
			s.uses[k] = make([]float64, len(p.parts))
		}
	}
	for k, l := range p.legs {
		clear(s.uses[k])
		for r := range l.wet {
			l.isWet[r] = s.rng.Float64() < l.wet[r]
		}
		s.playTasks(p, l.tasks, l.isWet, s.uses[k])
	}
	for i := range p.parts {
		t := &p.parts[i].then
		if t.Stock == nil {
			continue
		}
		with, base := s.walk(p, i, t.Stock)
		need[i] += float64(p.parts[i].there) - with
		if packed := float64(have[i] - p.parts[i].there); packed > base {
			need[i] += packed - base
		}
	}
}

// walk plays one part's stock through the trips before and returns what is left with the trip
// and what can be packed.
func (s *stage) walk(p *packing, part int, st *forecast.Stock) (with, base float64) {
	s.with, s.base = s.with[:0], s.base[:0]
	come := func(leg int) {
		s.with, s.base = arrive(s.with, st.With, leg, st.Step), arrive(s.base, st.Base, leg, st.Step)
	}
	for k, l := range p.legs {
		come(k)
		moved := float64(units.Quantity(st.Moved[k]) * st.Step)
		s.with = append(s.with, age{moved, chain.Forever})
		takeFrom(s.base, moved, true)
		if l.with {
			takeFrom(s.with, s.uses[k][part], false)
		} else {
			takeFrom(s.base, s.uses[k][part], false)
		}
	}
	come(len(p.legs))
	return keeps(s.with), keeps(s.base)
}

// arrive adds what comes by a leg and drops what is past its date then.
func arrive(store []age, layers []chain.Layer, leg int, step units.Quantity) []age {
	for _, l := range layers {
		if l.From == leg {
			store = append(store, age{float64(units.Quantity(l.Amount) * step), l.Good})
		}
	}
	return slices.DeleteFunc(store, func(a age) bool { return a.good <= leg })
}

// takeFrom takes an amount out of a store, what goes first first or what keeps longest.
func takeFrom(store []age, amount float64, longest bool) {
	for amount > 0 {
		at := -1
		for i, a := range store {
			if a.amount > 0 && (at < 0 || (a.good < store[at].good) != longest) {
				at = i
			}
		}
		if at < 0 {
			return
		}
		n := math.Min(amount, store[at].amount)
		store[at].amount -= n
		amount -= n
	}
}

// keeps is what keeps through the trip.
func keeps(store []age) (total float64) {
	for _, a := range store {
		if a.good == chain.Forever {
			total += a.amount
		}
	}
	return total
}
