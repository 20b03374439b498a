package oil_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/oil"
	"roundkit/planner/units"
)

const ml = 1000

// Common practice: a fork takes 320 ml in the damper leg and 80 to 100 ml in the spring leg
// of 7.5-weight oil, and about 300 of the 320 ml drain out.
func TestDrawOfAFork(t *testing.T) {
	t.Parallel()
	damper := oil.Draw{Fill: oil.Exactly(320 * ml), Stayed: oil.Exactly(20 * ml)}
	drawn, err := damper.Range()
	require.NoError(t, err)
	require.Equal(t, oil.Exactly(300*ml), drawn, "pouring 320 back would overfill by 20")
	require.Equal(t, oil.Exactly(300*ml), damper.Drained())

	// a dry damper leg and the spring leg: two rebuilds out of a 1 l bottle, not three
	whole, err := oil.Draw{Fill: oil.Range{Min: 400 * ml, Typical: 410 * ml, Max: 420 * ml}}.Range()
	require.NoError(t, err)
	bottle := units.Quantity(1000 * ml)
	require.LessOrEqual(t, 2*whole.Max, bottle)
	require.Greater(t, 3*whole.Min, bottle)

	spilled, err := oil.Draw{Fill: oil.Exactly(320 * ml), Stayed: oil.Range{Min: 10 * ml, Typical: 20 * ml, Max: 40 * ml}, Flush: oil.Exactly(15 * ml),
		Bleeding: oil.Range{Min: 5 * ml, Typical: 10 * ml, Max: 20 * ml}, Spill: oil.Range{Max: 30 * ml}}.Range()
	require.NoError(t, err)
	require.Equal(t, oil.Range{Min: 300 * ml, Typical: 325 * ml, Max: 375 * ml}, spilled)
}

func TestDrawRefuses(t *testing.T) {
	t.Parallel()
	_, err := oil.Draw{Fill: oil.Exactly(100 * ml), Stayed: oil.Exactly(120 * ml)}.Range()
	require.ErrorContains(t, err, "expected at most the fill")
	_, err = oil.Draw{Fill: oil.Range{Min: 3, Typical: 2, Max: 4}}.Range()
	require.ErrorContains(t, err, "fill: found 3, 2, 4 ul")
}
