package solve

import (
	"cmp"
	"slices"
)

// cut says that not all of some items may have options that hold what did not fit.
type cut struct {
	item []int
	bad  [][]bool // of each option of the whole problem
}

// cutSteps bounds the search by which the pieces that do not fit are taken down to few.
const cutSteps = 4_000

// cut takes the pieces of a choice that does not fit down to few that do not either.
func (k *Packing) cut(n *open, choice []int) cut {
	all := k.filling(n, choice)
	size := make([]float64, len(k.Items))
	for i, p := range all.pieces {
		if all.item[i] >= 0 {
			for s, x := range p.Size {
				if c := k.Bins[all.bins[0]].Cap[s]; c > 0 {
					size[all.item[i]] += x * float64(p.Count) / c
				}
			}
		}
	}
	var kept []int // items, the smallest first
	for i, s := range size {
		if s > 0 {
			kept = append(kept, i)
		}
	}
	slices.SortStableFunc(kept, func(a, b int) int { return cmp.Compare(size[a], size[b]) })
	for at, many := 0, max(1, len(kept)/2); at < len(kept) && many > 0; {
		if k.clock.now() {
			break
		}
		less := slices.Delete(slices.Clone(kept), at, min(at+many, len(kept)))
		f := all.only(less)
		if _, v := f.pack(cutSteps); v == packsNot {
			kept = less
			continue
		}
		if many == 1 {
			at++
		} else {
			many = many / 2
		}
	}
	c := cut{item: kept}
	for _, i := range kept {
		bad := make([]bool, len(k.Items[i].Val))
		for o := range bad {
			bad[o] = contains(k.Pieces[i][o], k.Pieces[i][choice[i]])
		}
		c.bad = append(c.bad, bad)
	}
	return c
}

// only is a filling with the pieces of some items, and what is fixed.
func (f *filling) only(items []int) *filling {
	out := &filling{k: f.k, bins: f.bins, refuses: f.refuses}
	for i, p := range f.pieces {
		if f.item[i] < 0 || slices.Contains(items, f.item[i]) {
			out.pieces, out.item = append(out.pieces, p), append(out.item, f.item[i])
		}
	}
	return out
}

// contains reports whether pieces hold others: as many of each, of the same class and no
// smaller. It may overlook some.
func contains(pieces, others []Piece) bool {
	left := slices.Clone(pieces)
	for _, o := range others {
		need := o.Count
		for i := range left {
			if left[i].Class == o.Class && small(o.Size, left[i].Size, 1) {
				n := min(need, left[i].Count)
				need, left[i].Count = need-n, left[i].Count-n
			}
		}
		if need > 0 {
			return false
		}
	}
	return true
}

// row is the cut as a row of a set's problem.
func (c cut) row(at places) row {
	r := row{of: -1, limit: float64(len(c.item) - 1), use: make([][]float64, len(at.option))}
	for i, options := range at.option {
		r.use[i] = make([]float64, len(options))
		if x := slices.Index(c.item, i); x >= 0 {
			for y, o := range options {
				if c.bad[x][o] {
					r.use[i][y] = 1
				}
			}
		}
	}
	return r
}
