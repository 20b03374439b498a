package forecast

import (
	"fmt"
	"slices"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/chain"
	"roundkit/planner/day"
	"roundkit/planner/demand"
	"roundkit/planner/units"
)

// Chain is the trips before a horizon, ready to say of each part what they leave. It is never
// changed, and may be asked from several goroutines.
type Chain struct {
	o    *Outlook
	h    Horizon
	legs []leg
	opts ChainOptions
	late day.Day              // what comes must be there by then
	come map[string][]arrival // by part
	own  work                 // of the horizon
}

// ChainOptions say whose stock a chain is about.
type ChainOptions struct {
	Confidence float64
	With       func(place string) bool        // is with the horizon's trip now, or counts as had
	Base       func(place string) bool        // can still be packed for it; nil: nothing can
	Same       func(trip calendar.Trip) bool  // an earlier trip uses what is with the horizon's
	Joins      func(order planner.Order) bool // what an order brings can be packed; nil: none does
}

// leg is one trip before the horizon.
type leg struct {
	trip       calendar.Trip
	h          Horizon
	work       work
	with, join bool
}

// Then is what the trips before leave of a part, in base units.
type Then struct {
	There     units.Quantity // now, with what keeps to the horizon's end
	Low, High units.Quantity // what will be left of it, and of what is moved and comes: 5 to 95 %
	Mean      float64        // of what will be left
	Moved     units.Quantity // what the plan moves to it for the trips before
	// Need and Wanted are set against There and what is packed: the own need, and what the trips
	// before take. A Need beyond what can be packed by then is beyond everything.
	Need, Wanted Need
	Doubt        string         // not empty: why the chances are not exact
	Stock        *Stock         // that the trips before were walked with; nil where nothing is used up
	Come         units.Quantity // what orders bring to it by then, counted off Need and Wanted
	BaseHigh     units.Quantity // all but certainly no more than that is left to be packed

	left chain.Left
	own  Need // of the horizon by itself
}

// Had returns what the horizon has for the confidence where so much is packed for it: what is
// left of what is there, and of what was to be packed.
func (t Then) Had(packed units.Quantity, confidence float64) units.Quantity {
	d, err := t.left.Had(int(packed / t.own.Step))
	if err != nil {
		return 0 // too wide to be kept: the walk would have failed before
	}
	return units.Quantity(d.Quantile(1-confidence)) * t.own.Step
}

// WithCome returns the same for who counts what orders bring as there: it is no longer counted
// off.
func (t Then) WithCome() Then {
	steps := int(t.Come / max(t.Need.Step, 1))
	t.Need.Dist.PMF, t.Wanted.Dist.PMF = t.Need.Dist.PMF.Shift(steps), t.Wanted.Dist.PMF.Shift(steps)
	t.Need.there += steps
	return t
}

// Own is the horizon's need by itself.
func (t Then) Own() Need { return t.own }

// Stock is what the trips before find of a part and where, in grid steps of Step base units.
type Stock struct {
	With, Base []chain.Layer
	Moved      []int // from base, for each of them
	Step       units.Quantity
}

// Leg is a trip before the horizon.
type Leg struct {
	Trip calendar.Trip
	With bool // it uses what is with the horizon's trip
}

// Earlier lists the trips that use stock before a trip that starts on a day is packed: begun
// before it, not over, and back by then. A trip that is away on the pack day shares nothing.
func (o *Outlook) Earlier(h Horizon) []calendar.Trip {
	if len(h.Trips) == 0 || h.Trips[0].StartOn <= o.Snapshot.AsOf {
		return nil
	}
	var out []calendar.Trip
	for _, t := range o.Calendar.Trips {
		own := slices.ContainsFunc(h.Trips, func(x calendar.Trip) bool { return x.Code == t.Code })
		over := len(t.Rounds) == 0 || o.Snapshot.AsOf >= t.LastRoundOn()
		if own || over || t.StartOn >= h.FirstPackOn || t.Away(h.FirstPackOn) {
			continue
		}
		out = append(out, t)
	}
	return out
}

// ChainTo returns the chain of trips to a horizon; nil where no trip comes before it.
func (o *Outlook) ChainTo(h Horizon, opts ChainOptions) (*Chain, error) {
	c := &Chain{o: o, h: h, opts: opts, late: h.FirstPackOn, own: o.workOf(h)}
	for _, t := range o.Earlier(h) {
		th, err := o.horizonOf(t.Rounds)
		if err != nil {
			return nil, err
		}
		c.legs = append(c.legs, leg{trip: t, h: th, work: o.workOf(th), with: opts.Same(t), join: o.joins(t)})
	}
	if len(c.legs) == 0 {
		return nil, nil
	}
	if opts.Joins != nil {
		c.come = o.arrivals(opts.Joins)
	}
	return c, nil
}

