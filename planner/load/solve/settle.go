package solve

import "slices"

// settleMoves bounds the moves of one settling, settleTries the exchanges tried in it.
const (
	settleMoves = 3_000
	settleTries = 3_000_000
)

// settle packs many small pieces: all are dealt out, each where most is free, and then one
// stack or two at a time change bins while that brings down what is over, as squares of
// parts of the room. It finds what a search in depth does not where every bin is nearly
// full, and proves nothing.
func (f *filling) settle() bool {
	over := func(x int) float64 {
		t := 0.0
		for s, free := range f.free[x] {
			if c := f.k.Bins[f.bins[x]].Cap[s]; free < -Slack && c > 0 {
				t += free / c * free / c
			}
		}
		return t
	}
	move := func(i, x, y, n int) {
		for s, size := range f.pieces[i].Size {
			f.free[x][s] += size * float64(n)
			f.free[y][s] -= size * float64(n)
		}
		f.in[i][x], f.in[i][y] = f.in[i][x]-n, f.in[i][y]+n
	}
	if !f.deal() {
		return false
	}
	tries := 0
	for range settleMoves {
		worst := 0
		for x := range f.bins {
			if over(x) > over(worst) {
				worst = x
			}
		}
		was := over(worst)
		if was == 0 {
			return true
		}
		if f.k.clock.now() {
			return false
		}
		best, bi, bj, by, bn, bm := -1e-18, -1, -1, -1, 0, 0
		for _, i := range f.order {
			if f.in[i][worst] == 0 {
				continue
			}
			for y := range f.bins {
				if y == worst || f.allow[i]>>y&1 == 0 || !f.beside(i, y) {
					continue
				}
				before := was + over(y)
				for n := f.in[i][worst]; n > 0; n /= 2 {
					move(i, worst, y, n)
					if d := over(worst) + over(y) - before; d < best {
						best, bi, bj, by, bn = d, i, -1, y, n
					}
					move(i, y, worst, n)
				}
			}
		}
		if bi < 0 { // one thing for another
			for _, i := range f.order {
				for y := range f.bins {
					if f.in[i][worst] == 0 || y == worst || f.allow[i]>>y&1 == 0 || !f.beside(i, y) {
						continue
					}
					before := was + over(y)
					move(i, worst, y, 1)
					for _, j := range f.order {
						if j == i || f.in[j][y] == 0 || f.allow[j]>>worst&1 == 0 || !f.beside(j, worst) {
							continue
						}
						for m := f.in[j][y]; m > 0; m /= 2 {
							if tries++; tries > settleTries {
								return false
							}
							move(j, y, worst, m)
							if d := over(worst) + over(y) - before; d < best {
								best, bi, bj, by, bn, bm = d, i, j, y, 1, m
							}
							move(j, worst, y, m)
						}
					}
					move(i, y, worst, 1)
				}
				if f.k.clock.now() {
					return false
				}
			}
		}
		if bi < 0 {
			return false
		}
		move(bi, worst, by, bn)
		if bj >= 0 {
			move(bj, by, worst, bm)
		}
		for _, x := range []int{worst, by} {
			f.holds[x] = f.k.Bins[f.bins[x]].Holds
			for _, i := range f.order {
				if f.in[i][x] > 0 {
					f.holds[x] |= 1 << f.pieces[i].Class
				}
			}
		}
	}
	return false
}

// deal puts every piece somewhere, over the room where there is none: what is kept apart
// from something where its like is already, as far as it fits, so that it does not take
// every bin.
func (f *filling) deal() bool {
	for _, i := range f.order {
		p := f.pieces[i]
		lone := slices.ContainsFunc(f.k.Apart, func(a [2]int) bool { return p.Class == a[0] || p.Class == a[1] })
		for range p.Count {
			at, most, like := -1, 0.0, false
			for x := range f.bins {
				if f.allow[i]>>x&1 == 0 || !f.beside(i, x) {
					continue
				}
				a := f.after(x, p)
				l := lone && a >= 0 && f.holds[x]>>p.Class&1 == 1
				if at < 0 || l && !like || l == like && a > most {
					at, most, like = x, a, l
				}
			}
			if at < 0 {
				return false
			}
			for s, size := range p.Size {
				f.free[at][s] -= size
			}
			f.in[i][at]++
			f.holds[at] |= 1 << p.Class
		}
	}
	return true
}

// beside reports whether nothing lies in a bin that a piece is kept apart from.
func (f *filling) beside(i, x int) bool {
	return !slices.ContainsFunc(f.k.Apart, func(a [2]int) bool {
		c := f.pieces[i].Class
		return c == a[0] && f.holds[x]>>a[1]&1 == 1 || c == a[1] && f.holds[x]>>a[0]&1 == 1
	})
}
