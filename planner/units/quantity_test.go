package units_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner/units"
)

// Expected values by hand, those of other systems from the exact constants of SP 811.
func TestParseQuantity(t *testing.T) {
	t.Parallel()
	tests := []struct {
		text string
		unit units.Unit
		want units.Quantity
	}{
		{"1.5 L", units.ML, 1_500_000},
		{"1,5 l", units.ML, 1_500_000},
		{"250 ml", units.ML, 250_000},
		{"12 cc", units.ML, 12_000},
		{"1 litre", units.ML, 1_000_000},
		{"475.917", units.ML, 475_917},
		{"0.001 ml", units.ML, 1},
		{"7ul", units.ML, 7},
		{"0,125 l", units.ML, 125_000}, // a leading zero is no mark of thousands
		{".5 l", units.ML, 500_000},
		{"  2   LITRES ", units.ML, 2_000_000},
		{"1 kg", units.G, 1_000_000},
		{"400 g", units.G, 400_000},
		{"74", units.G, 74_000},
		{"3", units.PC, 3},
		{"3 pc", units.PC, 3},
		{"12 pieces", units.PC, 12},
		{"3.0", units.PC, 3},
		{"+4", units.PC, 4},
		{"0", units.PC, 0},
		{"8 US fl oz", units.ML, 236_588},  // 236588.2365 ul
		{"1 us qt", units.ML, 946_353},     // 946352.946 ul
		{"20 UK fl oz", units.ML, 568_261}, // 568261.25 ul
		{"1 lb", units.G, 453_592},         // 453592.37 mg
		{"4 oz", units.G, 113_398},         // 113398.0925 mg
		{"1000000000 l", units.ML, 1_000_000_000_000_000},
	}
	for _, tt := range tests {
		t.Run(tt.text, func(t *testing.T) {
			t.Parallel()
			got, err := units.ParseQuantity(tt.text, tt.unit)
			require.NoError(t, err)
			require.Equal(t, tt.want, got)
		})
	}
}

func TestParseQuantityRefuses(t *testing.T) {
	t.Parallel()
	tests := []struct {
		text string
		unit units.Unit
		says string
	}{
		{"1,5 btl", units.ML, `found "btl", expected a volume in ul, ml, cc, l`},
		{"1.5 pc", units.PC, "expected whole pieces"},
		{"0.0001 ml", units.ML, "expected nothing finer than 1 ul (0.001 ml)"},
		{"0.5 ul", units.ML, "finer than 1 ul"},
		{"0.0004", units.G, "finer than 1 mg"},
		{"-3", units.PC, "expected nothing below zero"},
		{"-0", units.PC, "expected nothing below zero"},
		{"1 fl oz", units.ML, "expected US fl oz"},
		{"1 oz", units.ML, "expected a volume in"},
		{"1 kg", units.ML, "expected a volume in"},
		{"1 l", units.G, "expected a mass in mg, g, kg, oz, lb"},
		{"1 ml", units.PC, "expected pieces (pc)"},
		{"1,500 ml", units.ML, "expected 1.500 or 1500: a comma before three digits could mean either"},
		{"1,500.5 ml", units.ML, "expected a number with ml or L, such as 1.5 L"},
		{"1.2.3", units.ML, "expected a number with"},
		{"1 000 ml", units.ML, "expected a number with"},
		{"1e3 ml", units.ML, `found "e3 ml"`},
		{"", units.ML, "expected a number with"},
		{"ml", units.ML, "expected a number with"},
		{".", units.G, "expected a number with g or kg, such as 1.2 kg"},
		{"5.", units.PC, "expected a whole number of pieces, such as 3"},
		{"--3", units.PC, "expected a whole number"},
		{"3-4", units.PC, "expected a whole number"},
		{"NaN", units.PC, "expected a whole number"},
		{"1000000001 l", units.ML, "expected at most 1000000000000 ml"},
		{strings.Repeat("9", 60), units.PC, "expected at most 1000000000000000 pc"},
		{strings.Repeat("9", 65), units.PC, "found a text of 65 bytes, expected at most 64"},
		{"3", units.Unit("btl"), "expected a part counted in pc, ml or g"},
	}
	for _, tt := range tests {
		_, err := units.ParseQuantity(tt.text, tt.unit)
		require.ErrorContains(t, err, tt.says, "%q", tt.text)
		require.NotContains(t, err.Error(), "\n")
	}
}

func TestParseChange(t *testing.T) {
	t.Parallel()
	got, err := units.ParseChange("-1.25 l", units.ML)
	require.NoError(t, err)
	require.Equal(t, units.Quantity(-1_250_000), got)
	mass, err := units.ParseMass("1.234 kg")
	require.NoError(t, err)
	require.Equal(t, units.Milligrams(1_234_000), mass)
}

