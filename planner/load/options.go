package load

import (
	"cmp"
	"math"
	"slices"

	"roundkit/planner/load/solve"
	"roundkit/planner/units"
)

// option is one load of a block.
type option struct {
	log    float64
	row    []float64
	more   []taken
	pieces []solve.Piece
}

// taken is a part and the set of its containers that is packed.
type taken struct{ part, pick int }

// options lists the loads of a block worth weighing.
func (p *packing) options(b block, v view, skip []bool, rows []limit) []option {
	have := p.haves()
	var parts []int
	var picks [][]int
	size := 1
	for _, i := range b.members() {
		if p.fixed(i, skip) && !p.serves(b, i, skip) {
			continue
		}
		ls := p.levels(b, i, v, have, skip)
		parts, picks = append(parts, i), append(picks, ls)
		size *= len(ls)
	}
	// What a load makes least need not be limited, and still tells two loads apart.
	limits := len(rows)
	rows = append(slices.Clone(rows), limit{of: kilosOfContainer}, limit{of: p.leastOf()})
	const most = maxBlockLoads
	if size > most {
		p.note("%s and what hangs together with it: too many loads to weigh all, the fullest of each part are left out", p.parts[b.members()[0]].Code)
		p.partial = true
		for size > most {
			k := longest(picks)
			size = size / len(picks[k]) * (len(picks[k]) - 1)
			picks[k] = picks[k][:len(picks[k])-1]
		}
	}
	uses := make([][][]float64, len(parts))
	for k, i := range parts {
		uses[k] = p.uses(i, picks[k], rows)
	}
	inside := make([][]bool, len(parts)) // of each level: the one before lies within it
	for k, i := range parts {
		s := &p.parts[i]
		for l := range picks[k] {
			inside[k] = append(inside[k], l > 0 && s.within(s.sets[picks[k][l-1]], s.sets[picks[k][l]]))
		}
	}
	at := make([]int, len(parts))
	logs := make([]float64, 0, size)
	var list []option
	for {
		for k, i := range parts {
			have[i] = p.parts[i].have(picks[k][at[k]])
		}
		log := math.Log(b.chance(v, have, skip))
		// With one step less of some part it is as likely: chances rise with what there is, so
		// this finds every load that lies within another and is as good.
		beaten, stride := math.IsInf(log, -1), 1
		for k := range parts {
			beaten = beaten || inside[k][at[k]] && logs[len(logs)-stride] >= log
			stride *= len(picks[k])
		}
		logs = append(logs, log)
		if !beaten {
			o := option{log: log, row: make([]float64, len(rows)), more: make([]taken, 0, len(parts))}
			for k, i := range parts {
				for j := range rows {
					o.row[j] += uses[k][at[k]][j]
				}
				o.more = append(o.more, taken{i, picks[k][at[k]]})
			}
			list = append(list, o)
		}
		k := 0
		for ; k < len(at); k++ {
			if at[k]++; at[k] < len(picks[k]) {
				break
			}
			at[k] = 0
		}
		if k == len(at) {
			break
		}
	}
	if p.apart() {
		for x := range list {
			for _, m := range list[x].more {
				list[x].pieces = append(list[x].pieces, p.parts[m.part].pieces(p.parts[m.part].sets[m.pick])...)
			}
		}
	}
	list = p.undominated(list)
	for x := range list {
		list[x].row = list[x].row[:limits:limits]
	}
	return list
}

// uses returns what each set of a part takes of the rows.
func (p *packing) uses(i int, picks []int, rows []limit) [][]float64 {
	s := &p.parts[i]
	out := make([][]float64, len(picks))
	of := make([][]float64, len(rows)) // of a container of each kind
	for j, r := range rows {
		for _, k := range s.kinds {
			of[j] = append(of[j], r.of(k.container).InexactFloat64())
		}
	}
	for l, pick := range picks {
		out[l] = make([]float64, len(rows))
		for k, n := range s.sets[pick].count {
			for j := range rows {
				out[l][j] += float64(n) * of[j][k]
			}
		}
	}
	return out
}

// serves reports whether a part that stops nothing of its own may stand in for one that
// does.
func (p *packing) serves(b block, i int, skip []bool) bool {
	s, ok := b.(standInBlock)
	return ok && !skip[s.part] && s.stops && slices.Contains(s.alts, i)
}

