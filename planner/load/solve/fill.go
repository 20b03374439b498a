package solve

import (
	"cmp"
	"slices"
)

// verdict is what a packing came to.
type verdict int

const (
	packs verdict = iota
	packsNot
	undecided
)

// packSteps bounds the search of one packing.
const packSteps = 60_000

// filling puts pieces into the bins of a set: a search in depth, the pieces with fewest
// bins first and of these the largest, each stack as much as goes into the bin that it
// leaves fullest, then less; what is left must always fit what is free of the bins that
// take it. Bins that are alike so far are tried once.
type filling struct {
	k       *Packing
	bins    []int
	refuses []uint
	pieces  []Piece
	item    []int // of each piece; -1: fixed
	classes uint

	order []int
	free  [][]float64
	holds []uint
	in    [][]int
	left  [][]float64 // of each place in order, what is still to come of each union
	union []uint64    // of places in bins
	allow []uint64    // of each piece, places in bins
	steps int
	most  int
}

func (k *Packing) filling(n *open, choice []int) *filling {
	f := &filling{k: k, bins: members(n.set)}
	for _, b := range f.bins {
		f.refuses = append(f.refuses, k.refused(n, b))
	}
	add := func(item int, pieces []Piece) {
		for _, p := range pieces {
			f.pieces, f.item = append(f.pieces, p), append(f.item, item)
			if p.Count > 0 {
				f.classes |= 1 << p.Class
			}
		}
	}
	add(-1, k.Fixed)
	for i, o := range choice {
		add(i, k.Pieces[i][o])
	}
	return f
}

// fewSteps is after how many a search in depth is left for a settling.
const fewSteps = 3_000

// manyStacks is from how many on a long search in depth is hopeless: it changes the last few
// only.
const manyStacks = 60

// pack returns how many of each piece lie in each bin.
func (f *filling) pack(most int) ([][]int, verdict) {
	f.begin()
	few := fewSteps
	if len(f.order) > manyStacks {
		few /= 10
	}
	if in, v := f.search(min(most, few)); v != undecided || most <= few {
		return in, v
	}
	f.begin()
	if f.settle() {
		return f.in, packs
	}
	if len(f.order) > manyStacks {
		return nil, undecided
	}
	return f.search(most)
}

// search is the search in depth.
func (f *filling) search(most int) ([][]int, verdict) {
	f.begin()
	f.steps, f.most = 0, most
	if f.put(0) {
		return f.in, packs
	}
	if f.steps > f.most || f.k.clock.now() {
		return nil, undecided
	}
	return nil, packsNot
}

// begin empties the bins.
func (f *filling) begin() {
	f.order, f.free, f.holds, f.union, f.allow = nil, nil, nil, nil, nil
	f.in = make([][]int, len(f.pieces))
	for _, b := range f.bins {
		f.free, f.holds = append(f.free, slices.Clone(f.k.Bins[b].Cap)), append(f.holds, f.k.Bins[b].Holds)
	}
	big := make([]float64, len(f.pieces))
	for i, p := range f.pieces {
		f.in[i] = make([]int, len(f.bins))
		var a uint64
		for x := range f.bins {
			if f.refuses[x]>>p.Class&1 == 0 {
				a |= 1 << x
			}
			for s, size := range p.Size {
				if c := f.free[x][s]; c > 0 {
					big[i] = max(big[i], size/c)
				}
			}
		}
		f.allow = append(f.allow, a)
		if p.Count > 0 {
			f.order = append(f.order, i)
		}
		if !slices.Contains(f.union, a) && len(f.union) < maxUnions {
			for _, u := range slices.Clone(f.union) {
				if !slices.Contains(f.union, u|a) {
					f.union = append(f.union, u|a)
				}
			}
			f.union = append(f.union, a)
		}
	}
	slices.SortStableFunc(f.order, func(a, b int) int {
		return cmp.Or(cmp.Compare(len(members(f.allow[a])), len(members(f.allow[b]))), cmp.Compare(big[b], big[a]))
	})
	sizes := len(f.k.Bins[0].Cap)
	f.left = make([][]float64, len(f.order)+1)
	f.left[len(f.order)] = make([]float64, len(f.union)*sizes)
	for x := len(f.order) - 1; x >= 0; x-- {
		p := f.pieces[f.order[x]]
		f.left[x] = slices.Clone(f.left[x+1])
		for u, union := range f.union {
			if f.allow[f.order[x]]&^union == 0 {
				for s, size := range p.Size {
					f.left[x][u*sizes+s] += size * float64(p.Count)
				}
			}
		}
	}
}

// put packs the stacks from a place in the order on.
func (f *filling) put(at int) bool {
	if at == len(f.order) {
		return true
	}
	sizes := len(f.k.Bins[0].Cap)
	for u, union := range f.union {
		for s := range sizes {
			room := 0.0
			for _, x := range members(union) {
				room += max(0, f.free[x][s])
			}
			if f.left[at][u*sizes+s] > room+Slack*float64(len(f.bins)) {
				return false
			}
		}
	}
	i := f.order[at]
	bins := members(f.allow[i])
	p := f.pieces[i]
	slices.SortStableFunc(bins, func(a, b int) int { return cmp.Compare(f.after(a, p), f.after(b, p)) })
	return f.spread(at, i, bins, p.Count)
}

// after is how much is free of a bin, as a part of it, once a piece is in.
func (f *filling) after(x int, p Piece) float64 {
	least := 1.0
	for s, size := range p.Size {
		if c := f.k.Bins[f.bins[x]].Cap[s]; c > 0 {
			least = min(least, (f.free[x][s]-size)/c)
		}
	}
	return least
}

// spread puts what is left of a stack into the bins that are left, the most there goes
// first.
func (f *filling) spread(at, i int, bins []int, count int) bool {
	if count == 0 {
		return f.put(at + 1)
	}
	if f.steps++; len(bins) == 0 || f.steps > f.most || f.k.clock.step() {
		return false
	}
	p, x := f.pieces[i], bins[0]
	most := f.room(x, i, count)
	was := f.holds[x]
	for n := most; n >= 0; n-- {
		if f.steps > f.most {
			return false
		}
		for s, size := range p.Size {
			f.free[x][s] -= size * float64(n)
		}
		if n > 0 {
			f.holds[x] |= 1 << p.Class
		} else {
			f.holds[x] = was
		}
		f.in[i][x] = n
		rest := bins[1:]
		if n == 0 { // a bin that is like this one takes none either
			rest = slices.DeleteFunc(slices.Clone(rest), func(y int) bool { return f.same(x, y) })
		}
		ok := f.spread(at, i, rest, count-n)
		if ok {
			return true
		}
		for s, size := range p.Size {
			f.free[x][s] += size * float64(n)
		}
	}
	f.holds[x], f.in[i][x] = was, 0
	return false
}

// same reports whether two bins are alike so far.
func (f *filling) same(x, y int) bool {
	return f.holds[x] == f.holds[y] && f.refuses[x] == f.refuses[y] && slices.Equal(f.free[x], f.free[y])
}

// room is how many of a stack a bin still takes.
func (f *filling) room(x, i, n int) int {
	if !f.beside(i, x) {
		return 0
	}
	p := f.pieces[i]
	for s, size := range p.Size {
		if size > 0 {
			n = min(n, int((f.free[x][s]+Slack)/size))
		}
	}
	return max(n, 0)
}
