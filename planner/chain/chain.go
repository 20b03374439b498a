// Package chain answers: how much of a part will be left when a trip is packed, and what
// does that make of its need?
//
// Method: a part lies in two stores, what is with the trip (its truck) and what can still be
// packed (base). The trips before it take from them one after the other: those of the same
// truck from what is with it, topped up from base by the plan, the others from base. Each
// store's amount is a distribution: after a trip that uses U of Z it is (Z - U)+, since a trip
// that runs short leaves nothing and takes nothing beyond. What is past its date when the next
// trip begins is no longer there; what goes first is used first, so the rest is never more
// than what keeps longer. Given the unknown chances and rates (Nodes) trips are independent,
// so every step is one convolution; the answers are mixtures over the nodes.
// Source: the recursion of Lindley (1952, Proc. Cambridge Phil. Soc. 48) for a dam or a
// waiting line, without refill.
// Limits: what is planned to go from base to the truck is a number, decided as the plan would
// decide it today: what keeps longest, and never more than base has for certain. Amounts are whole grid steps.
package chain

import (
	"fmt"
	"slices"

	"roundkit/planner/demand"
)

// Layer is stock of one age. What comes later keeps through the trip: what is used first is
// then always what goes first.
type Layer struct {
	Amount int // steps
	Good   int // it is gone before leg number Good, the first being 0; see Forever
	From   int // it is there from leg number From on, 0 being now; above 0 only with Forever
}

// Forever is the Good of what keeps through the trip that is asked for.
const Forever = 1 << 30

// Leg is a trip before the one that is asked for.
type Leg struct {
	With bool         // it uses what is with the trip asked for (the same truck); else base
	Join bool         // more may still be packed for it
	Use  []demand.PMF // of each node, steps
}

// Line is one part over the legs.
type Line struct {
	With, Base []Layer
	Legs       []Leg
	Weights    []float64 // of the nodes, summing to 1
	Confidence float64   // that the plan packs each leg of the same truck to
}

// Left is what the legs leave.
type Left struct {
	With, Base []demand.PMF // of each node, steps
	Weights    []float64
	There      int   // steps with the trip now that keep through it, with what comes and is moved by then
	Packable   int   // all that base ever holds, whatever is left of it by then
	Moved      []int // what the plan moves from base for each leg
}

// Walk goes through the legs. It returns an error where a leg does not have a use for each
// node, or where what comes later does not keep.
func (l Line) Walk() (Left, error) {
	for _, layer := range slices.Concat(l.With, l.Base) {
		if layer.Amount < 0 || layer.From > 0 && layer.Good != Forever {
			return Left{}, fmt.Errorf("layer: found %+v, expected an amount of 0 or more, and what comes later to keep", layer)
		}
	}
	out := Left{Weights: l.Weights, With: make([]demand.PMF, len(l.Weights)), Base: make([]demand.PMF, len(l.Weights))}
	with, base := newStore(l.With), newStore(l.Base)
	for i := range l.Weights {
		out.With[i], out.Base[i] = demand.Point(with.starts()), demand.Point(base.starts())
	}
	for k, leg := range l.Legs {
		if len(leg.Use) != len(l.Weights) {
			return Left{}, fmt.Errorf("leg %d: found %d uses, expected one for each of %d nodes", k+1, len(leg.Use), len(l.Weights))
		}
		with.turn(out.With, k)
		base.turn(out.Base, k)
		moved := 0
		if leg.With && leg.Join {
			moved = l.move(leg, out, base.keeps(k, Forever))
			with.moved += moved
			base.moved -= moved
		}
		out.Moved = append(out.Moved, moved)
		for i := range l.Weights {
			var err error
			out.With[i], out.Base[i] = out.With[i].Shift(moved), out.Base[i].Shift(-moved)
			from := &out.Base[i]
			if leg.With {
				from = &out.With[i]
			}
			if *from, err = after(*from, leg.Use[i]); err != nil {
				return Left{}, err
			}
		}
	}
	with.turn(out.With, len(l.Legs))
	base.turn(out.Base, len(l.Legs))
	out.There = with.keeps(len(l.Legs), Forever)
	for _, layer := range l.Base {
		out.Packable += layer.Amount
	}
	with.cap(out.With, out.There)
	base.cap(out.Base, base.keeps(len(l.Legs), Forever))
	return out, nil
}

// move is what the plan takes from base for a leg: what it is short of at the confidence, as
// far as base has it for certain and it keeps.
func (l Line) move(leg Leg, at Left, keeps int) int {
	sure := keeps
	for _, b := range at.Base {
		sure = min(sure, b.From)
	}
	short := 0
	for short < sure && enough(l.Weights, leg.Use, at.With, short) < l.Confidence-demand.Slack {
		short++
	}
	return short
}

// enough is the chance that a leg's use is at most what is left and some more.
func enough(weights []float64, use, left []demand.PMF, more int) float64 {
	total := 0.0
	for i, w := range weights {
		for k, p := range left[i].P {
			total += w * p * use[i].CDF(left[i].From+k+more)
		}
	}
	return total
}

// after is what a use leaves: the difference, not below 0.
func after(have, use demand.PMF) (demand.PMF, error) {
	d, err := less(have, use)
	if err != nil {
		return d, err
	}
	return AtLeast(d, 0), nil
}

// less is the distribution of a difference of independent amounts.
func less(a, b demand.PMF) (demand.PMF, error) {
	p := slices.Clone(b.P)
	slices.Reverse(p)
	return demand.Convolve(a, demand.PMF{From: -b.Max(), P: p})
}

