package db_test

import (
	"math/big"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/spend"
	"roundkit/planner/units"
)

func spendBy(t *testing.T, s *db.Store, view string, from *day.Day) spend.Result {
	t.Helper()
	o := db.SpendOptions{View: view, From: from}
	snap, err := s.Snapshot(t.Context(), o.SnapshotOptions)
	require.NoError(t, err)
	outlook, err := forecast.New(snap)
	require.NoError(t, err)
	facts, err := s.Spend(t.Context(), o, snap)
	require.NoError(t, err)
	r, err := spend.Of(outlook, view, facts)
	require.NoError(t, err)
	return r
}

func rowOf(r spend.Result, key string) spend.Row {
	for _, x := range r.Rows {
		if x.Key == key {
			return x
		}
	}
	return spend.Row{}
}

// figures are those that a closing keeps, exactly.
func figures(r spend.Result) map[string][4]string {
	out := map[string][4]string{}
	for _, x := range r.Rows {
		out[x.Key] = [4]string{x.Used.RatString(), x.AllocationList.RatString(), x.Scrapped.RatString(), x.Difference.RatString()}
	}
	return out
}

func requireVerified(t *testing.T, s *db.Store) {
	t.Helper()
	all, err := s.Verify(t.Context())
	require.NoError(t, err)
	require.NotEmpty(t, all)
	for _, v := range all {
		require.Empty(t, v.Faults, v.What)
	}
}

func closeUpToMay(t *testing.T, s *db.Store) {
	t.Helper()
	for _, m := range []time.Month{1, 2, 3, 4, 5} {
		_, err := s.CloseMonth(t.Context(), db.MonthClose{Month: day.Of(2027, m, 17), Person: "u4"})
		require.NoError(t, err, m)
	}
}

// Closing changes no figure of any view, and what is kept is what the rows say.
func TestClosingChangesNothing(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	requireVerified(t, s)
	before := map[string]map[string][4]string{}
	for _, v := range spend.Views() {
		before[v] = figures(spendBy(t, s, v, nil))
	}
	closeUpToMay(t, s)
	for _, v := range spend.Views() {
		require.Equal(t, before[v], figures(spendBy(t, s, v, nil)), v)
	}
	requireVerified(t, s)
}

// What comes after a month was closed stands in the open one: a job of May recorded now, and
// a freight bill for an order whose parts were used. May keeps every figure; all months
// together cost what the rows cost at today's prices.
func TestLateRecordsStandInTheOpenMonth(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	closeUpToMay(t, s)
	was := spendBy(t, s, "month", nil)

	_, err = s.Record(t.Context(), db.Request{ID: newID(t), Kind: "job", Person: "u1", At: time.Date(2027, 5, 14, 10, 0, 0, 0, time.UTC),
		Job:      &planner.Job{Service: "LLS", Assembly: "F02", Round: "GLE"},
		JobParts: []planner.JobPart{{Part: "CRW-10", Quantity: quantity(2)}, {Part: "OIL-B68", Quantity: quantity(units.Quantity(40_000))}}})
	require.NoError(t, err)
	order := usedOrder(t, s)
	done, err := s.AddCharge(t.Context(), db.ChargeAdd{ID: newID(t), Line: "freight", Amount: decimal.RequireFromString("33.33"), Order: order})
	require.NoError(t, err)
	sum := decimal.Zero
	for _, x := range done.Shares {
		sum = sum.Add(x.Amount)
	}
	require.Equal(t, "33.33", sum.String())

	is := spendBy(t, s, "month", nil)
	for _, m := range []string{"2027-01", "2027-02", "2027-03", "2027-04", "2027-05"} {
		require.Equal(t, figures(was)[m], figures(is)[m], m)
		require.Equal(t, rowOf(was, m).Bought, rowOf(is, m).Bought, m)
	}
	require.NotEmpty(t, is.Late)
	require.NotEmpty(t, is.Corrections)
	require.Positive(t, rowOf(is, "2027-06").Used.Cmp(rowOf(was, "2027-06").Used))

	// asked for days, everything is added up from the rows, at today's costs
	first := day.Of(2020, 1, 1)
	for _, v := range spend.Views() {
		kept, rows := spendBy(t, s, v, nil), spendBy(t, s, v, &first)
		require.Equal(t, rows.Total.Used.RatString(), kept.Total.Used.RatString(), v)
		require.Equal(t, rows.Total.Difference.RatString(), kept.Total.Difference.RatString(), v)
		if v != "month" {
			require.Equal(t, figures(rows), figures(kept), v)
		}
	}
	requireVerified(t, s)
}