// joins reports whether more can still be packed for a trip: it has not left, or a top-up is
// ahead.
func (o *Outlook) joins(t calendar.Trip) bool {
	if t.GoesBy == calendar.Home {
		return false
	}
	if o.Snapshot.AsOf <= t.PackOn || t.StartOn > o.Snapshot.AsOf {
		return true
	}
	return slices.ContainsFunc(o.Snapshot.TopUps, func(u planner.TopUp) bool {
		return u.Trip == t.Code && u.On > o.Snapshot.AsOf
	})
}

// Trips returns the codes of the trips before, in order.
func (c *Chain) Trips() []string {
	var codes []string
	for _, l := range c.legs {
		codes = append(codes, l.trip.Code)
	}
	return codes
}

// allButSure is a chance too small to pack for.
const allButSure = 1e-9

// Legs returns the trips before, in order.
func (c *Chain) Legs() (legs []Leg) {
	for _, l := range c.legs {
		legs = append(legs, Leg{Trip: l.trip, With: l.with})
	}
	return legs
}

// Seen returns the same chain to the horizon as another outlook of the same plan sees it: with
// the weather of a round known, say.
func (c *Chain) Seen(by *Outlook) *Chain {
	seen := *c
	seen.own = by.workOf(c.h)
	return &seen
}

// Of returns what the trips before leave of a part, and what the horizon then wants of it.
// alone is the horizon's need by itself. Springs and what must only be on site are not used
// up: theirs is the need alone.
func (c *Chain) Of(p planner.Part, alone Need) (Then, error) {
	then := Then{Need: alone, Wanted: alone, own: alone}
	_, spring := c.o.springs[p.Code]
	used := len(alone.uses) > 0
	for _, l := range c.legs { // a kit may be wanted for what is in it alone
		used = used || p.Unit == units.PC && len(l.work.uses[p.Code]) > 0
	}
	if spring || len(alone.onSite) > 0 || !used {
		return then, nil
	}
	line, there, come := c.line(p, alone.Step)
	then.There = units.Quantity(there) * alone.Step
	works := []work{c.own}
	for _, l := range c.legs {
		works = append(works, l.work)
	}
	nodes, doubt, err := nodesOf(p.Code, works)
	if err != nil {
		return then, fmt.Errorf("part %s: %w", p.Code, err)
	}
	then.Doubt, line.Weights = doubt, nodes.weights
	uses := make([][]demand.PMF, len(works)) // of each trip and node; the horizon's is first
	for i, w := range works {
		for _, given := range nodes.given {
			d, err := w.need(given(w.uses[p.Code]), float64(alone.Step)/float64(p.Unit.Base())).Distribution()
			if err != nil {
				return then, fmt.Errorf("part %s: %w", p.Code, err)
			}
			uses[i] = append(uses[i], d.PMF)
		}
	}
	for i, l := range c.legs {
		line.Legs = append(line.Legs, chain.Leg{With: l.with, Join: l.join, Use: uses[i+1]})
	}
	left, err := line.Walk()
	if err != nil {
		return then, fmt.Errorf("part %s: %w", p.Code, err)
	}
	then.left = left
	base, err := demand.Mix(left.Weights, left.Base)
	if err != nil {
		return then, fmt.Errorf("part %s: %w", p.Code, err)
	}
	then.BaseHigh = units.Quantity(base.Quantile(1-allButSure)) * alone.Step
	then.Stock = &Stock{With: line.With, Base: line.Base, Moved: left.Moved, Step: alone.Step}
	gap, err := left.Gap(uses[0])
	if err != nil {
		return then, fmt.Errorf("part %s: %w", p.Code, err)
	}
	then.Need.gap, then.Need.there = &gap, there
	// What is set against them is what is there now, so what joins it later counts off.
	then.Need.Dist.PMF = chain.AtLeast(gap.Need().Shift(there-left.There), 0)
	then.Wanted.Dist.PMF = chain.AtLeast(gap.Wanted().Shift(there-left.There), 0)
	mixed, err := demand.Mix(left.Weights, left.With)
	if err != nil {
		return then, fmt.Errorf("part %s: %w", p.Code, err)
	}
	then.Low, then.High = units.Quantity(mixed.Quantile(0.05))*alone.Step, units.Quantity(mixed.Quantile(0.95))*alone.Step
	then.Mean = mixed.Mean() * float64(alone.Step)
	then.Come = units.Quantity(come) * alone.Step
	for _, m := range left.Moved {
		then.Moved += units.Quantity(m) * alone.Step
	}
	return then, nil
}

