package series

import "math"

// minimise walks downhill from x by BFGS with a backtracking step (Nocedal, Wright, Numerical
// Optimization, 2nd ed., 6.1) until a step no longer gains. f returns the value and writes the
// slopes. It never returns a worse place than x.
func minimise(x []float64, f func(x, slopes []float64) float64) float64 {
	const (
		most     = 200   // steps
		enough   = 1e-9  // gain of a step below which it stops, twice in a row
		decrease = 1e-4  // share of the promised gain that a step must bring
		shortest = 1e-12 // of a step
	)
	n := len(x)
	g, next, nextG := make([]float64, n), make([]float64, n), make([]float64, n)
	dir, dx, dg, hdg := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	h := make([]float64, n*n)
	reset := func() {
		clear(h)
		for i := range n {
			h[i*n+i] = 1
		}
	}
	reset()
	value, small := f(x, g), 0
	fresh := true
	for range most {
		down := 0.0
		for i := range n {
			dir[i] = 0
			for j := range n {
				dir[i] -= h[i*n+j] * g[j]
			}
			down += dir[i] * g[i]
		}
		if !(down < 0) {
			if fresh {
				return value
			}
			reset()
			fresh = true
			continue
		}
		step := 1.0
		if fresh { // the first step is not scaled yet
			long := 0.0
			for _, d := range dir {
				long = max(long, math.Abs(d))
			}
			step = min(1, 0.5/long)
		}
		nextValue := math.Inf(1)
		for ; step > shortest; step /= 2 {
			for i := range n {
				next[i] = x[i] + step*dir[i]
			}
			nextValue = f(next, nextG)
			if nextValue <= value+decrease*step*down {
				break
			}
		}
		if step <= shortest {
			if fresh {
				return value
			}
			reset()
			fresh = true
			continue
		}
		dot, gain := 0.0, value-nextValue
		for i := range n {
			dx[i], dg[i] = next[i]-x[i], nextG[i]-g[i]
			dot += dx[i] * dg[i]
		}
		copy(x, next)
		copy(g, nextG)
		value = nextValue
		if gain < enough {
			if small++; small == 2 {
				return value
			}
		} else {
			small = 0
		}
		if dot <= 1e-14 {
			continue
		}
		if fresh { // scale the first guess of the curvature
			square := 0.0
			for i := range n {
				square += dg[i] * dg[i]
			}
			for i := range n {
				h[i*n+i] = dot / square
			}
		}
		fresh = false
		curve := 0.0
		for i := range n {
			hdg[i] = 0
			for j := range n {
				hdg[i] += h[i*n+j] * dg[j]
			}
			curve += hdg[i] * dg[i]
		}
		for i := range n {
			for j := range n {
				h[i*n+j] += (1+curve/dot)*dx[i]*dx[j]/dot - (hdg[i]*dx[j]+dx[i]*hdg[j])/dot
			}
		}
	}
	return value
}
