package solve

import (
	"cmp"
	"container/heap"
	"context"
	"math"
	"math/bits"
	"slices"
)

// Bin is a case that things go into.
type Bin struct {
	Base    []float64 // what it takes of each row by going
	Value   float64   // what its going adds, 0 or below
	Cap     []float64 // its room, of each size
	Goes    bool      // whatever is in it
	Refuses uint      // classes, as bits
	Holds   uint      // classes that are in it already, as bits
}

// Piece is things that are alike.
type Piece struct {
	Size  []float64
	Class int // below maxClasses
	Count int
}

const maxClasses = 16

// Packing is a problem whose choice must also fit into bins, each piece whole into one.
// Which bins go is part of the choice.
type Packing struct {
	Problem             // rows without the bins
	Pieces  [][][]Piece // of each option of each item
	Fixed   []Piece     // what goes whatever is chosen; its use is off the limits
	Bins    []Bin
	Apart   [][2]int // classes that may not lie in one bin

	fails int // packings of many stacks that were not decided
}

// Packed is the best choice found, the bins that go and what lies in each. No choice with
// any bins is worth more than Bound.
type Packed struct {
	Choice []int // nil: none was found
	Value  float64
	Bound  float64
	Bins   []int
	In     [][]int // of Fixed, then of the pieces of each item's option: how many lie in each of Bins
	Worth  []float64
}

// maxBins is the most bins all of whose sets are looked at; of more only those sets that
// leave the last ones at home, and the bound is that of all bins without their bases.
const maxBins = 10

// maxFails is how many packings of many stacks may stay undecided before the best so far is
// taken: each costs much, and what is left of the gap is what such a packing cannot fill.
const maxFails = 12

// Limits of one set of bins: the choices whose packing fails before its search is given up
// and its bound stands, and how much smaller the bins are then taken to be, again and again.
const (
	maxCuts    = 40
	shrink     = 5e-5 // and twice as much each time
	maxShrinks = 12
)

// open is a set of bins, with some of them refusing more, that has not been looked at.
type open struct {
	set     uint64
	refuses []uint
	bound   float64
	base    float64 // what the bins take of all rows: the lighter first
	cuts    []cut
	scale   float64 // of the bins; below 1 the bound is of nothing
	tries   int
}

type queue []*open

func (q queue) Len() int { return len(q) }
func (q queue) Less(a, b int) bool {
	return cmp.Or(-cmp.Compare(q[a].bound, q[b].bound), cmp.Compare(q[a].base, q[b].base), cmp.Compare(q[a].set, q[b].set)) < 0
}
func (q queue) Swap(a, b int) { q[a], q[b] = q[b], q[a] }
func (q *queue) Push(x any)   { *q = append(*q, x.(*open)) }
func (q *queue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}

// Solve returns the best choice with its bins, or the best so far when the context is done.
//
// Method: branch and bound over the sets of bins, the best bound first. Of one set the
// choice is a Problem with a row for each union of the bins that some classes are confined
// to: what is confined there is no more than their room (the condition of Hall for things
// that can be cut). Its best choice is packed (see filling); where that is proven to fail,
// a bin that two classes kept apart could share is given to one or the other, else the
// pieces that do not fit, taken down to few, become a row: not all of them again (a
// combinatorial Benders cut: Codato and Fischetti, Operations Research 54 (2006) 756).
func (k *Packing) Solve(ctx context.Context, e Effort) (Packed, error) {
	if e.Gap == 0 {
		e.Gap = usualGap
	}
	if len(k.Bins) == 0 {
		s, err := k.Problem.Solve(ctx, e)
		return Packed{Choice: s.Choice, Value: s.Value, Bound: s.Bound, Worth: s.Worth}, err
	}
	k.clock, k.fails = newClock(ctx), 0
	out := Packed{Value: math.Inf(-1)}
	if e.Above != nil {
		out.Value = *e.Above
	}
	left := math.Inf(-1) // the bound of what was given up
	if len(k.Bins) > maxBins {
		b, err := k.loosest()
		if err != nil {
			return out, err
		}
		left = b
	}
	var q queue
	for _, n := range k.sets() {
		sub, _ := k.problem(n)
		if sub == nil {
			continue
		}
		n.bound = k.quick(sub) + k.value(n.set)
		if !math.IsInf(n.bound, -1) {
			q = append(q, n)
		}
	}
	heap.Init(&q)
	for len(q) > 0 {
		n := heap.Pop(&q).(*open)
		if n.bound <= out.Value+e.under(n.bound) {
			if n.scale == 1 {
				left = max(left, n.bound)
			}
			break
		}
		if k.clock.now() || k.fails > maxFails {
			left = max(left, n.bound)
			break
		}
		if err := k.look(ctx, n, e, &out, &left, &q); err != nil {
			return out, err
		}
	}
	for _, n := range q { // what is still open when the time is up
		if n.scale == 1 {
			left = max(left, n.bound)
		}
	}
	out.Bound = max(left, out.Value)
	if out.Choice == nil {
		out.Value = math.Inf(-1)
	}
	return out, nil
}

