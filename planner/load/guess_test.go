package load

import (
	"os"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/testdata/season"
)

// A liquid without a density weighs 1 g/ml, marked as about; its case says how much of its mass
// is a guess, and that the guess could pass the limit where it could.
func TestALiquidWithoutADensity(t *testing.T) {
	t.Parallel()
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 6, 5))
	require.NoError(t, err)
	for i := range s.Liquids {
		if s.Liquids[i].Part == "OIL-B68" {
			s.Liquids[i].DensityGML = nil
		}
	}
	o, err := forecast.New(s)
	require.NoError(t, err)
	opts := Options{Trip: "TR-TES", Alone: true, Confidence: 0.95, Draws: -1}
	r, err := Plan(t.Context(), o, opts)
	require.NoError(t, err)
	guess := decimal.Zero
	for _, l := range r.Lines {
		require.Equal(t, l.Part.Code == "OIL-B68", l.About, l.Part.Code)
		if l.About {
			guess = guess.Add(decimal.NewFromInt(int64(l.Quantity)).Shift(-3)) // 1 g/ml
			tare := decimal.Zero
			if l.Part.TareMG != nil {
				tare = decimal.NewFromInt(int64(*l.Part.TareMG)).Shift(-3)
			}
			if l.Tag == "" {
				require.True(t, l.Grams.Equal(decimal.NewFromInt(int64(l.Quantity)).Shift(-3).Add(tare.Mul(decimal.NewFromInt(int64(l.Containers))))), l.Grams)
			}
		}
	}
	require.True(t, guess.IsPositive())
	total := decimal.Zero
	for _, c := range r.Cases {
		total = total.Add(c.Guess)
		require.False(t, c.MayPass(), c.Code)
	}
	require.True(t, guess.Equal(total), "%s in the lines, %s in the cases", guess, total)
	require.True(t, strings.Contains(strings.Join(r.Notes, "\n"), "no density known, counted as about 1 g/ml: OIL-B68"), r.Notes)

	// A case of 10 kg with a limit of 10.5: 2 kg of it at 1.3 g/ml are 0.6 kg more; at 1.2 kg 0.36.
	limit := decimal.RequireFromString("10.5")
	c := Case{Case: planner.Case{LimitKG: &limit}, Gross: decimal.NewFromInt(10_000), Limit: decimal.NewFromInt(10_500), Guess: decimal.NewFromInt(2_000)}
	require.True(t, c.MayPass())
	require.Equal(t, "about 2.0 kg of its 10.0 kg are a guess, which could pass its limit of 10.5 kg: weigh it", c.GuessWords())
	c.Guess = decimal.NewFromInt(1_200)
	require.False(t, c.MayPass())
}