// usedOrder is an order whose lots were used before June.
func usedOrder(t *testing.T, s *db.Store) (code string) {
	t.Helper()
	require.NoError(t, s.Pool().QueryRow(t.Context(), `
		SELECT l.order_code FROM movement m JOIN lot l ON l.id = m.lot_id JOIN entry e ON e.id = m.entry_id JOIN place p ON p.id = m.to_id
			JOIN lot_cost c ON c.lot_id = l.id
		WHERE p.code = 'used' AND l.order_code IS NOT NULL AND e.happened_at < '2027-06-01' AND c.amount > 0
		GROUP BY 1 ORDER BY 1 LIMIT 1`).Scan(&code))
	return code
}

func TestMonthsThatCannotBeClosed(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	refused := func(m day.Day, says string) {
		t.Helper()
		_, err := s.CloseMonth(t.Context(), db.MonthClose{Month: m})
		require.ErrorIs(t, err, db.ErrRefused)
		require.ErrorContains(t, err, says)
	}
	refused(day.Of(2027, 6, 1), "expected a month that is over: it ends with 2027-06-30")
	refused(day.Of(2027, 5, 1), "to be closed first: it has records")
	closeUpToMay(t, s)
	refused(day.Of(2027, 4, 1), "expected a month after 2027-05, the last that is closed")
	for _, sql := range []string{"DELETE FROM closed_total", "UPDATE closed_month SET last_entry = 0", "DELETE FROM charge", "TRUNCATE closed_price"} {
		_, err := s.Pool().Exec(t.Context(), sql)
		require.ErrorContains(t, err, "append-only", sql)
	}
	_, err = s.Pool().Exec(t.Context(), "UPDATE exchange_rate SET rate = rate * 2 WHERE currency = 'GBP'")
	require.ErrorContains(t, err, "closed months were reckoned with")
}

// What is planted in the tables is found: verify has been seen to fail.
func TestVerifyFindsPlantedFaults(t *testing.T) {
	t.Parallel()
	tests := []struct{ plant, what string }{
		{"UPDATE balance SET quantity = quantity + 1 WHERE ctid = (SELECT ctid FROM balance WHERE kept AND quantity > 0 LIMIT 1)", "every balance is the sum of its movements"},
		{"UPDATE balance SET quantity = quantity + 1 WHERE ctid = (SELECT ctid FROM balance WHERE kept AND quantity > 0 LIMIT 1)", "every lot sums to zero over all places"},
		{"ALTER TABLE closed_total DISABLE TRIGGER USER; UPDATE closed_total SET num = num + 1 WHERE ctid = (SELECT ctid FROM closed_total WHERE figure = 'used' LIMIT 1)",
			"closed months hold what their rows say"},
		{"UPDATE balance SET quantity = quantity + 1 WHERE ctid = (SELECT ctid FROM balance WHERE kept AND quantity > 0 LIMIT 1)",
			"opening + purchases - used - scrapped - missing = what is there, part by part"},
	}
	for _, tt := range tests {
		t.Run(tt.what, func(t *testing.T) {
			t.Parallel()
			s := store(t)
			_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
			require.NoError(t, err)
			closeUpToMay(t, s)
			_, err = s.Pool().Exec(t.Context(), tt.plant)
			require.NoError(t, err)
			all, err := s.Verify(t.Context())
			require.NoError(t, err)
			for _, v := range all {
				if v.What == tt.what {
					require.NotEmpty(t, v.Faults)
					return
				}
			}
			t.Fatal("not checked")
		})
	}
}

