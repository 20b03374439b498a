package transport_test

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/transport"
	"roundkit/planner/units"
)

var inForce = day.Of(2026, 6, 1)

func dec(text string) *decimal.Decimal {
	d := decimal.RequireFromString(text)
	return &d
}

func ul(q units.Quantity) *units.Quantity { return &q }

// aerosols are cans of 600 g in a litre of room.
func aerosols(cans int64, un string) transport.Item {
	grams := decimal.NewFromInt(600 * cans)
	return transport.Item{Part: planner.Part{Code: "AER", Kind: "cleaner", Unit: units.PC, UNNumber: un, PackedUL: ul(1_000_000)},
		Quantity: units.Quantity(cans), Containers: cans, Grams: &grams, RoomUL: ul(units.Quantity(cans) * 1_000_000), Place: "T-L02"}
}

// liquid is ul in bottles of a litre.
func liquid(code, un string, q units.Quantity) transport.Item {
	return transport.Item{Part: planner.Part{Code: code, Kind: "cleaner", Unit: units.ML, UNNumber: un}, Quantity: q, Containers: int64(q+999_999) / 1_000_000,
		LargestUL: 1_000_000, Place: "T-L02"}
}

func nitrogen(room units.Quantity) transport.Item {
	return transport.Item{Part: planner.Part{Code: "N2", Kind: "gas", Unit: units.PC, UNNumber: "1066", PackedUL: ul(room)}, Quantity: 1, Containers: 1, RoomUL: ul(room), Grams: dec("9800"), Place: "T-L02"}
}

// The published case ADR-P4 as what lies in a truck: 12 aerosols of 600 g (7.2 kg of
// articles), 2 l of petrol, a nitrogen bottle of 10 l, 1.1 l of isopropanol: 40.9 points.
func TestRoadForPublished(t *testing.T) {
	t.Parallel()
	r, err := transport.RoadFor([]transport.Item{aerosols(12, "1950 5F"), liquid("FUEL", "UN1203", 2_000_000), nitrogen(10_000_000), liquid("ISO", "1219", 1_100_000)}, inForce)
	require.NoError(t, err)
	require.Equal(t, "40.9", r.Points.String())
	require.True(t, r.Within)
	require.Empty(t, r.Unknown)
	require.Empty(t, r.Warning)
	var lines []string
	for _, g := range r.Goods {
		lines = append(lines, g.UN+" "+g.Amount.String()+" "+string(g.Measure)+" "+g.Points.String())
	}
	require.Equal(t, []string{"1066 10 l water capacity 10", "1203 2 l 6", "1219 1.1 l 3.3", "1950 7.2 kg, whole articles 21.6"}, lines)
	// By hand: the bottle of 10 l is no limited quantity (120 ml), the rest may be.
	require.Equal(t, "10", r.PointsSmall.String())
	require.True(t, r.WithinSmall)
	require.True(t, r.Goods[0].AtMost, "a bottle's water capacity is at most its room")
}

// Table A: factors and inner sizes of each number, as read in the 2017 text.
func TestFindSubstance(t *testing.T) {
	t.Parallel()
	for cell, want := range map[string]struct {
		category int
		innerUL  units.Quantity
		tunnel   string
	}{
		"1950 5F": {2, 1_000_000, "D"}, "1950 5a": {3, 1_000_000, "E"}, "1219": {2, 1_000_000, "D/E"}, "UN 1203": {2, 1_000_000, "D/E"},
		"1993 II": {2, 1_000_000, "D/E"}, "1133 II": {2, 5_000_000, "D/E"}, "1268 III": {3, 5_000_000, "D/E"}, "3082": {3, 5_000_000, ""},
		"un1066": {3, 120_000, "E"}, "1013": {3, 120_000, "C/E"}, "2037 5A": {3, 1_000_000, "E"}, "3164": {3, 120_000, "E"}, "3480": {2, 0, "E"},
	} {
		f, err := transport.FindSubstance(cell)
		require.NoError(t, err, cell)
		require.Equal(t, want.category, f.Category, cell)
		require.Equal(t, want.innerUL, f.InnerUL, cell)
		require.Equal(t, want.tunnel, f.Tunnel, cell)
		require.Empty(t, f.Taken, cell)
	}
	f, err := transport.FindSubstance("1950")
	require.NoError(t, err)
	require.Equal(t, "5F", f.Code)
	require.Contains(t, f.Taken, "counted as flammable")
	for cell, says := range map[string]string{
		"9999": "UN 9999 is not in the table", "1993": "expected 1993 II", "1993 I": "expected 1993 II", "2037": "expected 2037 5A",
		"": "expected four digits", "UN": "expected four digits", "195": "expected four digits", "1950 5F II": "expected four digits", "19 50": "expected four digits",
	} {
		_, err := transport.FindSubstance(cell)
		require.ErrorIs(t, err, transport.ErrGoods, cell)
		require.ErrorContains(t, err, says, cell)
	}
}

