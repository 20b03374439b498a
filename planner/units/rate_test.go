package units_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner/units"
)

// Rates from the published cases UNI-S1, S3, K2, K4, N3 (exact constants of SP 811).
func TestParseRate(t *testing.T) {
	t.Parallel()
	tests := []struct{ text, said, unit, want string }{
		{"300 lb/in", "300 lbf/in", "N/mm", "52.5380505739"},
		{"450 lbf/in", "450 lbf/in", "N/mm", "78.8070758609"},
		{"450lbs/inch", "450 lbf/in", "kgf/mm", "8.0360852953"},
		{"0,9 kg/mm", "0.9 kgf/mm", "lbf/in", "50.3976731355"},
		{"10", "10 N/mm", "lbf/in", "57.1014715473"},
		{"9.5 n/mm", "9.5 N/mm", "N/mm", "9.5"},
	}
	for _, tt := range tests {
		rate, err := units.ParseRate(tt.text)
		require.NoError(t, err)
		require.Equal(t, tt.said, rate.String())
		got, err := rate.In(tt.unit)
		require.NoError(t, err)
		require.Equal(t, tt.want, units.FormatRat(got, 10))
	}
	for text, says := range map[string]string{
		"0 N/mm":  "expected a rate above zero",
		"-3 N/mm": "expected a rate above zero",
		"9.5 ml":  "expected a spring rate in N/mm, kgf/mm, lbf/in",
		"soft":    "such as 9.5 N/mm",
		"":        "such as 9.5 N/mm",
	} {
		_, err := units.ParseRate(text)
		require.ErrorContains(t, err, says, text)
	}
	_, err := units.Rate{}.In("ml")
	require.ErrorIs(t, err, units.ErrUnit)
	require.Zero(t, units.Rate{}.NPerMM().Sign())
	require.Empty(t, units.Rate{}.String())
}

// What a rate says of itself reads back as the same rate.
func TestRateRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[1-9][0-9]{0,4}(\.[0-9]{1,6})? (N/mm|lbf/in|kgf/mm)`).Draw(t, "text")
		rate, err := units.ParseRate(text)
		require.NoError(t, err)
		back, err := units.ParseRate(rate.String())
		require.NoError(t, err)
		require.Zero(t, rate.NPerMM().Cmp(back.NPerMM()))
	})
}