// line lays a part's stock out by where it is and how long it keeps, in steps. there is what
// is with the trip now and keeps to its end, come is what orders bring to it.
func (c *Chain) line(p planner.Part, step units.Quantity) (line chain.Line, there, come int) {
	line.Confidence = c.opts.Confidence
	with, base := map[int]units.Quantity{}, map[int]units.Quantity{}
	for _, h := range c.o.Snapshot.Stock {
		if h.Part != p.Code || c.o.Places.Assembly(h.Place) {
			continue
		}
		switch {
		case c.opts.With(h.Place):
			with[c.lasts(h)] += h.Quantity
		case c.opts.Base != nil && c.opts.Base(h.Place):
			base[c.lasts(h)] += h.Quantity
		}
	}
	line.With, there = layers(with, step)
	line.Base, _ = layers(base, step)
	for _, a := range c.come[p.Code] {
		from := slices.IndexFunc(c.legs, func(l leg) bool { return a.on <= l.trip.PackOn })
		if from < 0 {
			from = len(c.legs)
		}
		if a.on > c.late {
			continue
		}
		l := chain.Layer{Amount: int(a.quantity / step), Good: chain.Forever, From: from}
		if c.opts.Base == nil {
			line.With = append(line.With, l)
			come += l.Amount
		} else {
			line.Base = append(line.Base, l)
		}
	}
	return line, there, come
}

// lasts is for how many of the legs a holding is good.
func (c *Chain) lasts(h planner.Holding) int {
	for i, l := range c.legs {
		if !c.o.GoodOn(h, l.h.LastOn) {
			return i
		}
	}
	if !c.o.GoodOn(h, c.h.LastOn) {
		return len(c.legs)
	}
	return chain.Forever
}

// layers turns amounts by how long they keep into steps; what keeps longest is rounded down
// first, so that a sum of them is the rounded sum.
func layers(of map[int]units.Quantity, step units.Quantity) (out []chain.Layer, forever int) {
	var ages []int
	for age := range of {
		ages = append(ages, age)
	}
	slices.Sort(ages)
	slices.Reverse(ages)
	total, steps := units.Quantity(0), 0
	for _, age := range ages {
		total += of[age]
		n := int(total / step)
		out = append(out, chain.Layer{Amount: n - steps, Good: age})
		if steps = n; age == chain.Forever {
			forever = n
		}
	}
	return out, forever
}

// arrival is what an order still brings of a part, and from when on it can be packed.
type arrival struct {
	on       day.Day
	quantity units.Quantity
}

// arrivals lists what is on its way, by part: of orders placed, what has not come, ours for the
// handling days before it can be packed.
func (o *Outlook) arrivals(joins func(planner.Order) bool) map[string][]arrival {
	handling := 0
	if s := o.Snapshot.Season; len(s) > 0 && s[0].HandlingDays != nil {
		handling = *s[0].HandlingDays
	}
	all := map[string][]arrival{}
	for _, order := range o.Snapshot.Orders {
		switch {
		case order.State == "drafted", order.State == "called off", order.DueOn == nil:
			continue
		case order.ArrivedOn != nil && *order.ArrivedOn <= o.Snapshot.AsOf, !joins(order):
			continue
		}
		for part, q := range o.ToCome(order.Code) {
			all[part] = append(all[part], arrival{*order.DueOn + day.Day(handling), q})
		}
	}
	return all
}

// then adds to the lines of a forecast what the trips before it leave.
func (a asked) then(res *Result, workers int) error {
	c, err := a.o.ChainTo(a.h, a.chainOptions())
	if err != nil || c == nil {
		return err
	}
	res.Before = c.Trips()
	return spread(len(res.Parts), workers, func(i int) error {
		line := &res.Parts[i]
		then, err := c.Of(line.Part, line.Need)
		if err != nil {
			return err
		}
		line.Then = &then
		return nil
	})
}

// chainOptions are those of a forecast: what counts as had is with the trip, and all else of
// ours can be packed, where a place was asked for.
func (a asked) chainOptions() ChainOptions {
	opts := ChainOptions{
		Confidence: a.confidence, With: a.scope.Holds,
		Same: func(t calendar.Trip) bool {
			return a.scope.at == "" || t.GoesBy == calendar.Truck && t.Truck != "" && a.o.Places.Within(t.Truck, a.scope.at)
		},
		Joins: func(order planner.Order) bool { return order.ShipTo == "" || a.o.Places.Ours(order.ShipTo) },
	}
	if a.scope.at != "" {
		elsewhere, _ := a.o.ScopeOf(a.h, "") // an empty place is always known
		opts.Base = func(place string) bool { return elsewhere.Holds(place) && !a.scope.Holds(place) }
	}
	return opts
}

// CoverThen is the chance that what is left then is enough, with what is moved and comes by
// then but nothing packed from elsewhere.
func (t Then) CoverThen() float64 { return t.Need.Cover(t.There) }

// ShortThen is what must be packed or bought beyond what is left then, at a confidence.
func (t Then) ShortThen(confidence float64) units.Quantity {
	return max(0, t.Wanted.AtConfidence(confidence)-t.There)
}
