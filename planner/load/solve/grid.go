package solve

// gridRows is the most rows of the grid in which partners are looked up.
const gridRows = 3

// kept are the combinations of one half that lose little, in grids for rooms that halve:
// with little of the gap left, few of them can be partners, and their boxes are small.
type kept struct {
	ones  []one
	grids []grid
}

// one is a kept combination.
type one struct {
	loss         float32
	to           [gridRows]float32
	before, last int32 // the combination before its last move; that move, from 1
}

func (t *kept) size() int { return len(t.ones) }

// clear forgets the combinations and keeps the room they had.
func (t *kept) clear() { t.ones = t.ones[:0] }

func (t *kept) add(before, last int32, loss float64, to spot) int32 {
	t.ones = append(t.ones, one{float32(loss), [gridRows]float32{float32(to[0]), float32(to[1]), float32(to[2])}, before, last})
	return int32(len(t.ones) - 1)
}

// lands reports whether a combination loses little enough and lands in a box.
func (o *one) lands(room float64, from, top *spot) bool {
	if float64(o.loss)*(1-1e-6) >= room {
		return false
	}
	for k := range gridRows {
		if v := float64(o.to[k]); v < from[k] || v > top[k] {
			return false
		}
	}
	return true
}

// cell is a box of a grid.
type cell [gridRows]int64

// grid finds the kept combinations that land in a box.
type grid struct {
	room  float64 // of what loses less
	scale float64
	head  []int32
	ones  []int32 // of the kept combinations
	next  []int32 // of them, in the same chain; -1 ends it
	mask  uint64
	seen  []uint64 // bits for each hash that is there: most look-ups end here
}

// fewKept is how many combinations are not worth a smaller grid.
const fewKept = 4

// index fills the grids, those of an earlier trial in their old room.
func (t *kept) index(trial float64) {
	old := t.grids
	t.grids = t.grids[:0]
	for room := trial / 2; ; room /= 2 {
		g := grid{}
		if k := len(t.grids); k < len(old) {
			g = old[k]
		}
		g.room, g.scale, g.ones = room, 1/room/2, g.ones[:0]
		for e := range t.ones {
			if float64(t.ones[e].loss) <= room*(1+1e-6) {
				g.ones = append(g.ones, int32(e))
			}
		}
		g.fill(t)
		t.grids = append(t.grids, g)
		if len(g.ones) <= fewKept || len(t.grids) == 40 {
			return
		}
	}
}

func (g *grid) fill(t *kept) {
	size := uint64(4)
	for size < 2*uint64(len(g.ones)) {
		size *= 2
	}
	g.mask = size - 1
	g.head, g.seen = again(g.head, int(size)), again(g.seen, int(size*seenBits/64))
	for i := range g.head {
		g.head[i] = -1
	}
	clear(g.seen)
	g.next = again(g.next, len(g.ones))
	for n, e := range g.ones {
		o := &t.ones[e]
		h := hash(g.at(float64(o.to[0])), g.at(float64(o.to[1])), g.at(float64(o.to[2])))
		g.next[n], g.head[h&g.mask] = g.head[h&g.mask], int32(n)
		b := h >> 24 & (g.mask*seenBits + seenBits - 1)
		g.seen[b/64] |= 1 << (b % 64)
	}
}

// again is a slice of a length, in the room of an old one where that is enough.
func again[T any](old []T, n int) []T {
	if cap(old) >= n {
		return old[:n]
	}
	return make([]T, n)
}

// seenBits is how many bits of seen there are for each chain.
const seenBits = 16

// grid returns the smallest that has all partners for what is left of the gap.
func (t *kept) grid(room float64) *grid {
	k := 0
	for k+1 < len(t.grids) && room <= t.grids[k+1].room {
		k++
	}
	return &t.grids[k]
}

// far keeps places on one side of 0, where the cut of a fraction goes one way.
const far = 1 << 32

// at is the place of a box; it never falls where the amount rises.
func (g *grid) at(amount float64) int64 { return int64(amount*g.scale + far) }

// first returns the place in ones of the first combination that may be in a box, -1 for none.
func (g *grid) first(x, y, z int64) int32 {
	h := hash(x, y, z)
	b := h >> 24 & (g.mask*seenBits + seenBits - 1)
	if g.seen[b/64]>>(b%64)&1 == 0 {
		return -1
	}
	return g.head[h&g.mask]
}

// hash mixes the place of a box.
func hash(x, y, z int64) uint64 {
	h := uint64(x)*0x9e3779b97f4a7c15 + uint64(y)*0xc2b2ae3d27d4eb4f + uint64(z)*0x165667b19e3779f9
	h ^= h >> 29
	h *= 0xbf58476d1ce4e5b9
	return h ^ h>>32
}
