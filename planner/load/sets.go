package load

import (
	"cmp"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner/load/solve"
	"roundkit/planner/units"
)

// kind is the containers of a part that are alike in all that a load weighs: of these what
// expires first goes first.
type kind struct {
	container
	of    []int // indexes into can, as they would be used
	kg, l float64
	money float64
}

// set is one way to carry a part: so many containers of each kind.
type set struct {
	count        []int
	quantity     units.Quantity
	kg, l, money float64
}

// maxSets is the most sets of a part that are weighed.
const maxSets = 3_000

// makeKinds sorts what may be had of a part by what it weighs.
func (s *supply) makeKinds() {
	s.kinds = nil
	for n, c := range s.can {
		at := slices.IndexFunc(s.kinds, func(k kind) bool {
			return k.quantity == c.quantity && k.ul == c.ul && k.grams.Equal(c.grams) && k.spend.Equal(c.spend)
		})
		if at < 0 {
			at = len(s.kinds)
			s.kinds = append(s.kinds, kind{container: c, kg: kilosOfContainer(c).InexactFloat64(), l: litresOf(c).InexactFloat64(), money: c.spend.InexactFloat64()})
		}
		s.kinds[at].of = append(s.kinds[at].of, n)
	}
}

// makeSets lists the efficient sets of a part's containers: no other holds as much, up to
// what can ever be needed, and takes no more of anything; where cases are packed (apart) no
// other lies in the same places. Between equals what expires first goes. All hold at least
// what must go. It reports whether some sets had to be left out.
func (s *supply) makeSets(least, most units.Quantity, apart bool) (cut bool) {
	list := []set{{count: make([]int, len(s.kinds))}}
	for k := range s.kinds {
		kind := &s.kinds[k]
		var next []set
		for _, from := range list {
			for n := 0; n <= len(kind.of); n++ {
				if n > 0 && from.quantity+units.Quantity(n-1)*kind.quantity >= most && from.quantity+units.Quantity(n-1)*kind.quantity >= least {
					break
				}
				x := set{count: from.count, quantity: from.quantity + units.Quantity(n)*kind.quantity}
				if n > 0 {
					x.count = slices.Clone(from.count)
					x.count[k] = n
				}
				for j, c := range x.count {
					x.kg, x.l, x.money = x.kg+float64(c)*s.kinds[j].kg, x.l+float64(c)*s.kinds[j].l, x.money+float64(c)*s.kinds[j].money
				}
				x.kg, x.l, x.money = rounded(x.kg), rounded(x.l), rounded(x.money)
				next = append(next, x)
			}
		}
		list = s.efficient(next, func(x set) float64 { return float64(min(x.quantity, max(most, least))) }, apart)
		if len(list) > maxSets {
			cut, list = true, list[:maxSets]
		}
	}
	whole := units.Quantity(0)
	for _, x := range list {
		whole = max(whole, x.quantity)
	}
	s.sets = slices.DeleteFunc(list, func(x set) bool { return x.quantity < min(least, whole) })
	return cut
}

// rounded takes the rounding out of a sum, to a billionth: what is alike must weigh alike,
// whichever kinds it is made of.
func rounded(sum float64) float64 { return math.Round(sum*1e9) / 1e9 }

// efficient drops the sets that another beats: worth no less, and no more of anything. They
// come lightest first.
func (s *supply) efficient(list []set, worth func(set) float64, apart bool) []set {
	slices.SortStableFunc(list, func(a, b set) int {
		return cmp.Or(cmp.Compare(a.kg, b.kg), cmp.Compare(a.l, b.l), cmp.Compare(a.money, b.money), -cmp.Compare(worth(a), worth(b)), -slices.Compare(a.count, b.count))
	})
	var kept []set
	for _, x := range list {
		beaten := slices.ContainsFunc(kept, func(k set) bool {
			return worth(k) >= worth(x) && k.kg <= x.kg && k.l <= x.l && k.money <= x.money && (!apart || s.within(k, x))
		})
		if !beaten {
			kept = append(kept, x)
		}
	}
	return kept
}