// look solves one set of bins and packs its choice.
func (k *Packing) look(ctx context.Context, n *open, e Effort, out *Packed, left *float64, q *queue) error {
	sub, at := k.problem(n)
	if sub == nil {
		return nil
	}
	base := k.value(n.set)
	above := out.Value - base
	f := e
	f.Above = &above
	s, err := sub.Solve(ctx, f)
	if err != nil {
		return err
	}
	give := func(bound float64) {
		if n.scale == 1 {
			*left = max(*left, bound)
		}
	}
	if s.Choice == nil {
		if s.Bound > above {
			give(s.Bound + base)
		}
		return nil
	}
	n.bound = min(n.bound, s.Bound+base)
	choice := make([]int, len(s.Choice))
	for i, o := range s.Choice {
		choice[i] = at.option[i][o]
	}
	f2 := k.filling(n, choice)
	in, verdict := f2.pack(packSteps)
	switch verdict {
	case packs:
		out.Choice, out.Value, out.In = choice, s.Value+base, in
		out.Bins = members(n.set)
		out.Worth = at.worth(s.Worth, len(k.Limit))
		if s.Bound > s.Value {
			give(s.Bound + base)
		}
		return nil
	case packsNot, undecided:
		if out.Choice == nil && scaleFrom(n) {
			if err := k.dive(ctx, n, out); err != nil {
				return err
			}
		}
		if bin, pair, ok := k.shared(n, f2); ok {
			if len(f2.order) > manyStacks {
				k.fails++
			}
			for _, class := range pair {
				child := *n
				child.refuses = slices.Clone(n.refuses)
				child.refuses[bin] |= 1 << class
				heap.Push(q, &child)
			}
			return nil
		}
		if verdict == packsNot && len(n.cuts) < maxCuts {
			n.cuts = append(slices.Clone(n.cuts), k.cut(n, choice))
			heap.Push(q, n)
			return nil
		}
	}
	// Not decided: the bound stands, and the bins are taken to be a little smaller.
	give(n.bound)
	if len(f2.order) > manyStacks {
		k.fails++
	}
	if n.tries < maxShrinks {
		n.scale -= shrink * float64(int(1)<<n.tries)
		n.tries++
		heap.Push(q, n)
	}
	return nil
}

// scaleFrom reports whether a set has not been dived from.
func scaleFrom(n *open) bool { return n.scale == 1 && len(n.cuts) == 0 }

// dive looks for any choice that packs, with the bins taken to be smaller and smaller, and
// then between the last two: a choice to hold the others against.
func (k *Packing) dive(ctx context.Context, from *open, out *Packed) error {
	tight := 1.0
	for _, loose := range []float64{0.999, 0.99, 0.96, 0.9, 0.8, 0.6, 0.4} {
		ok, err := k.diveTo(ctx, from, loose, out)
		if err != nil || k.clock.now() {
			return err
		}
		if !ok {
			tight = loose
			continue
		}
		for range diveHalves {
			half := (tight + loose) / 2
			if ok, err = k.diveTo(ctx, from, half, out); err != nil {
				return err
			}
			if ok {
				loose = half
			} else {
				tight = half
			}
		}
		return nil
	}
	return nil
}

