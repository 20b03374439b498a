package solve

import (
	"cmp"
	"math"
	"slices"
)

// places says what the options and rows of a set's problem are in the whole one.
type places struct {
	option [][]int
	row    []int // -1: of the bins
}

// worth spreads the worth of the rows over those of the whole problem.
func (at places) worth(of []float64, rows int) []float64 {
	out := make([]float64, rows)
	for j, w := range of {
		if at.row[j] >= 0 {
			out[at.row[j]] = w
		}
	}
	return out
}

// row is one row of a set's problem.
type row struct {
	of    int // of the whole problem; -1: of the bins
	limit float64
	use   [][]float64 // of each option of each item
	most  float64     // what all items can take together
}

// problem is what is left of the problem with a set of bins; nil: nothing can go.
func (k *Packing) problem(n *open) (*Problem, places) {
	set := members(n.set)
	allow := make([]uint64, maxClasses) // bins that take a class
	for c := range allow {
		for _, b := range set {
			if k.refused(n, b)>>c&1 == 0 {
				allow[c] |= 1 << b
			}
		}
	}
	goes := func(p Piece) bool {
		for _, b := range members(allow[p.Class]) {
			if small(p.Size, k.Bins[b].Cap, n.scale) {
				return true
			}
		}
		return p.Count == 0
	}
	for _, p := range k.Fixed {
		if !goes(p) {
			return nil, places{}
		}
	}
	at := places{option: make([][]int, len(k.Items))}
	for i := range k.Items {
		for o := range k.Items[i].Val {
			if !slices.ContainsFunc(k.Pieces[i][o], func(p Piece) bool { return !goes(p) }) {
				at.option[i] = append(at.option[i], o)
			}
		}
		if len(at.option[i]) == 0 {
			return nil, places{}
		}
	}
	rows := append(k.ownRows(set, at), k.binRows(n, allow, at)...)
	kept := rows[:0]
	for _, r := range rows {
		if r.limit < -Slack {
			return nil, places{}
		}
		if r.limit = max(r.limit, 0); r.most > r.limit {
			kept = append(kept, r)
		}
	}
	if spare := maxRows - len(n.cuts); len(kept) > spare { // those that bind least are left to the packing
		slices.SortStableFunc(kept, func(a, b row) int {
			own := func(r row) int { return min(r.of+1, 1) }
			return cmp.Or(-cmp.Compare(own(a), own(b)), cmp.Compare(a.limit/a.most, b.limit/b.most))
		})
		kept = kept[:max(spare, 1)]
	}
	for _, c := range n.cuts[max(0, len(n.cuts)-(maxRows-len(kept))):] {
		kept = append(kept, c.row(at))
	}
	p := &Problem{Limit: make([]float64, len(kept)), Items: make([]Item, len(k.Items)), clock: k.clock}
	for j, r := range kept {
		p.Limit[j], at.row = r.limit, append(at.row, r.of)
	}
	line := make([]float64, len(kept))
	for i, options := range at.option {
		for x, o := range options {
			for j := range kept {
				line[j] = kept[j].use[i][x]
			}
			p.Items[i].Add(k.Items[i].Val[o], line)
		}
	}
	return p, at
}

// small reports whether a piece fits an empty bin.
func small(size, room []float64, scale float64) bool {
	for s, x := range size {
		if x > room[s]*scale+Slack {
			return false
		}
	}
	return true
}

// ownRows are the rows of the whole problem, less what the bins take.
func (k *Packing) ownRows(set []int, at places) []row {
	var out []row
	m := len(k.Limit)
	for j, l := range k.Limit {
		r := row{of: j, limit: l, use: make([][]float64, len(k.Items))}
		for _, b := range set {
			r.limit -= k.Bins[b].Base[j]
		}
		for i, options := range at.option {
			most := 0.0
			r.use[i] = make([]float64, len(options))
			for x, o := range options {
				r.use[i][x] = k.Items[i].Use[o*m+j]
				most = max(most, r.use[i][x])
			}
			r.most += most
		}
		out = append(out, r)
	}
	return out
}

// maxUnions bounds the unions of bins that get a row.
const maxUnions = 24

// binRows are the rows of the bins: of each union of the bins that classes are confined to,
// what is confined there.
func (k *Packing) binRows(n *open, allow []uint64, at places) []row {
	if len(k.Bins) == 0 {
		return nil
	}
	seen := uint(0)
	for i, options := range at.option {
		for _, o := range options {
			for _, p := range k.Pieces[i][o] {
				seen |= 1 << p.Class
			}
		}
	}
	for _, p := range k.Fixed {
		seen |= 1 << p.Class
	}
	var unions []uint64
	for c, a := range allow {
		if seen>>c&1 == 0 || slices.Contains(unions, a) {
			continue
		}
		for _, u := range slices.Clone(unions) {
			if len(unions) < maxUnions && !slices.Contains(unions, u|a) {
				unions = append(unions, u|a)
			}
		}
		if !slices.Contains(unions, a) {
			unions = append(unions, a)
		}
	}
	var out []row
	for _, u := range unions {
		for s := range k.Bins[0].Cap {
			r := row{of: -1, use: make([][]float64, len(k.Items))}
			for _, b := range members(u) {
				r.limit += k.Bins[b].Cap[s] * n.scale
			}
			of := func(pieces []Piece) (total float64) {
				for _, p := range pieces {
					if allow[p.Class]&^u == 0 {
						total += p.Size[s] * float64(p.Count)
					}
				}
				return total
			}
			r.limit -= of(k.Fixed)
			for i, options := range at.option {
				r.use[i] = make([]float64, len(options))
				most := 0.0
				for x, o := range options {
					r.use[i][x] = of(k.Pieces[i][o])
					most = max(most, r.use[i][x])
				}
				r.most += most
			}
			if !math.IsInf(r.limit, 1) {
				out = append(out, r)
			}
		}
	}
	return out
}
