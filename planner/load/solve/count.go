package solve

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
)

// ErrTooBig is what errors.Is finds when an item is over the limit of one case.
var ErrTooBig = errors.New("item over the limit of a case")

// exactItems is the most items for which the number of cases is proven by search, however
// long it takes; with more the search stops at countNodes.
const (
	exactItems = 14
	countNodes = 4_000_000
)

// CaseCount returns the fewest cases of equal limits that hold all items, and whether the
// number is proven. Items and limits are by name; an item takes nothing of a name that it
// does not give.
//
// Method: from a lower bound on, for each number of cases a depth-first search that puts
// the largest item left into each case that differs, after first-fit decreasing and a
// search case by case for the fullest filling (minimum bin slack: Gupta and Ho, Production
// Planning and Control 10 (1999) 598), with more than 14 items of some cases anew, again
// and again. The bound counts items over a half and fills (L2:
// Martello and Toth, Knapsack Problems, 1990, ch. 8).
func CaseCount(limits map[string]float64, items []map[string]float64) (cases int, proven bool, err error) {
	names := slices.Sorted(maps.Keys(limits))
	if len(names) == 0 {
		return 0, false, fmt.Errorf("limits: found none, expected at least one")
	}
	c := counter{m: len(names)}
	for i, it := range items {
		row := make([]float64, len(names))
		for j, name := range names {
			row[j] = it[name] / limits[name]
			if it[name] > limits[name]+Slack {
				return 0, false, fmt.Errorf("%w: item %d: found %v of %s, expected at most %v", ErrTooBig, i+1, it[name], name, limits[name])
			}
		}
		c.items = append(c.items, row)
	}
	if len(items) == 0 {
		return 0, true, nil
	}
	slices.SortStableFunc(c.items, func(a, b []float64) int { return cmp.Compare(slices.Max(b), slices.Max(a)) })
	low := c.bound()
	high := min(c.firstFit(), len(c.fullest(c.items)))
	if high > low && len(items) > exactItems {
		high = min(high, c.shuffled(low))
	}
	for n := low; n < high; n++ {
		c.nodes, c.most = 0, countNodes
		if len(items) <= exactItems {
			c.most = math.MaxInt
		}
		found, done := c.search(n)
		if found {
			return n, true, nil
		}
		if !done { // not decided: more cases may still be found below the best
			for k := n + 1; k < high; k++ {
				c.nodes = 0
				if found, _ := c.search(k); found {
					return k, false, nil
				}
			}
			return high, false, nil
		}
	}
	return high, true, nil
}

// counter packs items, as parts of a case's limits, largest first.
type counter struct {
	m           int
	items       [][]float64
	nodes, most int
}

// full is how full a case may be: 1 but for the rounding of sums.
const full = 1 + 1e-9

// bound returns a number of cases that cannot be undercut.
func (c *counter) bound() int {
	best := 1
	for j := range c.m {
		sizes := make([]float64, len(c.items))
		for i, it := range c.items {
			sizes[i] = it[j]
		}
		slices.SortFunc(sizes, func(a, b float64) int { return cmp.Compare(b, a) })
		for _, alpha := range append([]float64{0}, sizes...) {
			if alpha > 0.5 {
				continue
			}
			large, middle, sum, free := 0, 0, 0.0, 0.0
			for _, s := range sizes {
				switch {
				case s > 1-alpha+1e-12:
					large++
				case s > 0.5+1e-12:
					middle++
					free += 1 - s
				case s >= alpha:
					sum += s
				}
			}
			best = max(best, large+middle+max(0, int(math.Ceil(sum-free-1e-9))))
		}
	}
	return best
}

func (c *counter) firstFit() int {
	var bins [][]float64
	for _, it := range c.items {
		at := slices.IndexFunc(bins, func(b []float64) bool { return fitsIn(b, it) })
		if at < 0 {
			bins = append(bins, make([]float64, c.m))
			at = len(bins) - 1
		}
		for j, x := range it {
			bins[at][j] += x
		}
	}
	return len(bins)
}

func fitsIn(bin, it []float64) bool {
	for j, x := range it {
		if bin[j]+x > full {
			return false
		}
	}
	return true
}

