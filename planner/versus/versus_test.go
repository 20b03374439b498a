package versus_test

import (
	"fmt"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner/units"
	"roundkit/planner/versus"
)

func d(s string) decimal.Decimal { return decimal.RequireFromString(s) }

func value(s string) *decimal.Decimal { v := d(s); return &v }

// By hand: two lots of one part are one part; a spring left home, a bottle more, a new
// washer, wipers in another case.
func TestBetween(t *testing.T) {
	t.Parallel()
	was := versus.List{Trip: "T", Lines: []versus.Line{
		{Part: "WIP-40", Unit: units.PC, Quantity: 10, Grams: d("90"), Case: "FC-1", Value: value("60"), Currency: "EUR"},
		{Part: "WIP-40", Unit: units.PC, Quantity: 4, Grams: d("36"), Case: "FC-1", Value: value("24"), Currency: "EUR"},
		{Part: "SPF-75", Unit: units.PC, Quantity: 1, Grams: d("379"), Case: "FC-2", Value: value("44"), Currency: "USD"},
		{Part: "OIL-B68", Unit: units.ML, Quantity: 1_000_000, Grams: d("964"), Case: "FC-3", Value: value("27.84"), Currency: "EUR"},
		{Part: "FNS-10", Unit: units.PC, Quantity: 28, Grams: d("22"), Case: "FC-1"},
	}}
	now := versus.List{Trip: "T", Lines: []versus.Line{
		{Part: "WIP-40", Unit: units.PC, Quantity: 14, Grams: d("126"), Case: "FC-5", Value: value("84"), Currency: "EUR"},
		{Part: "OIL-B68", Unit: units.ML, Quantity: 2_000_000, Grams: d("1928"), Case: "FC-3", Value: value("55.68"), Currency: "EUR"},
		{Part: "CRW-10", Unit: units.PC, Quantity: 28, Grams: d("33.6"), Case: "FC-1", Value: value("8.96"), Currency: "EUR"},
		{Part: "FNS-10", Unit: units.PC, Quantity: 20, Grams: d("16"), Case: "FC-1"},
	}}
	got, err := versus.Between(was, now)
	require.NoError(t, err)
	var told []string
	for _, p := range got.Parts {
		told = append(told, fmt.Sprintf("%s %s %d %s", p.Change, p.Code, p.By, p.Grams))
	}
	require.Equal(t, []string{"new CRW-10 28 33.6", "gone SPF-75 -1 -379", "more OIL-B68 1000000 964", "less FNS-10 -8 -6", "moved WIP-40 0 0"}, told)
	require.Equal(t, "612.6", got.Grams.String())
	require.Equal(t, "EUR 36.8", got.Money[0].Currency+" "+got.Money[0].By.String())
	require.Equal(t, "USD -44", got.Money[1].Currency+" "+got.Money[1].By.String())
	require.Equal(t, 2, got.NotValued)
	require.Zero(t, got.Same)

	now.Trip = "U" // of another trip the cases say nothing
	got, err = versus.Between(was, now)
	require.NoError(t, err)
	require.Equal(t, 1, got.Same)
	require.Zero(t, got.Count(versus.Moved))

	now.Lines[0].Unit = units.ML
	_, err = versus.Between(was, now)
	require.ErrorContains(t, err, "part WIP-40: found unit pc in one list and ml in the other")
}

// Backwards everything changes sign; a list against itself does not differ.
func TestBackwards(t *testing.T) {
	t.Parallel()
	list := rapid.Custom(func(t *rapid.T) versus.List {
		var l versus.List
		for range rapid.IntRange(0, 8).Draw(t, "lines") {
			v := decimal.NewFromInt(rapid.Int64Range(0, 100).Draw(t, "value"))
			l.Lines = append(l.Lines, versus.Line{Part: rapid.SampledFrom([]string{"A", "B", "C", "D"}).Draw(t, "part"), Unit: units.PC,
				Quantity: units.Quantity(rapid.Int64Range(1, 9).Draw(t, "q")), Grams: v, Value: &v, Currency: "EUR", Case: rapid.SampledFrom([]string{"X", "Y"}).Draw(t, "case")})
		}
		return l
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := list.Draw(t, "a"), list.Draw(t, "b")
		there, err := versus.Between(a, b)
		require.NoError(t, err)
		back, err := versus.Between(b, a)
		require.NoError(t, err)
		require.Len(t, back.Parts, len(there.Parts))
		require.True(t, there.Grams.Add(back.Grams).IsZero())
		require.Equal(t, there.Count(versus.New), back.Count(versus.Gone))
		require.Equal(t, there.Count(versus.More), back.Count(versus.Less))
		same, err := versus.Between(a, a)
		require.NoError(t, err)
		require.Empty(t, same.Parts)
		require.True(t, same.Grams.IsZero())
	})
}
