package spend_test

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/spend"
	"roundkit/planner/units"
)

// What is committed of an order that is part here, by hand: 10 packs at 6.00 and 4 at 10.00
// with 10.00 carriage and 4.00 duty. By value the first line bears 8.40 of the 14.00. Once 5
// of its 10 pieces are here their lot has brought 30.00 + 4.20: 70.00 of goods and 9.80 of
// charges are still to come. Once all of the second is here too, 30.00 and 4.20.
func TestCommittedOfAPartDelivery(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name           string
		came           map[string]units.Quantity
		goods, charges string
	}{
		{"nothing is here", nil, "100.00", "14.00"},
		{"5 of 10", map[string]units.Quantity{"WIP-40": 5}, "70.00", "9.80"},
		{"and all of the second", map[string]units.Quantity{"WIP-40": 5, "OSL-40": 4}, "30.00", "4.20"},
		{"more than ordered of the first", map[string]units.Quantity{"WIP-40": 12}, "40.00", "5.60"},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			o := demo(t, func(s *planner.Snapshot) {
				on := day.Of(2027, 2, 8)
				ten, four := decimal.NewFromInt(10), decimal.NewFromInt(4)
				six := decimal.NewFromInt(6)
				packs := []int{10, 4}
				s.Orders = []planner.Order{{Code: "PO-X", Supplier: "SRN", State: "part here", PlacedOn: &on, Carriage: &ten, Duty: &four, Currency: "EUR"}}
				s.OrderLines = []planner.OrderLine{{Order: "PO-X", Part: "WIP-40", Packs: &packs[0], Quantity: 10, PricePerPack: &six},
					{Order: "PO-X", Part: "OSL-40", Packs: &packs[1], Quantity: 4, PricePerPack: &ten}}
				for part, q := range test.came {
					s.Lots = append(s.Lots, planner.Lot{Code: "X/" + part, Part: part, Order: "PO-X", Quantity: &q, ReceivedOn: &on})
				}
			})
			r, err := spend.Of(o, spend.ByLine, spend.Facts{})
			require.NoError(t, err)
			got := map[string]string{}
			for _, row := range r.Rows {
				if row.Committed.Sign() != 0 {
					got[row.Key] = row.Committed.FloatString(2)
				}
			}
			require.Equal(t, map[string]string{"parts": test.goods, "freight": test.charges}, got)
		})
	}
}

// An order of which no line has a price keeps its charges whole: nothing says what part of
// them has come.
func TestCommittedWithoutPrices(t *testing.T) {
	t.Parallel()
	o := demo(t, func(s *planner.Snapshot) {
		on, ten := day.Of(2027, 2, 8), decimal.NewFromInt(10)
		s.Orders = []planner.Order{{Code: "PO-X", Supplier: "SRN", State: "placed", PlacedOn: &on, Carriage: &ten, Currency: "EUR"}}
		s.OrderLines = []planner.OrderLine{{Order: "PO-X", Part: "WIP-40", Quantity: 10}}
	})
	r, err := spend.Of(o, "supplier", spend.Facts{})
	require.NoError(t, err)
	require.Equal(t, "10", text(r.Total.Committed))
}