// fullest fills case by case, each with the first item left and what fills it best. It
// returns the items of each case.
func (c *counter) fullest(left [][]float64) [][][]float64 {
	var bins [][][]float64
	for len(left) > 0 {
		bin := slices.Clone(left[0])
		rest := left[1:]
		var best, now []int
		bestFill, steps := -1.0, 0
		var grow func(from int, fill float64)
		grow = func(from int, fill float64) {
			if fill > bestFill {
				bestFill, best = fill, slices.Clone(now)
			}
			for i := from; i < len(rest) && steps < 20_000 && bestFill < float64(c.m)-1e-9; i++ {
				if !fitsIn(bin, rest[i]) {
					continue
				}
				steps++
				for j, x := range rest[i] {
					bin[j] += x
				}
				now = append(now, i)
				grow(i+1, sum(bin))
				now = now[:len(now)-1]
				for j, x := range rest[i] {
					bin[j] -= x
				}
			}
		}
		grow(0, sum(bin))
		packed := [][]float64{left[0]}
		var kept [][]float64
		for i, it := range rest {
			if slices.Contains(best, i) {
				packed = append(packed, it)
			} else {
				kept = append(kept, it)
			}
		}
		bins, left = append(bins, packed), kept
	}
	return bins
}

// shuffles is how often some cases are emptied and filled anew; the draws are always the
// same ones, so that the answer is.
const (
	shuffles      = 3000
	shuffleStream = 0x6c6f6164
)

// shuffled empties some cases again and again and fills them anew, and keeps what leaves
// the cases more uneven: full ones, and one that may be saved. The seed is fixed, so the
// answer is.
func (c *counter) shuffled(low int) int {
	bins := c.fullest(c.items)
	rng := rand.New(rand.NewPCG(1, shuffleStream))
	score := func(of [][][]float64) float64 {
		t := 0.0
		for _, b := range of {
			fill := 0.0
			for _, it := range b {
				fill += sum(it)
			}
			t += fill * fill
		}
		return t
	}
	for range shuffles {
		if len(bins) <= low {
			break
		}
		rng.Shuffle(len(bins), func(i, j int) { bins[i], bins[j] = bins[j], bins[i] })
		n := min(len(bins), 3+rng.IntN(6))
		out := bins[len(bins)-n:]
		loose := slices.Concat(out...)
		rng.Shuffle(len(loose), func(i, j int) { loose[i], loose[j] = loose[j], loose[i] })
		again := c.fullest(loose)
		if len(again) < n || len(again) == n && score(again) >= score(out)-1e-9 {
			bins = append(slices.Clone(bins[:len(bins)-n]), again...)
		}
	}
	return len(bins)
}

func sum(of []float64) float64 {
	t := 0.0
	for _, x := range of {
		t += x
	}
	return t
}

// search reports whether n cases hold all items, and whether it looked at everything.
func (c *counter) search(n int) (found, done bool) {
	bins := make([][]float64, n)
	for i := range bins {
		bins[i] = make([]float64, c.m)
	}
	left := make([][]float64, len(c.items)+1) // of each row, from an item on
	left[len(c.items)] = make([]float64, c.m)
	for i := len(c.items) - 1; i >= 0; i-- {
		left[i] = make([]float64, c.m)
		for j := range c.m {
			left[i][j] = left[i+1][j] + c.items[i][j]
		}
	}
	var put func(i, from int) bool
	put = func(i, from int) bool {
		if i == len(c.items) {
			return true
		}
		if c.nodes++; c.nodes > c.most {
			return false
		}
		for j := range c.m { // what is left must fit into what is free
			free := 0.0
			for _, b := range bins {
				free += max(0, 1-b[j])
			}
			if left[i][j] > free+1e-9*float64(n) {
				return false
			}
		}
		same := i > 0 && slices.Equal(c.items[i], c.items[i-1])
		if !same {
			from = 0
		}
		order := make([]int, 0, n)
		for b := from; b < n; b++ {
			order = append(order, b)
		}
		// The fullest case first; equal items keep the order of the cases.
		if !same {
			slices.SortStableFunc(order, func(x, y int) int { return cmp.Compare(sum(bins[y]), sum(bins[x])) })
		}
		for k, b := range order {
			if !fitsIn(bins[b], c.items[i]) {
				continue
			}
			twin := false // a case with the same content so far has been tried
			for _, e := range order[:k] {
				twin = twin || slices.Equal(bins[e], bins[b])
			}
			if twin {
				continue
			}
			was := slices.Clone(bins[b])
			for j, x := range c.items[i] {
				bins[b][j] += x
			}
			next := 0
			if i+1 < len(c.items) && slices.Equal(c.items[i+1], c.items[i]) {
				next = b
			}
			if put(i+1, next) {
				return true
			}
			bins[b] = was
			if c.nodes > c.most {
				return false
			}
		}
		return false
	}
	found = put(0, 0)
	return found, found || c.nodes <= c.most
}
