package learn

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/units"
)

func logged(percent string, jobs, used int) *planner.Book {
	d, q := decimal.RequireFromString(percent), units.Quantity(2)
	b := &planner.Book{}
	b.ServiceLines = []planner.ServiceLine{{Service: "FSS", Part: "BSH", Quantity: &q, DryPercent: &d}}
	for i := range jobs {
		code := fmt.Sprint(i)
		b.Jobs = append(b.Jobs, planner.Job{Code: code, Service: "FSS"})
		if i < used {
			b.JobParts = append(b.JobParts, planner.JobPart{Job: code, Part: "BSH", From: "W", To: "used", Quantity: &q})
		}
	}
	return b
}

// Planned 20 %, worth 10 jobs: Beta(2, 8). Log 3 of 8: Beta(5, 13), mean 5/18, by hand.
func TestChanceOfAWorkedExample(t *testing.T) {
	t.Parallel()
	got, err := Chances(logged("20", 8, 3), 10)
	require.NoError(t, err)
	require.Len(t, got, 1)
	require.InDelta(t, 0.2, got[0].Planned, 1e-12)
	require.Equal(t, [2]int{3, 8}, [2]int{got[0].Used, got[0].Jobs})
	require.InDelta(t, 5.0/18, got[0].Learned, 1e-12)
	require.False(t, got[0].Drifted)
	// P(X >= 8) of BB(8, 2, 8) = B(10, 8)/B(2, 8) = 72 (9! 7!)/17! = 0.00037, by hand
	got, err = Chances(logged("20", 8, 8), 10)
	require.NoError(t, err)
	require.True(t, got[0].Drifted)
	for _, rule := range []string{"0", "100"} {
		got, err = Chances(logged(rule, 8, 3), 10)
		require.NoError(t, err)
		require.Empty(t, got)
	}
}

// Of 2,000 seasons drawn as the guess says (the chance from Beta(2, 8), twenty jobs at it), the middle 80 %
// hold the truth as often: within four standard errors.
func TestRangesHoldTheTruth(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(4, 9))
	const seasons = 2000
	held := 0
	for range seasons {
		// the second smallest of nine uniform numbers is Beta(2, 8)
		first, second := 1.0, 1.0
		for range 9 {
			if u := r.Float64(); u < first {
				first, second = u, first
			} else {
				second = min(second, u)
			}
		}
		used := 0
		for range 20 {
			if r.Float64() < second {
				used++
			}
		}
		got, err := Chances(logged("20", 20, used), 10)
		require.NoError(t, err)
		if got[0].Low <= second && second <= got[0].High {
			held++
		}
	}
	require.InDelta(t, 0.8, float64(held)/seasons, 4*0.009) // sqrt(.8 .2 / 2000)
}