// Halves go to the even neighbour (ISO 80000-1); by hand.
func TestSayAndFormat(t *testing.T) {
	t.Parallel()
	tests := []struct {
		q           units.Quantity
		unit        units.Unit
		format, say string
	}{
		{475_917, units.ML, "475.917", "475.9 ml"},
		{1_284_300, units.ML, "1284.3", "1.28 l"},
		{1_000_000, units.ML, "1000", "1 l"},
		{999_950, units.ML, "999.95", "1 l"}, // the tie 9999.5 goes to even 10000
		{999_949, units.ML, "999.949", "999.9 ml"},
		{40, units.ML, "0.04", "0.04 ml"},
		{0, units.ML, "0", "0 ml"},
		{250, units.ML, "0.25", "0.25 ml"},
		{1_250, units.ML, "1.25", "1.2 ml"},
		{1_350, units.ML, "1.35", "1.4 ml"},
		{-475_917, units.ML, "-475.917", "-475.9 ml"},
		{-2_500_000, units.ML, "-2500", "-2.5 l"},
		{3, units.PC, "3", "3"},
		{-3, units.PC, "-3", "-3"},
		{1_200_000, units.G, "1200", "1.2 kg"},
		{74_000, units.G, "74", "74 g"},
	}
	for _, tt := range tests {
		require.Equal(t, tt.format, units.Format(tt.q, tt.unit))
		require.Equal(t, tt.say, units.Say(tt.q, tt.unit))
	}
	require.Equal(t, "742 g", units.SayMass(742_000))
	require.Equal(t, "-9223372036854775.808", units.Format(math.MinInt64, units.ML))
}

func TestFloats(t *testing.T) {
	t.Parallel()
	require.InDelta(t, 475.917, units.ToFloat(475_917, units.ML), 0)
	require.InDelta(t, 3.0, units.ToFloat(3, units.PC), 0)
	for _, u := range []units.Unit{units.PC, units.ML, units.G} {
		rapid.Check(t, func(t *rapid.T) {
			q := units.Quantity(rapid.Int64Range(-int64(units.MaxQuantity), int64(units.MaxQuantity)).Draw(t, "q"))
			back, err := units.FromFloat(units.ToFloat(q, u), u)
			require.NoError(t, err)
			require.Equal(t, q, back)
		})
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1), 1e30, -1e30} {
		_, err := units.FromFloat(bad, units.ML)
		require.ErrorIs(t, err, units.ErrQuantity)
	}
	got, err := units.FromFloat(0.0005, units.ML) // the double is just above the tie
	require.NoError(t, err)
	require.Equal(t, units.Quantity(1), got)
	got, err = units.FromFloat(2.5, units.PC) // an exact tie
	require.NoError(t, err)
	require.Equal(t, units.Quantity(2), got)
}

func TestBaseNames(t *testing.T) {
	t.Parallel()
	require.Equal(t, "ul", units.ML.BaseName())
	require.Equal(t, int64(1000), units.ML.Base())
	require.Equal(t, "mg", units.G.BaseName())
	require.Equal(t, "pc", units.PC.BaseName())
}

// What Format writes, ParseQuantity reads back, with and without the unit.
func TestFormatRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom([]units.Unit{units.PC, units.ML, units.G}).Draw(t, "unit")
		q := units.Quantity(rapid.Int64Range(-int64(units.MaxQuantity), int64(units.MaxQuantity)).Draw(t, "q"))
		text := units.Format(q, u)
		for _, typed := range []string{text, text + string(u), text + " " + string(u)} {
			back, err := units.ParseChange(typed, u)
			require.NoError(t, err)
			require.Equal(t, q, back)
		}
	})
}

// Whatever is typed, the answer is a quantity in range that reads back, or one line.
func FuzzParseQuantity(f *testing.F) {
	for _, seed := range []string{
		"1.5 L", "1,5 l", "250 ml", "12 cc", "1 kg", "3 pc", "1 litre", "1,500 ml", "8 US fl oz",
		"-0", "1e9", "٣ ml", "1 ＭＬ", "5.", ".5", "0x10", "1\x00l", "\xff", "999999999999999999999 l", "1 µl",
	} {
		f.Add(seed, "ml")
		f.Add(seed, "pc")
		f.Add(seed, "g")
	}
	f.Fuzz(func(t *testing.T, text, unit string) {
		u := units.Unit(unit)
		q, err := units.ParseQuantity(text, u)
		if err != nil {
			require.NotContains(t, err.Error(), "\n")
			return
		}
		require.GreaterOrEqual(t, q, units.Quantity(0))
		require.LessOrEqual(t, q, units.MaxQuantity)
		back, err := units.ParseQuantity(units.Format(q, u), u)
		require.NoError(t, err)
		require.Equal(t, q, back)
	})
}