// A cylinder counts by the water capacity stamped on it, exactly, whatever room it takes: by
// hand, two of 5 l in category 3 (a point a litre) are 10 points. Source: ADR 1.1.3.6.3.
func TestRoadForStampedCylinders(t *testing.T) {
	t.Parallel()
	n2 := nitrogen(9_500_000)
	n2.Part.WaterUL, n2.Quantity, n2.Containers, n2.RoomUL = ul(5_000_000), 2, 2, ul(19_000_000)
	r, err := transport.RoadFor([]transport.Item{n2}, inForce)
	require.NoError(t, err)
	require.Equal(t, "10", r.Goods[0].Amount.String())
	require.Equal(t, "10", r.Points.String())
	require.False(t, r.Goods[0].AtMost)
	require.False(t, r.Goods[0].Small)
	n2.Part.WaterUL, n2.RoomUL = ul(120_000), nil // the largest inner packaging of limited quantities (ADR 3.2, table A, 7a)
	r, err = transport.RoadFor([]transport.Item{n2}, inForce)
	require.NoError(t, err)
	require.Equal(t, "0.24", r.Points.String())
	require.True(t, r.Goods[0].Small)
}

// What cannot be counted is named, and nothing is said to be within the limit.
func TestRoadForUnknown(t *testing.T) {
	t.Parallel()
	bare := nitrogen(0)
	bare.RoomUL, bare.Part.PackedUL = nil, nil
	oil := liquid("OIL", "", 1_000_000)
	oil.Part.Kind = "oil"
	r, err := transport.RoadFor([]transport.Item{aerosols(1, "1950"), liquid("X", "1234", 1), liquid("X", "1234", 1), bare, oil, liquid("Y", "1993", 1)}, inForce)
	require.NoError(t, err)
	require.Equal(t, "1.8", r.Points.String())
	require.False(t, r.Within)
	require.False(t, r.WithinSmall)
	require.Len(t, r.Unknown, 3)
	require.Contains(t, r.Unknown[0], "X: UN 1234 is not in the table")
	require.Contains(t, r.Unknown[1], "N2: its l water capacity is not known")
	require.Contains(t, r.Unknown[2], "Y: found \"1993\", expected 1993 II")
	require.Equal(t, []string{"OIL"}, r.Confirm)
}

// By hand: 3082 in bottles of a litre is free by special provision 375, in cans of 6 l it
// counts; batteries have no limited quantity.
func TestRoadForSmall(t *testing.T) {
	t.Parallel()
	small, large := liquid("S", "3082", 3_000_000), liquid("L", "3082", 6_000_000)
	large.LargestUL = 6_000_000
	battery := transport.Item{Part: planner.Part{Code: "BAT", Unit: units.PC, UNNumber: "3480", PackedUL: ul(500_000)}, Quantity: 2, Containers: 2, Grams: dec("1500")}
	r, err := transport.RoadFor([]transport.Item{small, large, battery}, inForce)
	require.NoError(t, err)
	require.Equal(t, "13.5", r.Points.String()) // 3 + 6 + 1.5 x 3
	require.Equal(t, "10.5", r.PointsSmall.String())
	require.True(t, r.Goods[0].Free)
	require.False(t, r.Goods[1].Small)
	require.False(t, r.Goods[2].Small)
}

