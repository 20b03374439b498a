package ledger

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/units"
)

// What a job takes by itself. By hand: a damper's oil is 185 ml typical of 170 to 200 with 15 %
// on top (scenario, section 5 and known answer 3): 185 x 1.15 = 212.75 ml. Without a typical
// amount the middle counts: (3 + 6)/2 = 4.5, with 8 % 4.86. Half a base unit goes to the even
// one: 1 ul and 50 % are 1.5 ul, 2; 5 ul and 50 % are 7.5, 8; 3 ul and 50 % are 4.5, 4.
func TestUsual(t *testing.T) {
	t.Parallel()
	q := func(n int64) *units.Quantity { v := units.Quantity(n); return &v }
	percent := func(text string) planner.Decimal { v := decimal.RequireFromString(text); return &v }
	for _, c := range []struct {
		name string
		line planner.ServiceLine
		want units.Quantity
		none bool
	}{
		{name: "fixed", line: planner.ServiceLine{Quantity: q(2)}, want: 2},
		{name: "typical and its allowance", line: planner.ServiceLine{Min: q(170_000), Typical: q(185_000), Max: q(200_000), AllowancePercent: percent("15")}, want: 212_750},
		{name: "no allowance", line: planner.ServiceLine{Min: q(3_000), Typical: q(5_000), Max: q(7_000)}, want: 5_000},
		{name: "the middle and its allowance", line: planner.ServiceLine{Min: q(3_000), Max: q(6_000), AllowancePercent: percent("8")}, want: 4_860},
		{name: "half down to even", line: planner.ServiceLine{Min: q(3), Typical: q(3), Max: q(3), AllowancePercent: percent("50")}, want: 4},
		{name: "half up to even", line: planner.ServiceLine{Min: q(5), Typical: q(5), Max: q(5), AllowancePercent: percent("50")}, want: 8},
		{name: "by chance", line: planner.ServiceLine{Quantity: q(2), DryPercent: percent("25")}, none: true},
		{name: "by an unknown chance in the wet", line: planner.ServiceLine{Quantity: q(1), BetaWetA: percent("2")}, none: true},
		{name: "a spring", line: planner.ServiceLine{OwnPart: "fork spring"}, none: true},
	} {
		got, ok := Usual(c.line)
		require.Equal(t, !c.none, ok, c.name)
		require.Equal(t, c.want, got, c.name)
	}
}

// Both are told: what left the bottle, and what of it is the allowance.
func TestAllowances(t *testing.T) {
	t.Parallel()
	q := func(n int64) *units.Quantity { v := units.Quantity(n); return &v }
	fifteen := decimal.NewFromInt(15)
	b := &planner.Book{}
	b.Parts = []planner.Part{{Code: "OIL", Unit: units.ML}, {Code: "RING", Unit: units.PC}, {Code: "BATH", Unit: units.ML}}
	b.Assemblies = []planner.Assembly{{Code: "F1", DamperOil: "OIL"}}
	b.ServiceLines = []planner.ServiceLine{
		{Service: "DMP", OwnPart: "damper oil", Min: q(170_000), Typical: q(185_000), Max: q(200_000), AllowancePercent: &fifteen},
		{Service: "DMP", Part: "RING", Quantity: q(2)},
		{Service: "DMP", Part: "BATH", Min: q(30_000), Max: q(50_000), AllowancePercent: &fifteen},
	}
	took := func(oil, bath units.Quantity) []planner.JobPart {
		return []planner.JobPart{{Part: "OIL", Quantity: &oil}, {Part: "RING", Quantity: q(2)}, {Part: "BATH", Quantity: &bath}}
	}
	require.Equal(t, []string{"OIL 212.75 ml: 185 ml and 15 % allowance", "BATH 46 ml: 40 ml and 15 % allowance"}, Allowances(b, "DMP", "F1", took(212_750, 46_000)))
	require.Equal(t, []string{"BATH 46 ml: 40 ml and 15 % allowance"}, Allowances(b, "DMP", "F1", took(190_000, 46_000)), "said otherwise: as said")
	require.Empty(t, Allowances(b, "LLS", "F1", took(212_750, 46_000)))
}
