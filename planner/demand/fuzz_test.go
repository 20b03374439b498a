package demand

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzNeed reads a need from bytes and holds it to its definition.
func FuzzNeed(f *testing.F) {
	f.Add([]byte{2, 30, 50, 2, 0, 3, 4, 1, 1, 2, 20, 40, 1, 1, 18, 24, 15, 5, 0, 1})
	f.Add([]byte{1, 100, 1, 0, 200, 2, 10, 40, 1, 8})
	f.Add([]byte{0})
	f.Add([]byte{3, 0, 50, 100, 3, 0, 5, 5, 5, 1, 4, 9, 99, 1, 200, 1, 0, 30, 2, 3, 3, 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		n := bytesNeed(data)
		require.NoError(t, n.Validate())
		d, err := n.Distribution()
		require.NoError(t, err)
		checkPMF(t, d.PMF)
		requireSame(t, plainNeed(t, n), d.PMF, 1e-10)
	})
}

// bytesNeed takes one small number after another; what is missing is 0.
func bytesNeed(data []byte) Need {
	next := func(below int) int {
		if len(data) == 0 {
			return 0
		}
		v := int(data[0]) % below
		data = data[1:]
		return v
	}
	n := Need{Wet: make([]float64, next(4)), Step: []float64{0, 0.5, 2}[next(3)]}
	for r := range n.Wet {
		n.Wet[r] = float64(next(101)) / 100
	}
	for range next(4) {
		s := Service{}
		unplanned := next(2) == 1
		if unplanned {
			s.Unplanned = &Unplanned{WetFactor: float64(next(40)) / 10, Rate: Rate{Value: float64(next(20)) / 100}}
			if next(2) == 1 {
				s.Unplanned.Rate = Rate{Alpha: 0.5 + float64(next(40))/10, Beta: float64(10 + next(90))}
			}
			s.Unplanned.Exposure = []float64{}
		} else {
			s.Jobs = []int{}
		}
		for range n.Wet {
			if unplanned {
				s.Unplanned.Exposure = append(s.Unplanned.Exposure, float64(next(25)))
			} else {
				s.Jobs = append(s.Jobs, next(8))
			}
		}
		for range next(4) {
			s.Lines = append(s.Lines, bytesLine(next, !unplanned))
		}
		n.Services = append(n.Services, s)
	}
	return n
}

func bytesLine(next func(int) int, unknown bool) Line {
	l := Line{Kind: Kind(next(3)), Quantity: float64(next(40)) / 10}
	belief := func() Chance {
		if unknown && next(3) == 2 {
			return Chance{A: float64(1+next(50)) / 10, B: float64(1+next(50)) / 10}
		}
		return Chance{P: float64(next(101)) / 100}
	}
	switch l.Kind {
	case Chanced:
		l.Dry = belief()
		if next(2) == 1 {
			wet := belief()
			l.Wet = &wet
		}
	case Ranged:
		l.Min = float64(next(50)) / 10
		width := float64(next(60)) / 10
		l.Max = l.Min + width
		if next(2) == 1 {
			c := min(l.Max, l.Min+width*float64(next(11))/10)
			l.Typical = &c
		}
		l.Allowance = float64(next(30)) / 100
	}
	return l
}