// The rules have a last day, and beyond it they warn.
func TestWarning(t *testing.T) {
	t.Parallel()
	require.Empty(t, transport.ADR.Warning(day.Of(2026, 12, 31)))
	require.Contains(t, transport.ADR.Warning(day.Of(2027, 1, 1)), "out of date")
	require.Contains(t, transport.ADR.Warning(day.Of(2024, 12, 31)), "does not hold yet")
	r, err := transport.RoadFor(nil, day.Of(2027, 6, 1))
	require.NoError(t, err)
	require.Contains(t, r.Warning, "ADR: this is the edition of 2025-01-01 to 2026-12-31")
	require.True(t, r.Within)
}

// Points grow with what is packed, do not depend on its order, and without what is small
// are never more.
func TestRoadForProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var items []transport.Item
		for range rapid.IntRange(0, 6).Draw(t, "items") {
			switch rapid.IntRange(0, 2).Draw(t, "kind") {
			case 0:
				items = append(items, aerosols(rapid.Int64Range(1, 50).Draw(t, "cans"), rapid.SampledFrom([]string{"1950", "1950 5F"}).Draw(t, "un")))
			case 1:
				items = append(items, liquid(rapid.SampledFrom([]string{"A", "B"}).Draw(t, "code"), "1219", units.Quantity(rapid.Int64Range(1, 9_000_000).Draw(t, "ul"))))
			default:
				items = append(items, nitrogen(units.Quantity(rapid.Int64Range(1, 50_000_000).Draw(t, "room"))))
			}
		}
		r, err := transport.RoadFor(items, inForce)
		require.NoError(t, err)
		require.True(t, r.PointsSmall.LessThanOrEqual(r.Points))
		require.Equal(t, r.Points.LessThanOrEqual(decimal.NewFromInt(transport.RoadLimit)), r.Within)
		turned := append([]transport.Item(nil), items...)
		for i, j := 0, len(turned)-1; i < j; i, j = i+1, j-1 {
			turned[i], turned[j] = turned[j], turned[i]
		}
		back, err := transport.RoadFor(turned, inForce)
		require.NoError(t, err)
		require.True(t, r.Points.Equal(back.Points))
		more, err := transport.RoadFor(append(items, aerosols(1, "1950 5F")), inForce)
		require.NoError(t, err)
		require.True(t, more.Points.GreaterThan(r.Points))
	})
}

// The scenario, section 7: an aerosol and a nitrogen bottle never fly; oil needs a word.
func TestAirFor(t *testing.T) {
	t.Parallel()
	no := false
	oil := liquid("OIL", "", 1)
	oil.Part.Kind = "oil"
	seal := transport.Item{Part: planner.Part{Code: "WIP", Kind: "seal", Unit: units.PC}, Quantity: 1, Place: "FC-1"}
	bottle := nitrogen(9_500_000).Part
	bottle.ByAir = &no
	a := transport.AirFor([]transport.Item{seal, oil, aerosols(2, "1950"), aerosols(1, "1950")}, []planner.Part{bottle, seal.Part, oil.Part}, inForce)
	var got []string
	for _, f := range a.Flagged {
		got = append(got, f.Part+" "+string(f.Verdict))
	}
	require.Equal(t, []string{"AER never", "N2 never", "OIL carrier's word"}, got)
	require.Equal(t, 1, a.Never, "of what is packed, one must come out")
	require.False(t, a.Flagged[1].Aboard)
	require.Equal(t, "gas bottles stay at home: hire one there", a.Flagged[1].Why)
	// The sheet's own no is never overruled, and an unknown number is never passed.
	a = transport.AirFor([]transport.Item{{Part: planner.Part{Code: "A", UNNumber: "3164", ByAir: &no}}, {Part: planner.Part{Code: "B", UNNumber: "9999"}}}, nil, day.Of(2027, 1, 1))
	require.Equal(t, transport.NeverFlies, a.Flagged[0].Verdict)
	require.Equal(t, "the parts sheet says it does not go by air", a.Flagged[0].Why)
	require.Equal(t, transport.AskCarrier, a.Flagged[1].Verdict)
	require.Contains(t, a.Flagged[1].Why, "UN 9999 is not in the table")
	require.Contains(t, a.Warning, "out of date")
}
