package cost_test

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner/cost"
)

func d(text string) decimal.Decimal { return decimal.RequireFromString(text) }

func in(quantity, unitCost string) cost.Move {
	return cost.Move{In: d(quantity), UnitCost: d(unitCost)}
}
func out(quantity string) cost.Move { return cost.Move{Out: d(quantity)} }

// Published cases ACC-02 (Wild) and ACC-07 (own, in litres): agreed by two programs.
func TestValuations(t *testing.T) {
	t.Parallel()
	wild := []cost.Move{in("10", "91"), in("15", "106"), out("20"), in("20", "115"), in("10", "119"), out("23")}
	litres := []cost.Move{in("4", "11.2"), out("1.35"), in("10", "10.45"), out("3.85"), out("2.1"), in("5", "12.05"), out("6.4")}

	fifo, err := cost.FIFO(wild)
	require.NoError(t, err)
	require.Equal(t, []string{"1970", "2600", "12", "1420"}, text(fifo))
	fifo, err = cost.FIFO(litres)
	require.NoError(t, err)
	require.Equal(t, []string{"15.12", "42.22", "21.945", "66.88", "5.3", "63.385"}, text(fifo))

	average, err := cost.WeightedAverage(wild)
	require.NoError(t, err)
	require.Equal(t, []string{"2000", "2622", "12", "1368"}, text(average))
	average, err = cost.WeightedAverage(litres)
	require.NoError(t, err)
	require.Equal(t, []string{"15.12", "40.8373913043478", "22.2749407114625", "71.8318867605824", "5.3", "59.4857812236073"}, text(average))
}

func text(v cost.Valuation) []string {
	var out []string
	for _, x := range append(v.Issues, v.Quantity, v.Value) {
		out = append(out, x.Round(13).String())
	}
	return out
}

func TestValuationsRefuse(t *testing.T) {
	t.Parallel()
	tests := []struct {
		moves []cost.Move
		says  string
	}{
		{[]cost.Move{in("1", "2"), out("3")}, "move 2: found out 3, expected at most the 1 there"},
		{[]cost.Move{out("1")}, "move 1: found out 1, expected at most the 0 there"},
		{[]cost.Move{{}}, "expected one of them above 0"},
		{[]cost.Move{{In: d("1"), Out: d("1")}}, "expected one of them above 0"},
		{[]cost.Move{in("1", "-2")}, "found a figure below 0"},
		{[]cost.Move{in("-1", "2")}, "found a figure below 0"},
	}
	for _, tt := range tests {
		for _, value := range []func([]cost.Move) (cost.Valuation, error){cost.FIFO, cost.WeightedAverage} {
			_, err := value(tt.moves)
			require.ErrorIs(t, err, cost.ErrMove)
			require.ErrorContains(t, err, tt.says)
		}
	}
}

// What went out and what is left is what came in, in quantity and in value, whichever
// way it is valued; and when all is out, nothing is left of the value.
func TestValuationsKeepTheValue(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var moves []cost.Move
		var bought, there decimal.Decimal
		for range rapid.IntRange(1, 30).Draw(t, "moves") {
			quantity := decimal.New(rapid.Int64Range(1, 9999).Draw(t, "quantity"), -2)
			if there.GreaterThanOrEqual(quantity) && rapid.Bool().Draw(t, "out") {
				moves, there = append(moves, cost.Move{Out: quantity}), there.Sub(quantity)
				continue
			}
			price := decimal.New(rapid.Int64Range(0, 99999).Draw(t, "price"), -2)
			moves, there = append(moves, cost.Move{In: quantity, UnitCost: price}), there.Add(quantity)
			bought = bought.Add(quantity.Mul(price))
		}
		for _, value := range []func([]cost.Move) (cost.Valuation, error){cost.FIFO, cost.WeightedAverage} {
			v, err := value(moves)
			require.NoError(t, err)
			require.Equal(t, there.String(), v.Quantity.String())
			require.Equal(t, bought.String(), decimal.Sum(v.Value, v.Issues...).String())
			if there.IsPositive() {
				v, err = value(append(moves, cost.Move{Out: there}))
				require.NoError(t, err)
				require.True(t, v.Value.IsZero(), v.Value)
			}
		}
	})
}

// Warren, Accounting: the standard-cost exercise and exercise 23-5.
func TestVariance(t *testing.T) {
	t.Parallel()
	v := cost.VarianceOf(cost.Spend{Quantity: d("183200"), Price: d("5.8")}, cost.Spend{Quantity: d("185000"), Price: d("6")})
	require.Equal(t, "-36640", v.Price.String())
	require.Equal(t, "-10800", v.Quantity.String())
	require.Equal(t, "-47440", v.Total.String())
	v = cost.VarianceOf(cost.Spend{Quantity: d("450"), Price: d("6.5")}, cost.Spend{Quantity: d("430"), Price: d("6.9")})
	require.Equal(t, "-180", v.Price.String())
	require.Equal(t, "138", v.Quantity.String())
	require.Equal(t, "-42", v.Total.String())
}

// In fractions the two variances are what they are in decimals.
func TestVariancesAreVarianceOf(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) decimal.Decimal {
			return decimal.New(rapid.Int64Range(0, 1_000_000).Draw(t, name), -3)
		}
		actual, standard := cost.Spend{Quantity: draw("aq"), Price: draw("ap")}, cost.Spend{Quantity: draw("sq"), Price: draw("sp")}
		want := cost.VarianceOf(actual, standard)
		price, quantity := cost.Variances(actual.Quantity.Rat(), actual.Quantity.Mul(actual.Price).Rat(), standard.Quantity.Rat(), standard.Price.Rat())
		require.Zero(t, want.Price.Rat().Cmp(price))
		require.Zero(t, want.Quantity.Rat().Cmp(quantity))
		require.Zero(t, want.Total.Rat().Cmp(price.Add(price, quantity)))
	})
}