// levels lists the sets of a part worth weighing, lightest first: those at which its own
// chance rises. Kits are also worth having for what is inside them, and an alternative where
// the part itself runs out: of these all efficient sets count.
func (p *packing) levels(b block, i int, v view, have []units.Quantity, skip []bool) []int {
	s := &p.parts[i]
	every := p.every(b, i, skip)
	var list []int
	sure := units.Quantity(math.MaxInt64) // with so much of it nothing else of the block is wanted
	if every {
		alone := slices.Clone(have)
		for _, k := range b.members() {
			alone[k] = p.parts[k].have(0)
		}
		for x := range s.sets {
			if alone[i] = s.have(x); alone[i] < sure && 1-b.chance(v, alone, skip) < surely {
				sure = alone[i]
			}
		}
	}
	with := p.fromOthers(b, i)
	covers := make([][]float64, len(s.sets))
	for x := range s.sets {
		if s.have(x) > sure {
			continue
		}
		if s.capped && s.have(x) > max(s.have(s.top), s.have(0)) {
			continue
		}
		if !every {
			for _, n := range with {
				covers[x] = append(covers[x], v.need[i].CoverWith(s.have(x), n))
			}
			if slices.ContainsFunc(list, func(k int) bool {
				for n := range with {
					if covers[k][n] < covers[x][n] {
						return false
					}
				}
				return s.sets[k].l <= s.sets[x].l && s.sets[k].money <= s.sets[x].money && (!p.apart() || s.within(s.sets[k], s.sets[x]))
			}) {
				continue
			}
		}
		list = append(list, x)
	}
	return list
}

// fromOthers lists what the other parts of a block can add to one of it, in base units: 0
// first, then what stands in for it or what opened kits hold. Only where trips before may have
// used up what is to be packed can a number be worth nothing alone and something with them.
func (p *packing) fromOthers(b block, i int) []units.Quantity {
	out := []units.Quantity{0}
	if p.chain == nil {
		return out
	}
	switch b := b.(type) {
	case standInBlock:
		if i == b.part {
			most := units.Quantity(0)
			for _, a := range b.alts {
				most += p.parts[a].most()
			}
			for n := range most {
				out = append(out, n+1)
			}
		}
	case kitBlock:
		if k := slices.Index(b.inside, i); k >= 0 {
			for n := range p.parts[b.kit].most() {
				out = append(out, (n+1)*units.Quantity(b.perKit[k]))
			}
		}
	}
	return out
}

// every reports whether each number of a part counts, for the sake of another.
func (p *packing) every(b block, i int, skip []bool) bool {
	switch b := b.(type) {
	case kitBlock:
		return i == b.kit
	case standInBlock:
		main := &p.parts[b.part]
		return i != b.part && !skip[b.part] && main.line.Need.RunShort(main.most()) >= surely
	}
	return false
}

func longest(levels [][]int) int {
	at := 0
	for k, l := range levels {
		if len(l) > len(levels[at]) {
			at = k
		}
	}
	return at
}

// nearBy is how many loads before it one is held against: those that beat it are near, and
// one that stays costs only time.
const nearBy = 200

// undominated drops loads that another beats: as likely, no more of anything and, where cases
// are packed, in the same places.
func (p *packing) undominated(list []option) []option {
	slices.SortStableFunc(list, func(a, b option) int {
		return cmp.Or(cmp.Compare(sum(a.row), sum(b.row)), cmp.Compare(b.log, a.log))
	})
	var kept []option
	for _, o := range list {
		beaten := slices.ContainsFunc(kept[max(0, len(kept)-nearBy):], func(k option) bool {
			if k.log < o.log {
				return false
			}
			for j := range k.row {
				if k.row[j] > o.row[j] {
					return false
				}
			}
			return lieWithin(k.pieces, o.pieces)
		})
		if !beaten {
			kept = append(kept, o)
		}
	}
	return kept
}

// lieWithin reports whether pieces could lie where others do: each in the place of one of its
// class that is no smaller. It may say no where they could.
func lieWithin(a, b []solve.Piece) bool {
	if len(a) == 0 {
		return true
	}
	var hold [16]int
	left := hold[:0]
	for _, x := range b {
		left = append(left, x.Count)
	}
	for _, x := range a {
		need := x.Count
		for k, y := range b {
			if need > 0 && left[k] > 0 && y.Class == x.Class && y.Size[0] >= x.Size[0] && y.Size[1] >= x.Size[1] {
				n := min(need, left[k])
				need, left[k] = need-n, left[k]-n
			}
		}
		if need > 0 {
			return false
		}
	}
	return true
}

func sum(of []float64) float64 {
	t := 0.0
	for _, x := range of {
		t += x
	}
	return t
}
