package spend_test

import (
	"math/big"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner/spend"
)

// Every printed row still balances, every column adds up to its printed total, and no
// figure is further than a cent from its exact value.
func TestPrintTable(t *testing.T) {
	t.Parallel()
	cent := big.NewRat(1, 100)
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.IntRange(2, 7).Draw(t, "columns")
		rows := make([][]*big.Rat, rapid.IntRange(1, 12).Draw(t, "rows"))
		for i := range rows {
			last := new(big.Rat)
			for range width - 1 {
				x := big.NewRat(rapid.Int64Range(-99_999, 99_999).Draw(t, "amount"), rapid.SampledFrom([]int64{1, 3, 7, 100, 800, 997}).Draw(t, "of"))
				rows[i] = append(rows[i], x)
				last.Sub(last, x)
			}
			rows[i] = append(rows[i], last)
		}
		printed := spend.PrintTable(rows, 2)
		require.Len(t, printed, len(rows)+1)
		sums := make([]decimal.Decimal, width)
		for i, r := range printed {
			require.True(t, decimal.Sum(r[0], r[1:]...).IsZero(), "row %d: %s", i, r)
			for c, d := range r {
				if i == len(rows) {
					require.Equal(t, sums[c].String(), d.String(), "column %d", c)
					continue
				}
				sums[c] = sums[c].Add(d)
				away := new(big.Rat).Sub(d.Rat(), rows[i][c])
				require.Negative(t, away.Abs(away).Cmp(cent), "%s for %s", d, rows[i][c])
			}
		}
	})
}

// By hand: 0.125 and 0.125 in, 0.25 there: one of the two goes up, not both.
func TestPrintTableByHand(t *testing.T) {
	t.Parallel()
	eighth := func() *big.Rat { return big.NewRat(125, 1000) }
	printed := spend.PrintTable([][]*big.Rat{{eighth(), eighth(), big.NewRat(-25, 100)}}, 2)
	require.Equal(t, "-0.25", printed[0][2].String())
	require.Equal(t, "0.25", printed[0][0].Add(printed[0][1]).String())
	require.NotEqual(t, printed[0][0].String(), printed[0][1].String())
	require.Empty(t, spend.PrintTable(nil, 2))
}
