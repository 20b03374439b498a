package db_test

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/spend"
)

// By each cost formula the demo season balances to nothing, part by part, today and as of a
// past day; what the views by round, rider and month say was used, scrapped and missing is
// what the balance says; and closing months changes none of it.
func TestFormulasOnTheLedger(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	may := day.Of(2027, 5, 20)
	for closed := range 2 {
		if closed == 1 {
			closeUpToMay(t, s)
		}
		for _, asOf := range []*day.Day{nil, &may} {
			sums := map[spend.Formula]string{}
			for _, formula := range spend.Formulas() {
				o := db.SnapshotOptions{AsOf: asOf}
				snap, err := s.Snapshot(t.Context(), o)
				require.NoError(t, err)
				all, err := s.Balances(t.Context(), o, formula, snap)
				require.NoError(t, err)
				require.NotEmpty(t, all)
				for _, b := range all {
					require.False(t, b.Apart(), "%s %s: %s, %d", formula, b.Part, b.Remainder, b.Left)
				}
				used, scrapped, difference := new(big.Rat), new(big.Rat), new(big.Rat)
				for _, b := range all {
					used.Add(used, b.Used)
					scrapped.Add(scrapped, b.Scrapped)
					difference.Add(difference, b.Difference)
				}
				sums[formula] = used.FloatString(6)
				outlook, err := forecast.New(snap)
				require.NoError(t, err)
				for _, view := range []string{"round", "rider", "month", "kind"} {
					facts, err := s.Spend(t.Context(), db.SpendOptions{SnapshotOptions: o, View: view, Valued: formula}, snap)
					require.NoError(t, err)
					r, err := spend.Of(outlook, view, facts)
					require.NoError(t, err)
					require.Equal(t, formula, r.Valued)
					for _, x := range []struct{ want, got *big.Rat }{{used, r.Total.Used}, {scrapped, r.Total.Scrapped}, {difference, r.Total.Difference}} {
						require.Zero(t, x.want.Cmp(x.got), "%s by %s: %s, %s", formula, view, x.want.FloatString(4), x.got.FloatString(4))
					}
				}
			}
			require.NotEqual(t, sums[spend.Lot], sums[spend.Average], "the demo has parts bought at two prices")
		}
	}
}

// Asked for some days, a formula still starts with the season's first record.
func TestFormulaOfSomeDays(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	outlook, err := forecast.New(snap)
	require.NoError(t, err)
	used := func(from, to *day.Day) *big.Rat {
		facts, err := s.Spend(t.Context(), db.SpendOptions{View: "round", Valued: spend.FIFO, From: from, To: to}, snap)
		require.NoError(t, err)
		r, err := spend.Of(outlook, "round", facts)
		require.NoError(t, err)
		return r.Total.Used
	}
	last, first := day.Of(2027, 4, 30), day.Of(2027, 5, 1)
	parts := new(big.Rat).Add(used(nil, &last), used(&first, nil))
	require.Positive(t, parts.Sign())
	require.Zero(t, parts.Cmp(used(nil, nil)))
}
