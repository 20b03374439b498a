package load

import (
	"math"
	"os"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
	"roundkit/testdata/season"
)

// One case by hand: two rounds, the wiper surely used at the first (waits 0), the o-ring at
// the first with a chance of 0.5 and else at the second (0.5), the piston band only at the
// second (1), the axle carried for a crash (1.8), the crown as rarely but 1.5 kg. From the
// bottom: the crown, the litre, the small bottle; then the axle, the band, the ring, the
// wiper. Of two things needed alike the heavier lies lower; a fluid lies at the bottom
// however soon it is needed. The other case comes first as its name does.
func TestPutInByHand(t *testing.T) {
	t.Parallel()
	line := func(code, in string, unit units.Unit, kind string, grams int64, n int, waits float64) Line {
		return Line{Part: planner.Part{Code: code, Unit: unit, Kind: kind}, Case: in, Grams: decimal.NewFromInt(grams), Containers: n, Waits: waits}
	}
	lines := []Line{
		line("wiper", "B", units.PC, "seal", 200, 20, 0), line("small bottle", "B", units.ML, "", 20, 1, 0), line("axle", "B", units.PC, "other", 78, 1, 1.8),
		line("crown", "B", units.PC, "other", 1500, 1, 1.8), line("ring", "B", units.PC, "seal", 2000, 1000, 0.5), line("litre", "B", units.ML, "oil", 960, 1, 0),
		line("band", "B", units.PC, "other", 1, 1, 1), line("wiper, thick", "B", units.PC, "seal", 150, 10, 0.001), line("rag", "A", units.PC, "other", 5, 1, 0),
	}
	putIn(lines)
	var got []string
	for _, l := range lines {
		got = append(got, l.Case+" "+l.Layer+" "+l.Part.Code)
	}
	require.Equal(t, []string{
		"A upper rag",
		"B bottom crown", "B bottom litre", "B bottom small bottle",
		"B upper axle", "B upper band", "B upper ring", "B upper wiper, thick", "B upper wiper",
	}, got)
}

// The lower-leg casting is changed after a crash with a chance of 4 %; 0.11 crashes a
// bike-day, 1.3 times as many in the wet; 4 bikes, 3 days. At Mont Tessaly (wet with 40 %)
// it stays unused with 0.6 exp(-0.0528) + 0.4 exp(-0.06864). On the Alpine trip it does so
// at Zdravelj (1.25 times as rough, 25 % wet) with a = 0.75 exp(-0.066) + 0.25 exp(-0.0858),
// at the second round (1.1, 35 %) with b, and in both with a b: it waits a + a b rounds.
func TestWaitsByHand(t *testing.T) {
	t.Parallel()
	const mean = 4 * 3 * 0.11 * 0.04
	unused := func(rough, wet float64) float64 {
		return (1-wet)*math.Exp(-mean*rough) + wet*math.Exp(-mean*rough*1.3)
	}
	a, b := unused(1.25, 0.25), unused(1.1, 0.35)
	for trip, want := range map[string]float64{"TR-TES": unused(1, 0.4), "TR-ALP": a + a*b} {
		s, err := season.Load(os.DirFS("../../testdata/demo"), beforeAlps)
		require.NoError(t, err)
		o, err := forecast.New(s)
		require.NoError(t, err)
		p, err := newPacking(t.Context(), o, Options{Trip: trip})
		require.NoError(t, err)
		waits, err := p.waits()
		require.NoError(t, err)
		require.InDelta(t, want, waits[p.at["LWR-40"]], 1e-6, trip)
		for i, s := range p.parts {
			require.LessOrEqual(t, waits[i], float64(len(p.trip.Rounds)), s.Code)
			require.GreaterOrEqual(t, waits[i], 0.0, s.Code)
		}
		require.Zero(t, waits[p.at["CRW-10"]], "%s: every lower-leg service takes new crush washers", trip)
	}
}

// In every case of the fly-away trips the fluids and heavy things come first, and no part
// lies above one that is needed a hundredth of a round sooner; a drawer has no layers.
func TestFlyAwayCasesAreInTheOrderOfPuttingIn(t *testing.T) {
	t.Parallel()
	for trip, on := range map[string]day.Day{"TR-PEL": beforePelm, "TR-TES": day.Of(2027, 7, 20), "TR-ALP": beforeAlps} {
		r, err := changed(t, on, Options{Trip: trip}, same)
		require.NoError(t, err)
		require.NotEmpty(t, r.Lines)
		layers := map[string]int{}
		for k, l := range r.Lines {
			layers[l.Layer]++
			if r.Trip.GoesBy != calendar.Air {
				require.Empty(t, l.Layer)
				continue
			}
			heavy := l.Part.Unit == units.ML || l.Grams.InexactFloat64() >= 1000*float64(l.Containers)
			require.Equal(t, heavy || l.Part.Kind == "cleaner" || l.Part.Kind == "grease" || l.Part.Kind == "oil", l.Layer == Bottom, l.Part.Code)
			if k == 0 || r.Lines[k-1].Case != l.Case {
				continue
			}
			last := r.Lines[k-1]
			require.False(t, l.Layer == Bottom && last.Layer == Upper, l.Part.Code)
			if l.Layer == Upper && last.Layer == Upper {
				require.LessOrEqual(t, l.Waits, last.Waits+0.01, l.Part.Code)
			}
		}
		if r.Trip.GoesBy == calendar.Air {
			require.Greater(t, layers[Bottom], 5, trip)
			require.Greater(t, layers[Upper], 20, trip)
		}
	}
}