// AtLeast raises what lies below a value to it.
func AtLeast(d demand.PMF, least int) demand.PMF {
	if d.From >= least {
		return d
	}
	below := 0.0
	for v := d.From; v <= min(least, d.Max()); v++ {
		below += d.At(v)
	}
	out := demand.PMF{From: least, P: []float64{below}}
	if d.Max() > least {
		out.P = append(out.P, d.P[least+1-d.From:]...)
	}
	return out
}

// atMost lowers what lies above a value to it.
func atMost(d demand.PMF, most int) demand.PMF {
	if d.Max() <= most {
		return d
	}
	if d.From >= most {
		return demand.Point(most)
	}
	out := demand.PMF{From: d.From, P: slices.Clone(d.P[:most-d.From+1])}
	out.P[most-d.From] += d.Survival(most + 1)
	return out
}

// store is one store's layers while the legs are walked.
type store struct {
	layers []Layer
	moved  int // in by the plan (below 0: out)
}

func newStore(layers []Layer) store { return store{layers: layers} }

// starts is what is there now and keeps to the first leg, or to the trip where there is none.
func (s store) starts() int {
	total := 0
	for _, l := range s.layers {
		if l.From == 0 {
			total += l.Amount
		}
	}
	return total
}

// turn is the beginning of a leg: what has come by then joins, what is past its date is gone.
func (s store) turn(all []demand.PMF, leg int) {
	come := 0
	for _, l := range s.layers {
		if l.From == leg && leg > 0 {
			come += l.Amount
		}
	}
	for i := range all {
		all[i] = all[i].Shift(come)
	}
	s.cap(all, s.keeps(leg, leg+1))
}

// keeps is how much of what has come by a leg is good for so many.
func (s store) keeps(leg, good int) int {
	total := s.moved
	for _, l := range s.layers {
		if l.From <= leg && l.Good >= good {
			total += l.Amount
		}
	}
	return max(total, 0)
}

func (s store) cap(all []demand.PMF, most int) {
	for i := range all {
		all[i] = atMost(all[i], most)
	}
}

// Had returns what the trip has where c steps were to be packed for it: what is left with it,
// and what base has left of them.
func (l Left) Had(c int) (demand.PMF, error) {
	of := make([]demand.PMF, len(l.Weights))
	for i := range of {
		var err error
		if of[i], err = demand.Convolve(l.With[i], atMost(l.Base[i], c)); err != nil {
			return demand.PMF{}, err
		}
	}
	return demand.Mix(l.Weights, of)
}

// Gap is what a trip's own use misses of what is left with it, before anything is packed.
type Gap struct {
	there, packable int
	weights         []float64
	missing         []demand.PMF // of each node; below 0: left over
	base            [][]float64  // of each node: the chance that base has at least so many steps
}

// Gap sets the trip's own use, one distribution a node, against what the legs leave with it.
func (l Left) Gap(use []demand.PMF) (Gap, error) {
	if len(use) != len(l.Weights) {
		return Gap{}, fmt.Errorf("found %d uses, expected one for each of %d nodes", len(use), len(l.Weights))
	}
	g := Gap{there: l.There, packable: l.Packable, weights: l.Weights, missing: make([]demand.PMF, len(use)), base: make([][]float64, len(use))}
	for i := range use {
		var err error
		if g.missing[i], err = less(use[i], l.With[i]); err != nil {
			return Gap{}, err
		}
		has := make([]float64, max(l.Base[i].Max(), 0)+1)
		sum := 0.0
		for v := len(has) - 1; v >= 0; v-- {
			sum += l.Base[i].At(v)
			has[v] = sum
		}
		g.base[i] = has
	}
	return g, nil
}

// has is the chance that base has at least v steps, v above 0.
func (g Gap) has(node, v int) float64 {
	if v >= len(g.base[node]) {
		return 0
	}
	return g.base[node][v]
}

// Wanted returns what the trip wants of the part, counted so that it is set against There plus
// what is packed: its own use, and what the legs before it take of what is there now. It does
// not ask what base can give; Need does.
func (g Gap) Wanted() demand.PMF { return g.need(false) }

// Need is Wanted with a need beyond what base will have put beyond everything there is, so
// that no packing covers it:
//
//	P(Need <= There + c) = sum over nodes of weight x P(use <= left with + min(c, left base))
func (g Gap) Need() demand.PMF { return g.need(true) }

func (g Gap) need(limited bool) demand.PMF {
	far := g.there + g.packable + 1
	for _, d := range g.missing {
		far = max(far, g.there+d.Max()+1)
	}
	at := make([]float64, far+1)
	for i, d := range g.missing {
		for k, p := range d.P {
			v := d.From + k
			if v <= 0 {
				at[max(0, g.there+v)] += g.weights[i] * p
				continue
			}
			has := 1.0
			if limited { // base holds at least what is missing
				has = g.has(i, v)
			}
			at[g.there+v] += g.weights[i] * p * has
			at[far] += g.weights[i] * p * (1 - has)
		}
	}
	for len(at) > 1 && at[len(at)-1] == 0 {
		at = at[:len(at)-1]
	}
	return demand.PMF{P: at}
}

// Enough is the chance that c steps that were to be packed, as far as base has them left, and
// more steps from elsewhere (what stands in, what an opened kit holds) cover what is missing:
//
//	sum over nodes of weight x P(missing <= min(c, left base) + more)
//
// With more = 0 it is the chance that Need is at most There + c.
func (g Gap) Enough(c, more int) float64 {
	total := 0.0
	for i, d := range g.missing {
		for k, p := range d.P {
			switch v := d.From + k - more; {
			case v <= 0:
				total += g.weights[i] * p
			case v <= c:
				total += g.weights[i] * p * g.has(i, v)
			}
		}
	}
	return total
}
