package load

import (
	"math"
	"slices"

	"roundkit/planner/units"
)

// option is one load of a block.
type option struct {
	log  float64
	row  []float64
	more []taken
}

// taken is a part and how many of its containers are packed.
type taken struct{ part, take int }

// lightest is the option that takes least of every row: the first level of each part.
func lightest(list []option) int {
	at := 0
	for k, o := range list {
		if sum(o.row) < sum(list[at].row) {
			at = k
		}
	}
	return at
}

// options lists the loads of a block worth weighing.
func (p *packing) options(b block, v view, out []bool, rows []limit) []option {
	have := p.haves()
	levels := make([][]int, 0, len(b.members()))
	var parts []int
	size := 1
	for _, i := range b.members() {
		if p.fixed(i, out) && !p.serves(b, i, out) {
			continue
		}
		ls := p.levels(b, i, v, have, out)
		parts, levels = append(parts, i), append(levels, ls)
		size *= len(ls)
	}
	if size > maxBlockLoads {
		// Too many: from the confidence up and down one part at a time.
		p.note("%s and what hangs together with it: too many loads to weigh all, the fullest of each part are left out", p.parts[b.members()[0]].Code)
		for size > maxBlockLoads {
			k := longest(levels)
			size = size / len(levels[k]) * (len(levels[k]) - 1)
			levels[k] = levels[k][:len(levels[k])-1]
		}
	}
	takes := make([][][]float64, len(parts)) // of each level, beyond what must be
	for k, i := range parts {
		takes[k] = p.takes(i, levels[k], rows)
	}
	at := make([]int, len(parts))
	var list []option
	for {
		o := option{row: make([]float64, len(rows))}
		for k, i := range parts {
			take := levels[k][at[k]]
			have[i] = p.parts[i].have(take)
			for j := range rows {
				o.row[j] += takes[k][at[k]][j]
			}
			o.more = append(o.more, taken{i, take})
		}
		o.log = math.Log(b.chance(v, have, out))
		list = append(list, o)
		k := 0
		for ; k < len(at); k++ {
			if at[k]++; at[k] < len(levels[k]) {
				break
			}
			at[k] = 0
		}
		if k == len(at) {
			return undominatedOptions(list)
		}
	}
}

// takes returns what each level of a part takes of the rows beyond what must be carried.
func (p *packing) takes(i int, levels []int, rows []limit) [][]float64 {
	s, n := &p.parts[i], p.parts[i].must
	total := make([]float64, len(rows))
	out := make([][]float64, len(levels))
	for l, take := range levels {
		for ; n < take; n++ {
			for j, r := range rows {
				total[j] += r.of(s.can[n]).InexactFloat64()
			}
		}
		out[l] = slices.Clone(total)
	}
	return out
}

// serves reports whether a part that stops nothing of its own may stand in for one that
// does.
func (p *packing) serves(b block, i int, out []bool) bool {
	s, ok := b.(standInBlock)
	return ok && !out[s.part] && s.stops && slices.Contains(s.alts, i)
}

// levels lists the numbers of containers of a part worth weighing: those at which its own
// chance rises, until it is as good as sure. Kits are also worth having for what is inside
// them, and an alternative where the part itself runs out: of these every number counts.
func (p *packing) levels(b block, i int, v view, have []units.Quantity, out []bool) []int {
	s := p.parts[i]
	most := len(s.can)
	if s.capped {
		most = max(s.must, s.top)
	}
	list := []int{s.must}
	q := s.have(s.must)
	own := v.need[i].Cover(q)
	every := p.every(b, i, out)
	base := slices.Clone(have)
	for n := s.must + 1; n <= most; n++ {
		if v.need[i].RunShort(q) < surely {
			if !every {
				break
			}
			base[i] = q
			if 1-b.chance(v, base, out) < surely || n-s.must > everyLevel {
				break
			}
		}
		q += s.can[n-1].quantity
		c := v.need[i].Cover(q)
		if c > own || every && c > 0 {
			list, own = append(list, n), c
		}
	}
	return list
}

// everyLevel is how many containers of a kit or an alternative are weighed one by one.
const everyLevel = 25

// every reports whether each number of a part counts, for the sake of another.
func (p *packing) every(b block, i int, out []bool) bool {
	switch b := b.(type) {
	case kitBlock:
		return i == b.kit
	case standInBlock:
		main := p.parts[b.part]
		return i != b.part && !out[b.part] && main.line.Need.RunShort(main.have(len(main.can))) >= surely
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

// undominatedOptions drops loads that another beats: as likely and no more of anything.
func undominatedOptions(list []option) []option {
	slices.SortStableFunc(list, func(a, b option) int {
		switch sa, sb := sum(a.row), sum(b.row); {
		case sa < sb:
			return -1
		case sa > sb:
			return 1
		case a.log > b.log:
			return -1
		case a.log < b.log:
			return 1
		}
		return 0
	})
	var kept []option
	for _, o := range list {
		beaten := slices.ContainsFunc(kept, func(k option) bool {
			if k.log < o.log {
				return false
			}
			for j := range k.row {
				if k.row[j] > o.row[j] {
					return false
				}
			}
			return true
		})
		if !beaten {
			kept = append(kept, o)
		}
	}
	return kept
}

func sum(of []float64) float64 {
	t := 0.0
	for _, x := range of {
		t += x
	}
	return t
}
