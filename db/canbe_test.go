package db_test

import (
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner/units"
)

// A slip of the year or of a key is refused before anything is written: the season is from
// 8 February to 15 October 2027, and is recorded from its first day on.
func TestWhatCannotBeRecorded(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	before := told(t, s, ledgerTold)
	act := func(when time.Time) db.Act { return db.Act{ID: newID(t), Person: "u1", At: when, Sure: true} }
	zone := zoneOf(t, "Europe/Vienna")
	_, err = s.CountPart(t.Context(), act(time.Date(2027, 2, 7, 23, 59, 0, 0, zone)), "T-D03", "CRW-10", 20)
	require.ErrorContains(t, err, "found the day 2027-02-07, expected one of 2027-02-08 to 2028-04-12")
	_, err = s.Receive(t.Context(), db.Receipt{Act: act(time.Time{}), Part: "CRW-10", Quantity: 10_000_000})
	require.ErrorContains(t, err, "expected at most 100000")
	_, err = s.Receive(t.Context(), db.Receipt{Act: act(time.Time{}), Part: "OIL-B68", Quantity: units.Quantity(1_000_000_001)})
	require.ErrorContains(t, err, "expected at most 1000 l")
	five := decimal.NewFromInt(5)
	_, err = s.Receive(t.Context(), db.Receipt{Act: act(time.Time{}), Part: "CRW-10", Quantity: 5, Cost: &five, Currency: "XXX"})
	require.ErrorContains(t, err, "found the currency XXX")
	_, err = s.AddCharge(t.Context(), db.ChargeAdd{ID: newID(t), Line: "freight", Amount: decimal.New(1, 308)})
	require.ErrorContains(t, err, "beyond what can be")
	require.Equal(t, before, told(t, s, ledgerTold))

	_, err = s.CountPart(t.Context(), act(time.Date(2027, 2, 8, 0, 0, 0, 0, zone)), "T-D03", "CRW-10", 20)
	require.NoError(t, err)
}
