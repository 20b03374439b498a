package mix_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner/day"
	"roundkit/planner/mix"
	"roundkit/planner/oil"
	"roundkit/testdata/season"
)

// The published mixes of ASTM D7152 (cases OIL-MIX-3 and OIL-INV-1 of testdata/checks): 50
// and 50 of 15 and 32 cSt make 21.473; 24 cSt from 16.1 and 32 is 39.578 % light.
func TestPublishedMixes(t *testing.T) {
	t.Parallel()
	a, err := mix.Propose(mix.Want{CSt40: 24, ML: 1000}, []mix.Oil{{Part: "A", CSt40: 16.1, ML: 1000}, {Part: "B", CSt40: 32, ML: 1000}})
	require.NoError(t, err)
	require.InDelta(t, 395.778299991492, a.Mixes[0].Shares[0].ML, 1e-9)
	require.InDelta(t, 24, a.Mixes[0].CSt40, 0.01)
	require.True(t, a.Mixes[0].Enough)
	require.Nil(t, a.Mixes[0].Line, "no viscosity at 100 C, no line")

	a, err = mix.Propose(mix.Want{Part: "W", CSt40: 15, ML: 100}, []mix.Oil{{Part: "W", CSt40: 15, ML: 50}, {Part: "H", CSt40: 32, ML: 500}})
	require.NoError(t, err)
	require.Empty(t, a.Mixes, "stretched by half it is 43 % thicker: not worth showing")
	a, err = mix.Propose(mix.Want{Part: "W", CSt40: 18, ML: 100}, []mix.Oil{{Part: "W", CSt40: 15, ML: 50}, {Part: "H", CSt40: 32, ML: 500}})
	require.NoError(t, err)
	require.InDelta(t, 21.4730694591968, a.Mixes[0].CSt40, 1e-9)
	require.InDelta(t, 21.4730694591968/18-1, a.Mixes[0].Off, 1e-9)
}

// The demo's Saturday evening: Pim's fork wants 212.75 ml of OIL-D22 for a rebuild and
// 148.886 ml are left (known answer 3). No other damper oil is thicker, so the exact mix
// needs the bath oil, of another use; stretched with OIL-D16 it stays a damper oil.
func TestPimsFork(t *testing.T) {
	t.Parallel()
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 6, 5))
	require.NoError(t, err)
	want, err := mix.Wanted(s, "OIL-D22")
	require.NoError(t, err)
	want.ML = 212.75
	here, err := mix.Here(s, "truck")
	require.NoError(t, err)
	a, err := mix.Propose(want, here)
	require.NoError(t, err)
	require.InDelta(t, 148.886, a.HaveML, 1e-3)
	require.InDelta(t, 63.864, a.ShortML, 1e-3)
	best := a.Mixes[0]
	require.True(t, best.SameUse && best.Enough)
	require.Equal(t, "OIL-D22", best.Shares[0].Oil.Part)
	require.Equal(t, "OIL-D16", best.Shares[1].Oil.Part)
	require.Negative(t, best.Off)
	require.NotNil(t, best.Line)
	at40, _, err := best.Line.At(40)
	require.NoError(t, err)
	require.InEpsilon(t, best.CSt40, at40, 1e-3)
	exact := false
	for _, m := range a.Mixes {
		for _, sh := range m.Shares {
			exact = exact || sh.Oil.Part == "OIL-B68" && !m.SameUse && m.Off > -1e-3 && m.Off < 1e-3
		}
	}
	require.True(t, exact, "bath oil and OIL-D16 reach 22.4 cSt, said to be of another use")

	_, err = mix.Wanted(s, "OIL-D21")
	require.ErrorContains(t, err, "did you mean OIL-D2")
	_, err = mix.Wanted(s, "WIP-40")
	require.Error(t, err)
	_, err = mix.Here(s, "truk")
	require.ErrorContains(t, err, "truck")
}

func TestProposeRefuses(t *testing.T) {
	t.Parallel()
	for _, w := range []mix.Want{{CSt40: 20}, {CSt40: 20, ML: -1}, {ML: 100}, {CSt40: 2e6, ML: 100}} {
		_, err := mix.Propose(w, nil)
		require.ErrorIs(t, err, mix.ErrMix)
	}
	a, err := mix.Propose(mix.Want{CSt40: 20, ML: 10}, nil)
	require.NoError(t, err)
	require.Empty(t, a.Mixes)
}

// Whatever is proposed holds the volume asked for, says the viscosity that the blend of its
// shares has, and takes no more than is here where it says it is enough.
func TestProposals(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var oils []mix.Oil
		for i := range rapid.IntRange(0, 5).Draw(t, "oils") {
			oils = append(oils, mix.Oil{Part: string(rune('A' + i)), CSt40: rapid.Float64Range(3, 200).Draw(t, "cst"), ML: rapid.Float64Range(0, 500).Draw(t, "ml")})
		}
		w := mix.Want{Part: "A", CSt40: rapid.Float64Range(3, 200).Draw(t, "want"), ML: rapid.Float64Range(1, 800).Draw(t, "volume")}
		a, err := mix.Propose(w, oils)
		require.NoError(t, err)
		for _, m := range a.Mixes {
			sum, fraction := 0.0, 0.0
			var shares []oil.Share
			for _, s := range m.Shares {
				sum, fraction = sum+s.ML, fraction+s.Fraction
				shares = append(shares, oil.Share{CSt: s.Oil.CSt40, Volume: s.ML})
				if m.Enough {
					require.LessOrEqual(t, s.ML, s.Oil.ML*(1+1e-6))
				}
			}
			require.InDelta(t, w.ML, sum, 1e-6)
			require.InDelta(t, 1, fraction, 1e-9)
			got, err := oil.Blend(shares)
			require.NoError(t, err)
			require.InEpsilon(t, got, m.CSt40, 1e-9)
		}
	})
}
