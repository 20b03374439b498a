package term

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/units"
)

func TestPercent(t *testing.T) {
	t.Parallel()
	for chance, want := range map[float64]string{
		0.8427: "84.27 %", 0.95: "95 %", 0.5: "50 %", 1: "100 %", 0: "0 %",
		0.999999: "> 99.99 %", 1e-9: "< 0.01 %", 0.9999: "99.99 %", 0.0001: "0.01 %",
	} {
		require.Equal(t, want, Percent(chance))
	}
	require.Equal(t, "?", Percent(math.NaN()))
	require.Equal(t, "> 99.99 %", PercentBut(1e-30), "not certain, though 1 - 1e-30 is 1 in a float")
	require.Equal(t, "100 %", PercentBut(0))
	require.Equal(t, "84.27 %", PercentBut(0.1573))
}

func TestMean(t *testing.T) {
	t.Parallel()
	require.Equal(t, "15.04", Mean(15.0400001, units.PC))
	require.Equal(t, "604.8 ml", Mean(604.8, units.ML))
	require.Equal(t, "1.28 l", Mean(1280, units.ML))
	require.Equal(t, "0", Mean(0, units.PC))
}

func TestBar(t *testing.T) {
	t.Parallel()
	require.Equal(t, "#####", Look{}.Bar(0.5, 10))
	require.Equal(t, "█████", Look{Terminal: true}.Bar(0.5, 10))
	require.Equal(t, ".", Look{}.Bar(0.001, 10))
	require.Empty(t, Look{}.Bar(0, 10))
	require.Len(t, Look{}.Bar(2, 10), 10)
}
