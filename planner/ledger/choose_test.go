package ledger_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// In the order in which a use takes them, each for one reason more than the next: the rules
// of the stores, section 4 (first expired, first out: common practice). However they lie
// before, they come out so.
func TestOrder(t *testing.T) {
	t.Parallel()
	on := day.Of(2027, 6, 5)
	of := func(month time.Month, d int) *day.Day { x := day.Of(2027, month, d); return &x }
	facts := ledger.Facts{
		Lots: map[string]planner.Lot{
			"first":     {ReceivedOn: of(4, 1), ExpiresOn: of(12, 31)},
			"soon":      {ReceivedOn: of(4, 1), ExpiresOn: of(6, 5)}, // on its last good day it is good
			"oldest":    {ReceivedOn: of(3, 1), ExpiresOn: of(12, 31)},
			"a":         {ReceivedOn: of(5, 1), ExpiresOn: of(12, 31)},
			"b":         {ReceivedOn: of(5, 1), ExpiresOn: of(12, 31)},
			"undated":   {ReceivedOn: of(1, 1)},
			"unknown":   {},
			"past":      {ReceivedOn: of(1, 1), ExpiresOn: of(6, 3)},
			"past late": {ReceivedOn: of(1, 1), ExpiresOn: of(6, 4)},
		},
		Tags: map[string]planner.Tag{"open": {OpenedOn: of(6, 1)}, "open too": {OpenedOn: of(6, 1)}},
	}
	want := []ledger.Key{
		{Lot: "first", Tag: "open", Place: "1"}, // opened
		{Lot: "soon", Tag: "sealed", Place: "1"},
		{Lot: "oldest", Tag: "sealed", Place: "1"},
		{Lot: "a", Tag: "sealed 9", Place: "1"},
		{Lot: "b", Tag: "sealed 1", Place: "2"},
		{Lot: "b", Tag: "sealed 2", Place: "1"},
		{Lot: "b", Tag: "sealed 2", Place: "2"},
		{Lot: "undated", Place: "1"},
		{Lot: "unknown", Place: "1"},
		{Lot: "past", Tag: "open too", Place: "1"}, // past its date, though open
		{Lot: "past", Place: "1"},
		{Lot: "past late", Place: "1"},
	}
	chance := rand.New(rand.NewPCG(1, 1))
	for range 50 {
		var got []ledger.Candidate
		for _, i := range chance.Perm(len(want)) {
			got = append(got, ledger.Candidate{Key: want[i], Quantity: 1})
		}
		facts.Order(on, got)
		var keys []ledger.Key
		for _, c := range got {
			keys = append(keys, c.Key)
		}
		require.Equal(t, want, keys)
	}
}

// What the ledger holds at the very minute of a workbook's row arrived before it: a count has
// not seen the row, and what was moved in then is there.
func TestHeldFirstWithinAMinute(t *testing.T) {
	t.Parallel()
	noon := time.Date(2027, 6, 5, 12, 0, 0, 0, time.UTC)
	march, april := day.Of(2027, time.March, 1), day.Of(2027, time.April, 1)
	lots := []planner.Lot{{Code: "A", Part: "WASHER", ReceivedOn: &april}, {Code: "B", Part: "WASHER", ReceivedOn: &march}}
	book := &planner.Book{
		Catalogue: planner.Catalogue{Parts: []planner.Part{{Code: "WASHER", Unit: units.PC}}, Places: []planner.Place{{Code: "T-D01"}, {Code: "W-A1"}}},
		History: planner.History{Lots: lots, Movements: []planner.Movement{
			{Code: "M-1", At: noon, Part: "WASHER", From: "T-D01", To: "W-A1", Quantity: 4, Reason: "move"}}},
	}
	got, problems := ledger.Post(ledger.Input{Book: book, Zone: time.UTC, Past: ledger.Past{
		Moves: []ledger.PastMove{
			{At: noon.Add(-time.Hour), Lot: "A", From: ledger.Supplier, To: "T-D01", Quantity: 10},
			{At: noon, Lot: "B", From: ledger.Supplier, To: "T-D01", Quantity: 10},
		},
		Counts: []ledger.PastCount{{At: noon, ID: uuid.New(), Place: "T-D01", Part: "WASHER"}},
	}})
	require.Empty(t, problems)
	require.Empty(t, got.Warnings)
	require.Len(t, got.Entries, 1)
	require.Equal(t, []ledger.Move{{Lot: "B", From: "T-D01", To: "W-A1", Quantity: 4}}, got.Entries[0].Moves)
}
