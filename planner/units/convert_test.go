package units_test

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner/units"
)

func rat(t *testing.T, text string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(text)
	require.True(t, ok, text)
	return r
}

// The figures are those printed in NIST SP 811 (2008), B.8, from memory, to the seven
// digits printed there or exactly where the table prints them in bold.
func TestConvertAgainstNIST(t *testing.T) {
	t.Parallel()
	tests := []struct {
		from, to string
		want     string
		relative float64
	}{
		{"in", "mm", "25.4", 0},
		{"lb", "kg", "0.45359237", 0},
		{"oz", "g", "28.349523125", 0},
		{"US gal", "l", "3.785411784", 0},
		{"US qt", "l", "0.9463529", 1e-7},
		{"US fl oz", "ml", "29.57353", 1e-7},
		{"UK gal", "l", "4.54609", 0},
		{"UK fl oz", "ml", "28.41306", 1e-7},
		{"kgf", "N", "9.80665", 0},
		{"lbf", "N", "4.4482216152605", 0},
		{"lbf/in", "N/mm", "0.1751268", 3e-7},
		{"kgf/mm", "N/mm", "9.80665", 0},
		{"lbf in", "N m", "0.1129848", 3e-7},
		{"lbf ft", "N m", "1.355818", 1e-7},
		{"psi", "kPa", "6.894757", 1e-7},
		{"bar", "kPa", "100", 0},
		{"cc", "ml", "1", 0}, // SI Brochure: 1 cm3 = 1 ml
	}
	for _, tt := range tests {
		t.Run(tt.from, func(t *testing.T) {
			t.Parallel()
			got, err := units.Convert(big.NewRat(1, 1), tt.from, tt.to)
			require.NoError(t, err)
			want := rat(t, tt.want)
			if tt.relative == 0 {
				require.Zero(t, got.Cmp(want), "got %s, want %s exactly", got.FloatString(20), tt.want)
				return
			}
			g, _ := got.Float64()
			w, _ := want.Float64()
			require.LessOrEqual(t, math.Abs(g/w-1), tt.relative, "got %v, want %v", g, w)
		})
	}
}

func TestConvertRefuses(t *testing.T) {
	t.Parallel()
	tests := []struct{ from, to, says string }{
		{"fl oz", "ml", "expected US fl oz (29.57 ml) or UK fl oz (28.41 ml)"},
		{"l", "gal", "expected US gal (3.785 l) or UK gal (4.546 l)"},
		{"qt", "l", "expected US qt"},
		{"N/mm", "ml", "found ml, a volume, expected a spring rate like N/mm: N/mm, kgf/mm, lbf/in"},
		{"kg", "l", "found l, a volume, expected a mass like kg: mg, g, kg, oz, lb"},
		{"oz", "ml", "a mass like oz"},
		{"furlong", "mm", `found "furlong", expected one of mm, in, mg`},
		{"ML", "l", `found "ML"`}, // names are exact here: a megalitre is no millilitre
		{"", "l", `found ""`},
	}
	for _, tt := range tests {
		_, err := units.Convert(big.NewRat(1, 1), tt.from, tt.to)
		require.ErrorIs(t, err, units.ErrUnit)
		require.ErrorContains(t, err, tt.says)
	}
}

func TestConvertTyped(t *testing.T) {
	t.Parallel()
	tests := []struct{ value, from, to, want string }{
		{"450", "lb/in", "n/mm", "78.8070758609"}, // published case UNI-S3
		{"450", "LBF/IN", "kg/mm", "8.0360852953"},
		{"5", "Nm", "lbf in", "44.2537289566"},
		{"2", "us  fl oz", "Millilitres", "59.147059125"},
		{"1.5", "litre", "CC", "1500"},
	}
	for _, tt := range tests {
		got, err := units.ConvertTyped(rat(t, tt.value), tt.from, tt.to)
		require.NoError(t, err)
		require.Equal(t, tt.want, units.FormatRat(got, 10))
	}
	_, err := units.ConvertTyped(big.NewRat(1, 1), "kg/mm", "litre")
	require.ErrorContains(t, err, "expected a spring rate in N/mm, kgf/mm, lbf/in")
	_, err = units.ConvertTyped(big.NewRat(1, 1), "stone", "kg")
	require.ErrorIs(t, err, units.ErrUnit)
	_, err = units.ConvertTyped(big.NewRat(1, 1), "fl oz", "ml")
	require.ErrorContains(t, err, "US fl oz")
}

// There and back is the same number, exactly, between any two units of a kind.
func TestConvertRoundTrip(t *testing.T) {
	t.Parallel()
	names := units.Names()
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.SampledFrom(names).Draw(t, "from")
		to := rapid.SampledFrom(names).Draw(t, "to")
		value := big.NewRat(rapid.Int64().Draw(t, "num"), rapid.Int64Range(1, 1<<40).Draw(t, "den"))
		there, err := units.Convert(value, from, to)
		if err != nil { // of unlike kinds: then the other way is refused too
			_, err = units.Convert(value, to, from)
			require.ErrorIs(t, err, units.ErrUnit)
			return
		}
		back, err := units.Convert(there, to, from)
		require.NoError(t, err)
		require.Zero(t, back.Cmp(value))
	})
}
