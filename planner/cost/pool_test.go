package cost_test

import (
	"math/big"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner/cost"
)

// formulas are the two ways, each as a pool of whole hundredths and as the calculation.
var formulas = []struct {
	pool func() *cost.Pool
	calc func([]cost.Move) (cost.Valuation, error)
}{{cost.NewFIFO, cost.FIFO}, {cost.NewAverage, cost.WeightedAverage}}

// pooled values moves with a pool: the cost of each out, what is left and its value.
func pooled(p *cost.Pool, moves []cost.Move) cost.Valuation {
	const scale = 2
	issues := map[int64]*big.Rat{}
	var n int64
	put := func(pieces []cost.Piece) {
		for _, x := range pieces {
			if issues[x.Of] == nil {
				issues[x.Of] = new(big.Rat)
			}
			issues[x.Of].Add(issues[x.Of], new(big.Rat).Mul(p.Price(x.Layer), big.NewRat(x.Quantity, 1)))
		}
	}
	for _, m := range moves {
		if m.In.IsPositive() {
			put(p.In(m.In.Shift(scale).IntPart(), new(big.Rat).Quo(m.UnitCost.Rat(), big.NewRat(100, 1))))
			continue
		}
		put(p.Out(n, m.Out.Shift(scale).IntPart()))
		n++
	}
	put(p.Settle(func(int64) *big.Rat { return new(big.Rat) }))
	left, value := p.Left()
	v := cost.Valuation{Quantity: decimal.New(left, -scale), Value: exact(value)}
	for i := range n {
		v.Issues = append(v.Issues, exact(issues[i]))
	}
	return v
}

func exact(r *big.Rat) decimal.Decimal { return decimal.RequireFromString(r.FloatString(30)) }

// The published cases of TestValuations, kept layer by layer: ACC-02 (Wild) and ACC-07.
func TestPoolPublished(t *testing.T) {
	t.Parallel()
	wild := []cost.Move{in("10", "91"), in("15", "106"), out("20"), in("20", "115"), in("10", "119"), out("23")}
	litres := []cost.Move{in("4", "11.2"), out("1.35"), in("10", "10.45"), out("3.85"), out("2.1"), in("5", "12.05"), out("6.4")}
	require.Equal(t, []string{"1970", "2600", "12", "1420"}, text(pooled(cost.NewFIFO(), wild)))
	require.Equal(t, []string{"15.12", "42.22", "21.945", "66.88", "5.3", "63.385"}, text(pooled(cost.NewFIFO(), litres)))
	require.Equal(t, []string{"2000", "2622", "12", "1368"}, text(pooled(cost.NewAverage(), wild)))
	require.Equal(t, []string{"15.12", "40.8373913043478", "22.2749407114625", "71.8318867605824", "5.3", "59.4857812236073"}, text(pooled(cost.NewAverage(), litres)))
}

// A pool says what the calculation of the same formula says, to far below a minor unit.
func TestPoolIsTheCalculation(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var moves []cost.Move
		var there decimal.Decimal
		for range rapid.IntRange(1, 30).Draw(t, "moves") {
			quantity := decimal.New(rapid.Int64Range(1, 9999).Draw(t, "quantity"), -2)
			if there.GreaterThanOrEqual(quantity) && rapid.Bool().Draw(t, "out") {
				moves, there = append(moves, cost.Move{Out: quantity}), there.Sub(quantity)
				continue
			}
			moves, there = append(moves, cost.Move{In: quantity, UnitCost: decimal.New(rapid.Int64Range(0, 99999).Draw(t, "price"), -2)}), there.Add(quantity)
		}
		for _, f := range formulas {
			want, err := f.calc(moves)
			require.NoError(t, err)
			got := pooled(f.pool(), moves)
			require.Equal(t, want.Quantity.String(), got.Quantity.String())
			require.Len(t, got.Issues, len(want.Issues))
			for i := range want.Issues {
				require.Equal(t, want.Issues[i].StringFixed(12), got.Issues[i].StringFixed(12))
			}
			require.Equal(t, want.Value.StringFixed(12), got.Value.StringFixed(12))
		}
	})
}

