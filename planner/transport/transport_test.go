package transport_test

import (
	"strconv"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner/transport"
)

// GS1 worked examples, and an ISBN-13 and a 12-digit code from memory.
func TestCheckDigit(t *testing.T) {
	t.Parallel()
	for digits, want := range map[string]int{
		"629104150021": 3, "730001100001": 7, "978030640615": 7, "03600029145": 2,
	} {
		got, err := transport.CheckDigit(digits)
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
	for _, bad := range []string{"", "12345678", "62910415002X", "٣٣٣٣٣٣٣", "62910415002 "} {
		_, err := transport.CheckDigit(bad)
		require.ErrorIs(t, err, transport.ErrCode, bad)
	}
	digit, valid, err := transport.CheckCode("6291041500218")
	require.NoError(t, err)
	require.Equal(t, 3, digit)
	require.False(t, valid)
	for _, bad := range []string{"", "6291041500", "62910415002X3", "629104150021X"} {
		_, _, err := transport.CheckCode(bad)
		require.ErrorIs(t, err, transport.ErrCode, bad)
	}
}

// A code with its digit is valid; any one digit changed is not; leading zeros change
// nothing (GTIN-12, -13 and -14 are one key).
func TestCheckDigitProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		digits := rapid.StringMatching(`[0-9]{11}`).Draw(t, "digits")
		digit, err := transport.CheckDigit(digits)
		require.NoError(t, err)
		code := digits + strconv.Itoa(digit)
		_, valid, err := transport.CheckCode(code)
		require.NoError(t, err)
		require.True(t, valid)
		padded, err := transport.CheckDigit("00" + digits)
		require.NoError(t, err)
		require.Equal(t, digit, padded)
		at := rapid.IntRange(0, 11).Draw(t, "at")
		wrong := []byte(code)
		wrong[at] = '0' + (wrong[at]-'0'+byte(rapid.IntRange(1, 9).Draw(t, "by")))%10
		_, valid, err = transport.CheckCode(string(wrong))
		require.NoError(t, err)
		require.False(t, valid)
	})
}

// ADR 1.1.3.6 (2023 text): the Finnish agency's example, a training book's, and by hand.
func TestRoadPoints(t *testing.T) {
	t.Parallel()
	good := func(category int, quantity string) transport.Good {
		return transport.Good{Category: category, Quantity: decimal.RequireFromString(quantity)}
	}
	noteA := good(1, "50")
	noteA.NoteA = true
	limited := good(0, "5")
	limited.LimitedQuantity = true
	tests := []struct {
		name   string
		goods  []transport.Good
		points string
		within bool
	}{
		{"diesel and petrol", []transport.Good{good(3, "200"), good(2, "300")}, "1100", false},
		{"training book", []transport.Good{good(1, "10"), good(2, "100"), good(3, "150")}, "950", true},
		{"note a at the limit", []transport.Good{noteA}, "1000", true},
		{"just above", []transport.Good{noteA, good(3, "0.000000001")}, "1000.000000001", false},
		{"ten tenths", []transport.Good{good(2, "0.1"), good(2, "0.2")}, "0.9", true},
		{"category 0", []transport.Good{good(0, "1")}, "0", false},
		{"none of category 0", []transport.Good{good(0, "0")}, "0", true},
		{"limited quantity", []transport.Good{limited}, "0", true},
		{"nothing", nil, "0", true},
		{"empties", []transport.Good{good(4, "5000")}, "0", true},
	}
	for _, tt := range tests {
		points, within, err := transport.RoadPoints(tt.goods)
		require.NoError(t, err, tt.name)
		require.Equal(t, tt.points, points.String(), tt.name)
		require.Equal(t, tt.within, within, tt.name)
	}
	_, _, err := transport.RoadPoints([]transport.Good{good(5, "1"), good(2, "-1"), {Category: 2, NoteA: true}})
	require.ErrorIs(t, err, transport.ErrGoods)
	require.ErrorContains(t, err, "goods[0].category: found 5, expected 0 to 4")
	require.ErrorContains(t, err, "goods[1].quantity: found -1, expected 0 or more")
	require.ErrorContains(t, err, "goods[2].note_a: found true in category 2, expected it only in category 1")
}