// A charge is recorded once, however often it is sent, and refused with all its faults.
func TestCharges(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	was := spendBy(t, s, "round", nil)
	c := db.ChargeAdd{ID: newID(t), Line: "customs lists and agents", Amount: decimal.RequireFromString("85.50"), Round: "ZDR"}
	for i := range 2 {
		done, err := s.AddCharge(t.Context(), c)
		require.NoError(t, err)
		require.Equal(t, i == 1, done.Repeat)
	}
	more := new(big.Rat).Sub(rowOf(spendBy(t, s, "round", nil), "ZDR").Charges, rowOf(was, "ZDR").Charges)
	require.Equal(t, "85.50", more.FloatString(2))
	_, err = s.AddCharge(t.Context(), db.ChargeAdd{ID: newID(t), Line: "frieght", Round: "ZRD"})
	require.ErrorIs(t, err, db.ErrRefused)
	for _, says := range []string{"did you mean freight?", "did you mean ZDR?", "found an amount of 0"} {
		require.ErrorContains(t, err, says)
	}
}

// A charge in another currency than the lot's is part of what the lot cost, at the rate of
// the day it came in; the workbook that the season was loaded from still loads over it, and
// a saved one keeps the whole cost. By hand: 10 of a lot at 20.00 GBP and 5.80 EUR, at 1.16:
// 29.00 EUR in all, 25.00 GBP.
func TestChargeInAnotherCurrency(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	_, err = s.Pool().Exec(t.Context(), `INSERT INTO orders (season_id, code, supplier, currency, pos) SELECT id, 'PO-GBP', (SELECT min(code) FROM supplier), 'GBP', 99 FROM season`)
	require.NoError(t, err)
	_, err = s.Pool().Exec(t.Context(), `INSERT INTO lot (season_id, code, part_id, order_code, received_on, quantity, currency, pos)
		SELECT s.id, 'L-GBP', p.id, 'PO-GBP', '2027-06-01', 10, 'GBP', 99 FROM season AS s, part AS p WHERE p.code = 'WIP-40'`)
	require.NoError(t, err)
	_, err = s.Pool().Exec(t.Context(), `INSERT INTO lot_cost (lot_id, kind, amount, currency, source, known_on) SELECT id, 'landed', 20, 'GBP', 'workbook', '2027-06-01' FROM lot WHERE code = 'L-GBP'`)
	require.NoError(t, err)
	_, err = s.Pool().Exec(t.Context(), `INSERT INTO exchange_rate (currency, from_on, rate, pos) VALUES ('GBP', '2027-06-01', 1.16, 99) ON CONFLICT (currency, from_on) DO UPDATE SET rate = 1.16`)
	require.NoError(t, err)
	_, err = s.AddCharge(t.Context(), db.ChargeAdd{ID: newID(t), Line: "freight", Amount: decimal.RequireFromString("5.80"), Currency: "EUR", Order: "PO-GBP"})
	require.NoError(t, err)
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	for _, l := range snap.Lots {
		if l.Code == "L-GBP" {
			require.Equal(t, "25", l.Cost.String())
			require.Equal(t, "20", l.FirstCost.String())
			return
		}
	}
	t.Fatal("the lot is gone")
}

// The workbook that a season was loaded from loads over it again after a charge was spread
// over its lots: it says what a lot cost at first, and the book knows better.
func TestFirstWorkbookLoadsAfterACharge(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	_, err = s.AddCharge(t.Context(), db.ChargeAdd{ID: newID(t), Line: "freight", Amount: decimal.RequireFromString("33.33"), Order: usedOrder(t, s)})
	require.NoError(t, err)
	was := figures(spendBy(t, s, "round", nil))
	_, err = s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	require.Equal(t, was, figures(spendBy(t, s, "round", nil)))
}