// within reports whether the containers of a set could lie where those of another do: each
// in the place of one that is no smaller. It may say no where they could.
func (s *supply) within(a, b set) bool {
	left := slices.Clone(b.count)
	for k, need := range a.count {
		for j := range left {
			if need > 0 && left[j] > 0 && s.kinds[j].kg >= s.kinds[k].kg && s.kinds[j].l >= s.kinds[k].l {
				n := min(need, left[j])
				need, left[j] = need-n, left[j]-n
			}
		}
		if need > 0 {
			return false
		}
	}
	return true
}

// packed returns the containers of the set that is packed, as they would be used.
func (s *supply) packed() []container {
	var at []int
	kind := map[int]int{}
	for k, n := range s.set().count {
		at = append(at, s.kinds[k].of[:n]...)
		for _, x := range s.kinds[k].of[:n] {
			kind[x] = k
		}
	}
	slices.Sort(at)
	out := make([]container, len(at))
	for x, n := range at {
		out[x] = s.can[n]
		out[x].kind = kind[n]
	}
	return out
}

// set is the one that is packed.
func (s *supply) set() set {
	if len(s.sets) == 0 {
		return set{}
	}
	return s.sets[s.pick]
}

// have is what the trip has with a set, in base units.
func (s *supply) have(pick int) units.Quantity {
	q := s.there + s.fitted
	if pick < len(s.sets) {
		q += s.sets[pick].quantity
	}
	return q
}

// now is what the trip has as packed.
func (s *supply) now() units.Quantity { return s.have(s.pick) }

// most is the most the trip can have of a part.
func (s *supply) most() units.Quantity {
	q := s.there + s.fitted
	for _, c := range s.can {
		q += c.quantity
	}
	return q
}

// enough returns the lightest set (of equal money where money comes first) that brings the
// trip to a quantity; the fullest where none does.
func (s *supply) enough(need units.Quantity, moneyFirst bool) int {
	best := -1
	for x := range s.sets {
		switch {
		case best < 0:
			best = x
		case s.have(x) < need && s.have(best) >= need:
		case s.have(x) >= need && s.have(best) < need:
			best = x
		case s.have(x) < need:
			if s.have(x) > s.have(best) {
				best = x
			}
		case moneyFirst && s.sets[x].money < s.sets[best].money:
			best = x
		case s.sets[x].kg < s.sets[best].kg && (!moneyFirst || s.sets[x].money == s.sets[best].money):
			best = x
		}
	}
	return max(best, 0)
}

// pieces are the containers of a set, as cases see them.
func (s *supply) pieces(x set) []solve.Piece {
	var out []solve.Piece
	for k, n := range x.count {
		if n > 0 {
			out = append(out, solve.Piece{Size: []float64{s.kinds[k].kg, s.kinds[k].l}, Class: classOf(s.Part), Count: n})
		}
	}
	return out
}

// of sums a measure over the containers of a set.
func (s *supply) of(x set, measure func(container) decimal.Decimal) decimal.Decimal {
	total := decimal.Zero
	for k, n := range x.count {
		if n > 0 {
			total = total.Add(measure(s.kinds[k].container).Mul(decimal.NewFromInt(int64(n))))
		}
	}
	return total
}

// surelyEnough is the quantity beyond which more of a part is worth nothing to it. What the
// trips before use up at home, no packing brings back: that is beyond all there is. What is
// wanted at the confidence goes all the same, as far as it is there.
func (s *supply) surelyEnough() units.Quantity {
	d := s.line.Need.Dist.PMF
	lost := s.line.Need.RunShort(s.most())
	lo, hi := 0, max(d.Max(), 0)
	for lo < hi {
		if mid := (lo + hi) / 2; d.Survival(mid+1)-lost < surely {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	if q := int64(lo); q < math.MaxInt64/int64(max(s.line.Need.Step, 1)) {
		return max(units.Quantity(q)*max(s.line.Need.Step, 1), s.line.AtConfidence)
	}
	return math.MaxInt64
}
