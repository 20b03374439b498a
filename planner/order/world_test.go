package order

import (
	"cmp"
	"fmt"
	"hash/fnv"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/demand"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// cell is a part on a trip.
type cell struct{ part, trip string }

// nature is what one season really needs of each part at each round, in base units.
type nature struct {
	use    map[[2]string]units.Quantity // of a round and a part
	wanted map[[2]string]units.Quantity // springs at once
	broken map[[2]string]units.Quantity
}

// dream draws a season job by job from what is planned: the weather of each round, the
// chances and rates that nobody knows once for the season, the rest job by job. Gonum
// draws, so that no line of it is the planner's.
func dream(o *forecast.Outlook, springs map[string][]forecast.SpringRound, seed uint64) nature {
	src := rand.New(rand.NewPCG(seed, 0x6f72646572))
	n := nature{map[[2]string]units.Quantity{}, map[[2]string]units.Quantity{}, map[[2]string]units.Quantity{}}
	h, err := o.Horizon(forecast.Options{Season: true})
	if err != nil {
		panic(err)
	}
	ahead, chances := o.Ahead(h)
	wet := make([]bool, len(chances))
	for i, chance := range chances {
		wet[i] = src.Float64() < chance
	}
	rates, betas := map[string]float64{}, map[string]float64{}
	float := map[[2]string]float64{}
	for _, a := range ahead {
		jobs := a.Jobs
		if a.Unplanned {
			rate, seen := rates[a.Service]
			if !seen {
				if rate = a.Rate.Value; !a.Rate.Known() {
					rate = distuv.Gamma{Alpha: a.Rate.Alpha, Beta: a.Rate.Beta, Src: src}.Rand()
				}
				rates[a.Service] = rate
			}
			mean := rate * a.Exposure
			if wet[a.Round] {
				mean *= a.WetFactor
			}
			jobs = 0
			if mean > 0 {
				jobs = int(distuv.Poisson{Lambda: mean, Src: src}.Rand())
			}
		}
		for _, u := range a.Uses {
			key := [2]string{h.Rounds[a.Round].Code, u.Part}
			switch u.Kind {
			case demand.Ranged:
				for range jobs {
					float[key] += (1 + u.Allowance) * within(u.Line, src)
				}
			case demand.Chanced:
				c, name := u.Dry, "any"
				if u.Wet != nil && wet[a.Round] {
					c, name = *u.Wet, "wet"
				}
				p := c.P
				if !c.Known() {
					name = fmt.Sprint(a.Service, u.Row, name)
					if _, seen := betas[name]; !seen {
						betas[name] = distuv.Beta{Alpha: c.A, Beta: c.B, Src: src}.Rand()
					}
					p = betas[name]
				}
				for range jobs {
					if src.Float64() < p {
						float[key] += u.Quantity
					}
				}
			default:
				float[key] += float64(jobs) * u.Quantity
			}
		}
	}
	for key, x := range float {
		part, err := o.Part(key[1])
		if err != nil {
			panic(err)
		}
		n.use[key] = units.Quantity(math.Round(x * float64(part.Unit.Base())))
	}
	for _, part := range slices.Sorted(maps.Keys(springs)) { // a map's order would draw another season each time
		for _, r := range springs[part] {
			n.wanted[[2]string{r.Round, part}] = units.Quantity(r.Wanted.Quantile(src.Float64()))
			if r.Breaks > 0 {
				n.broken[[2]string{r.Round, part}] = units.Quantity(distuv.Poisson{Lambda: r.Breaks, Src: src}.Rand())
			}
		}
	}
	return n
}

func within(l demand.Line, src *rand.Rand) float64 {
	switch {
	case l.Max == l.Min:
		return l.Min
	case l.Typical == nil:
		return l.Min + (l.Max-l.Min)*src.Float64()
	}
	return distuv.NewTriangle(l.Min, l.Max, *l.Typical, src).Rand()
}

// world is a season under way: the book as it is, and what comes when.
type world struct {
	t       *testing.T
	s       *planner.Snapshot
	seed    uint64 // of how long deliveries take
	n       nature
	comes   map[string]day.Day         // an order's real day
	price   map[string]decimal.Decimal // of one base unit of a lot, at home
	paid    decimal.Decimal            // goods and charges
	keeping float64                    // holding cost
	short   map[cell]bool
	numbers int
}

func newWorld(t *testing.T, start *planner.Snapshot, n nature, seed uint64) *world {
	s := *start
	s.Stock, s.Orders, s.OrderLines = slices.Clone(s.Stock), slices.Clone(s.Orders), slices.Clone(s.OrderLines)
	s.Lots, s.Use, s.Packed = slices.Clone(s.Lots), slices.Clone(s.Use), slices.Clone(s.Packed)
	return &world{t: t, s: &s, seed: seed, n: n, comes: map[string]day.Day{}, price: map[string]decimal.Decimal{}, short: map[cell]bool{}}
}

// place orders what a plan says must be out by a day, and books the moves of that day.
func (w *world) place(p *planning, r *Result, on day.Day) {
	r.Orders = slices.DeleteFunc(r.Orders, func(o Order) bool {
		if o.OrderBy > on {
			return false
		}
		w.order(p, o, on)
		return true
	})
	w.arrivals(on) // what is collected is here at once
	r.Moves = slices.DeleteFunc(r.Moves, func(m Move) bool {
		if m.By > on {
			return false
		}
		for _, pick := range m.Picks {
			if pick.Order == "" {
				w.move(m.Part.Code, pick.Lot, pick.Tag, pick.Place, m.To, pick.Quantity)
			} else {
				w.bring(p, m.Part, m.From, m.To, pick.Quantity)
			}
		}
		return true
	})
}

// order puts an order in the book as "order place" does: due by its usual lead time. It
// really comes on any day from then to its 95 % lead time.
func (w *world) order(p *planning, o Order, on day.Day) {
	w.numbers++
	code := fmt.Sprintf("SIM-%03d", w.numbers)
	due, last := on, on
	if o.How == Sent {
		c := clockOf(o.Supplier, w.s.Closures)
		leaves := c.leaves(on)
		due, last = leaves, leaves
		for _, l := range o.Lines {
			for _, f := range p.offers[l.Part.Code] {
				if f.Supplier == o.Supplier.Code {
					due, last = max(due, c.arrives(leaves, f.lead)), max(last, c.arrives(leaves, f.lead95))
				}
			}
		}
	}
	w.s.Orders = append(w.s.Orders, planner.Order{Code: code, Supplier: o.Supplier.Code, State: "placed", PlacedOn: &on, DueOn: &due, ShipTo: o.ShipTo})
	for _, l := range o.Lines {
		w.s.OrderLines = append(w.s.OrderLines, planner.OrderLine{Order: code, Part: l.Part.Code, Quantity: l.Quantity})
	}
	w.comes[code] = due + day.Day(w.slowness(o.Supplier.Code, on)*float64(last-due+1))
	rate, ok := RateOf(w.s, o.Currency)
	require.True(w.t, ok, "a rate of %s", o.Currency)
	w.paid = w.paid.Add(o.Total.Mul(rate))
	for i, l := range o.Lines {
		w.price[fmt.Sprint(code, l.Part.Code, i)] = l.UnitPrice.Mul(rate).Div(decimal.NewFromInt(int64(l.Pack)))
	}
}

// slowness is how much of its doubtful days a supplier takes for what is ordered on a day,
// 0 to below 1: the same in a season however it is ordered.
func (w *world) slowness(supplier string, on day.Day) float64 {
	h := fnv.New64a()
	h.Write([]byte(supplier))
	return rand.New(rand.NewPCG(w.seed^h.Sum64(), uint64(on))).Float64()
}

// arrivals puts what comes on a day where it was sent.
func (w *world) arrivals(on day.Day) {
	for i := range w.s.Orders {
		o := &w.s.Orders[i]
		comes, known := w.comes[o.Code]
		if !known && o.DueOn != nil {
			comes = *o.DueOn // ordered before: it comes on its day
		}
		if o.ArrivedOn != nil || o.State == "here" || comes != on {
			continue
		}
		o.ArrivedOn, o.State = &on, "here"
		n := 0
		for _, l := range w.s.OrderLines {
			if l.Order != o.Code {
				continue
			}
			lot := planner.Lot{Code: fmt.Sprint(o.Code, l.Part, n), Part: l.Part, Order: o.Code, ReceivedOn: &on, Quantity: &l.Quantity}
			n++
			for _, part := range w.s.Parts {
				if part.Code == l.Part && part.StorageLifeMonths != nil {
					last := on.AddMonths(*part.StorageLifeMonths)
					lot.ExpiresOn = &last
				}
			}
			to := o.ShipTo
			if to == "" {
				to = "workshop"
			}
			w.s.Lots = append(w.s.Lots, lot)
			w.s.Stock = append(w.s.Stock, planner.Holding{Part: l.Part, Lot: lot.Code, Place: to, Quantity: l.Quantity})
		}
	}
}

// move books a quantity of a lot from one place to another, as far as it is there.
func (w *world) move(part, lot, tag, from, to string, q units.Quantity) {
	for i := range w.s.Stock {
		h := &w.s.Stock[i]
		if h.Part == part && h.Lot == lot && h.Tag == tag && h.Place == from {
			q = min(q, h.Quantity)
			h.Quantity -= q
			if q > 0 {
				w.s.Stock = append(w.s.Stock, planner.Holding{Part: part, Lot: lot, Tag: tag, Place: to, Quantity: q})
			}
			break
		}
	}
	w.sweep()
}

// bring moves what lies below a place to another, what expires first first.
func (w *world) bring(p *planning, part planner.Part, from, to string, q units.Quantity) {
	for _, h := range w.holdings(p, part.Code) {
		if q > 0 && !p.fitted(h) && p.o.Places.Within(h.Place, from) {
			take := h.Quantity
			if h.Tag == "" { // a thing with a tag goes whole
				take = min(take, q)
			}
			w.move(part.Code, h.Lot, h.Tag, h.Place, to, take)
			q -= take
		}
	}
}

func (w *world) sweep() {
	w.s.Stock = slices.DeleteFunc(w.s.Stock, func(h planner.Holding) bool { return h.Quantity == 0 })
}

// holdings are those of a part that are ours, first to expire first.
func (w *world) holdings(p *planning, part string) []planner.Holding {
	var out []planner.Holding
	for _, h := range w.s.Stock {
		if h.Part == part && p.o.Places.Ours(h.Place) {
			out = append(out, h)
		}
	}
	slices.SortStableFunc(out, func(a, b planner.Holding) int {
		return cmp.Or(cmp.Compare(w.goodTo(p, a), w.goodTo(p, b)), cmp.Compare(a.Quantity, b.Quantity))
	})
	return out
}

// pack loads a trip by the plan of its pack day: all that no other trip will need that is
// packed before this one is back, and in any case its own need at confidence.
func (w *world) pack(p *planning, t calendar.Trip, to string) error {
	var own, others []string
	for _, r := range t.Rounds {
		own = append(own, r.Code)
	}
	for _, st := range p.stages {
		if st.trip.Code != t.Code && t.PackOn <= st.dueOn && st.dueOn < t.EndOn {
			others = append(others, st.rounds...)
		}
	}
	if t.GoesBy == calendar.Air {
		w.s.Packed = append(w.s.Packed, planner.PackedFor{Trip: t.Code, Case: to})
	}
	for _, part := range w.s.Parts {
		if noAir(part, t) {
			continue
		}
		walk := &walk{p: p, part: part}
		mine, err := walk.need(own, own, true)
		if err != nil {
			return err
		}
		theirs, err := walk.need(others, others, true)
		if err != nil {
			return err
		}
		var have, there units.Quantity
		away := p.awayRoots(t.PackOn)
		for _, h := range w.holdings(p, part.Code) {
			switch {
			case p.fitted(h) || p.within(h.Place, away) || w.goodTo(p, h) < t.LastRoundOn():
			case p.o.Places.Within(h.Place, to):
				there += h.Quantity
			default:
				have += h.Quantity
			}
		}
		want := max(mine.at-there, have-theirs.at)
		for _, h := range w.holdings(p, part.Code) {
			if want > 0 && !p.fitted(h) && !p.within(h.Place, away) && w.goodTo(p, h) >= t.LastRoundOn() && !p.o.Places.Within(h.Place, to) {
				take := h.Quantity
				if h.Tag == "" {
					take = min(take, want)
				}
				w.move(part.Code, h.Lot, h.Tag, h.Place, to, take)
				want -= take
			}
		}
	}
	return nil
}