// diveTo reports whether the best choice for bins of a scale packs.
func (k *Packing) diveTo(ctx context.Context, from *open, scale float64, out *Packed) (bool, error) {
	n := *from
	n.scale = scale
	sub, at := k.problem(&n)
	if sub == nil || k.clock.now() {
		return false, nil
	}
	base := k.value(n.set)
	s, err := sub.Solve(ctx, Effort{Work: diveWork, States: diveStates})
	if err != nil || s.Choice == nil {
		return false, err
	}
	choice := make([]int, len(s.Choice))
	for i, o := range s.Choice {
		choice[i] = at.option[i][o]
	}
	in, v := k.filling(&n, choice).pack(packSteps)
	if v != packs {
		return false, nil
	}
	if s.Value+base > out.Value {
		out.Choice, out.Value, out.In = choice, s.Value+base, in
		out.Bins, out.Worth = members(n.set), at.worth(s.Worth, len(k.Limit))
	}
	return true, nil
}

// diveWork and diveStates are the effort of a choice that is only to be held against others.
const (
	diveWork   = 200_000
	diveStates = 300
	diveHalves = 3
)

// sets lists the sets of bins worth a look: of bins that are alike the first go first.
func (k *Packing) sets() []*open {
	var must uint64
	for b, bin := range k.Bins {
		if bin.Goes {
			must |= 1 << b
		}
	}
	var out []*open
	add := func(set uint64) {
		n := &open{set: set, refuses: make([]uint, len(k.Bins)), scale: 1}
		for _, b := range members(set) {
			n.base += sum(k.Bins[b].Base)
		}
		out = append(out, n)
	}
	if len(k.Bins) > maxBins {
		for last := range len(k.Bins) {
			add(must | 1<<(last+1) - 1)
		}
		return out
	}
	for set := range uint64(1) << len(k.Bins) {
		if set&must != must {
			continue
		}
		first := true
		for _, b := range members(set) {
			for a := range b {
				first = first && (set>>a&1 == 1 || !alike(k.Bins[a], k.Bins[b]))
			}
		}
		if first {
			add(set)
		}
	}
	return out
}

func alike(a, b Bin) bool {
	return slices.Equal(a.Base, b.Base) && a.Value == b.Value && slices.Equal(a.Cap, b.Cap) && a.Goes == b.Goes && a.Refuses == b.Refuses && a.Holds == b.Holds
}

func members(set uint64) []int {
	var out []int
	for ; set != 0; set &= set - 1 {
		out = append(out, bits.TrailingZeros64(set))
	}
	return out
}

func (k *Packing) value(set uint64) float64 {
	v := 0.0
	for _, b := range members(set) {
		v += k.Bins[b].Value
	}
	return v
}

// loosest is the bound with every bin there for nothing.
func (k *Packing) loosest() (float64, error) {
	free := *k
	free.Bins = slices.Clone(k.Bins)
	for b := range free.Bins {
		free.Bins[b].Base, free.Bins[b].Value = make([]float64, len(k.Limit)), 0
	}
	n := &open{set: 1<<len(k.Bins) - 1, refuses: make([]uint, len(k.Bins)), scale: 1}
	sub, _ := free.problem(n)
	if sub == nil {
		return math.Inf(-1), nil
	}
	return k.quick(sub), nil
}

// quick is the bound of a problem by its prices alone.
func (k *Packing) quick(p *Problem) float64 {
	if p.rows() == 0 {
		return p.free(nil).Bound
	}
	return p.blind().bound
}

// refused are the classes that a bin does not take in a set.
func (k *Packing) refused(n *open, b int) uint {
	r := k.Bins[b].Refuses | n.refuses[b]
	for _, p := range k.Apart {
		if k.Bins[b].Holds>>p[0]&1 == 1 {
			r |= 1 << p[1]
		}
		if k.Bins[b].Holds>>p[1]&1 == 1 {
			r |= 1 << p[0]
		}
	}
	return r
}

// shared is a bin that two classes kept apart could both go to, the roomiest first.
func (k *Packing) shared(n *open, f *filling) (bin int, pair [2]int, ok bool) {
	most := -1.0
	for _, p := range k.Apart {
		if f.classes>>p[0]&1 == 0 || f.classes>>p[1]&1 == 0 {
			continue
		}
		for _, b := range members(n.set) {
			if k.refused(n, b)&(1<<p[0]|1<<p[1]) == 0 && sum(k.Bins[b].Cap) > most {
				bin, pair, ok, most = b, p, true, sum(k.Bins[b].Cap)
			}
		}
	}
	return bin, pair, ok
}
