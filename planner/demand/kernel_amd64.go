//go:build !purego

package demand

import "golang.org/x/sys/cpu"

// hasFour tells whether the processor adds four numbers at once (2011 and later).
var hasFour = cpu.X86.HasAVX

// addFourAVX is the inner loop of addFour, four places at a time; n is a multiple of 4.
//
//go:noescape
func addFourAVX(o, y *float64, n int, a *[4]float64)
