package spend

import (
	"math/big"

	"github.com/shopspring/decimal"
)

// PrintTable rounds a table whose every row sums to 0 (what came in less what went less
// what is there) to so many decimals, so that the printed rows still sum to 0 and every
// printed column adds up to its printed total, which is the last row returned. Each figure
// is its exact value rounded down or up, the total's too, and that to the nearer where both
// sums let it be; what is exact already stays.
//
// Method: controlled rounding (Causey, Cox and Ernst 1985, from memory). With the totals
// below them all rows and columns sum to 0, so a figure with a fraction is never alone in
// its row or its column, and following fractions along rows and columns in turn comes round
// to where it has been. Along such a ring fractions are moved, up and down in turn, until
// one is gone; no sum changes.
func PrintTable(rows [][]*big.Rat, places int) [][]decimal.Decimal {
	if len(rows) == 0 {
		return nil
	}
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
	width := len(rows[0])
	total := make([]*big.Rat, width)
	for c := range total {
		total[c] = new(big.Rat)
		for _, r := range rows {
			total[c].Sub(total[c], r[c])
		}
	}
	t := controlled{whole: make([][]*big.Int, 0, len(rows)+1)}
	for _, r := range append(append([][]*big.Rat{}, rows...), total) {
		whole, rest := make([]*big.Int, width), make([]*big.Rat, width)
		for c := range r {
			whole[c], rest[c] = floor(r[c], scale)
		}
		t.whole, t.rest = append(t.whole, whole), append(t.rest, rest)
	}
	t.round()
	out := make([][]decimal.Decimal, len(t.whole))
	for i, r := range t.whole {
		out[i] = make([]decimal.Decimal, width)
		for c, n := range r {
			if i == len(rows) {
				n = new(big.Int).Neg(n)
			}
			out[i][c] = decimal.NewFromBigInt(n, int32(-places))
		}
	}
	return out
}

// controlled is a table being rounded: whole numbers and what each has beyond, from 0 to 1.
type controlled struct {
	whole [][]*big.Int
	rest  [][]*big.Rat
	up    []bool // of the totals: the nearer is above
}

func (t *controlled) fraction(r, c int) bool { return t.rest[r][c].Sign() != 0 }

// round takes all fractions away, those of the totals first.
func (t *controlled) round() {
	half := big.NewRat(1, 2)
	for _, x := range t.rest[len(t.rest)-1] {
		t.up = append(t.up, x.Cmp(half) > 0)
	}
	for r := len(t.rest) - 1; r >= 0; r-- {
		for c := range t.rest[r] {
			for t.fraction(r, c) {
				t.shift(t.ring(r, c))
			}
		}
	}
}

type at struct{ r, c int }

// ring goes from a figure with a fraction to another in its row, from there to another in
// that one's column, and so on, until it comes to a row it has been in: there the ring
// closes, past the corner it came by the first time.
func (t *controlled) ring(r, c int) []at {
	var path []at
	been := map[int]int{} // of a row: where on the path it was entered
	for {
		if k, ok := been[r]; ok {
			if path[k+1].c == c {
				return path[k+2:]
			}
			return append([]at{{r, c}}, path[k+1:]...)
		}
		been[r] = len(path)
		next := c
		for k := range t.rest[r] {
			if k != c && t.fraction(r, k) {
				next = k
				break
			}
		}
		path = append(path, at{r, c}, at{r, next})
		for k := range t.rest {
			if k != r && t.fraction(k, next) {
				r, c = k, next
				break
			}
		}
	}
}

// shift moves as much along a ring as makes one fraction whole: the way that suits the
// totals, else the shorter.
func (t *controlled) shift(ring []at) {
	one := big.NewRat(1, 1)
	room := func(up int) (least *big.Rat, suits int) { // figures of one kind go up, of the other down
		for i, x := range ring {
			left := t.rest[x.r][x.c]
			if i%2 == up {
				left = new(big.Rat).Sub(one, left)
			}
			if least == nil || left.Cmp(least) < 0 {
				least = left
			}
			if x.r == len(t.rest)-1 && t.up[x.c] == (i%2 == up) {
				suits++
			}
		}
		return new(big.Rat).Set(least), suits
	}
	up := 0
	by, suits := room(0)
	if other, more := room(1); more > suits || more == suits && other.Cmp(by) < 0 {
		up, by = 1, other
	}
	for i, x := range ring {
		rest := t.rest[x.r][x.c]
		if i%2 == up {
			rest.Add(rest, by)
		} else {
			rest.Sub(rest, by)
		}
		if rest.Cmp(one) == 0 {
			t.whole[x.r][x.c].Add(t.whole[x.r][x.c], big.NewInt(1))
			rest.SetInt64(0)
		}
	}
}