// By hand: 10 at 2.00 and 10 at 3.00. Of 12 out, 10 cost 2.00 and 2 cost 3.00; 3 that come
// back are the last three: 2 at 3.00 and 1 at 2.00. At the average all cost 2.50.
func TestPoolTakesBackWhatWentLast(t *testing.T) {
	t.Parallel()
	p := cost.NewFIFO()
	p.In(10, big.NewRat(2, 1))
	p.In(10, big.NewRat(3, 1))
	require.Equal(t, []cost.Piece{{Of: 1, Layer: 0, Quantity: 10}, {Of: 1, Layer: 1, Quantity: 2}}, p.Out(1, 12))
	require.Equal(t, []cost.Piece{{Of: 2, Layer: 1, Quantity: -2}, {Of: 2, Layer: 0, Quantity: -1}}, p.Back(2, 3, nil))
	require.Equal(t, []cost.Piece{{Of: 3, Layer: 0, Quantity: 1}, {Of: 3, Layer: 1, Quantity: 1}}, p.Out(3, 2))

	p = cost.NewAverage()
	p.In(10, big.NewRat(2, 1))
	p.In(10, big.NewRat(3, 1))
	require.Equal(t, "5/2", p.Price(p.Out(1, 12)[0].Layer).String())
	require.Equal(t, "5/2", p.Price(p.Back(2, 3, nil)[0].Layer).String())
	require.False(t, p.Unreceive(10, big.NewRat(3, 1)), "27.50 less 30.00 would be below 0")
}

// A receipt that was a mistake leaves no trace in what the others cost. By hand: 10 at 2.00
// and 10 at 3.00, 2 out; without the second, 8 are left of 20.00 less what the two cost.
func TestPoolUnreceives(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		pool *cost.Pool
		left string
	}{{cost.NewFIFO(), "16"}, {cost.NewAverage(), "15"}} {
		tt.pool.In(10, big.NewRat(2, 1))
		tt.pool.In(10, big.NewRat(3, 1))
		tt.pool.Out(1, 2)
		require.True(t, tt.pool.Unreceive(10, big.NewRat(3, 1)))
		left, value := tt.pool.Left()
		require.EqualValues(t, 8, left)
		require.Equal(t, tt.left, value.RatString())
	}
}

// What went before it came waits for the next receipt, and costs what that costs.
func TestPoolWaits(t *testing.T) {
	t.Parallel()
	for _, f := range formulas {
		p := f.pool()
		require.Empty(t, p.Out(1, 5))
		require.Equal(t, []cost.Piece{{Of: 1, Layer: 0, Quantity: 2}, {Of: 2, Layer: 0, Quantity: -2}}, p.Back(2, 2, big.NewRat(9, 1)))
		require.Equal(t, []cost.Piece{{Of: 1, Layer: 1, Quantity: 3}}, p.In(7, big.NewRat(4, 1)))
		left, value := p.Left()
		require.EqualValues(t, 4, left)
		require.Equal(t, "16", value.RatString())
	}
}

// What only the definitions say. By hand: 5 at 2.00 and 5 at 18.00 are 10.00 each; with 6
// gone, 4 are left of the receipt of 5, which cannot be taken back. More than ever went is
// found, at the newest price. What waits and never comes leaves less than nothing.
func TestPoolAtItsEdges(t *testing.T) {
	t.Parallel()
	p := cost.NewAverage()
	p.In(5, big.NewRat(2, 1))
	p.In(5, big.NewRat(18, 1))
	p.Out(1, 6)
	require.False(t, p.Unreceive(5, big.NewRat(2, 1)), "one of them has gone")

	p = cost.NewAverage()
	p.In(5, new(big.Rat))
	p.In(5, big.NewRat(2, 1))
	require.True(t, p.Unreceive(5, big.NewRat(2, 1)), "what came for nothing is left")
	require.True(t, p.Unreceive(5, new(big.Rat)), "and the last of it can go too")
	left, _ := p.Left()
	require.Zero(t, left)

	p = cost.NewFIFO()
	p.In(10, big.NewRat(2, 1))
	p.Out(1, 3)
	p.Back(2, 5, nil)
	left, value := p.Left()
	require.EqualValues(t, 12, left)
	require.Equal(t, "24", value.RatString())

	for _, f := range formulas {
		p := f.pool()
		p.In(4, big.NewRat(2, 1))
		p.Out(1, 7)
		p.Settle(nil)
		left, value := p.Left()
		require.EqualValues(t, -3, left)
		require.Equal(t, "-6", value.RatString())
	}
}
