package check_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/check"
)

// Order inputs that must be refused, and what the one line must say. By the rules of the
// check contract.
func TestOrderRefusals(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ calc, in, says string }{
		{"newsvendor", `{"demand":{"dist":"poisson","mean":2},"underage":1,"overage":0}`, "overage: found 0, expected a number above 0"},
		{"newsvendor", `{"demand":{"dist":"poisson","mean":2},"underage":1,"overage":1,"x":[-1]}`, "x[0]: found -1"},
		{"lot-size", `{"demand":[],"order_cost":1,"holding":1}`, "demand: found a list of 0, expected 1 to 366 periods"},
		{"lot-size", `{"demand":[` + strings.Repeat("1,", 366) + `1],"order_cost":1,"holding":1}`, "demand: found a list of 367"},
		{"lot-size", `{"demand":[1,2.5],"order_cost":1,"holding":1}`, "demand[1]: found 2.5, expected a whole number"},
		{"lot-size", `{"demand":[1,2],"order_cost":[1],"holding":1}`, "order_cost: found a list of 1, expected 2, one for each of demand"},
		{"lot-size", `{"demand":[1,2],"order_cost":1}`, "holding: found nothing"},
		{"lot-size", `{"demand":[1,2],"order_cost":1,"holding":1,"pack":0}`, "pack: found 0"},
		{"lot-size", `{"demand":[1,2],"order_cost":1,"holding":1,"price":[1,1],"breaks":[{"from":2,"price":1}]}`, "breaks: found them with a price for each period, expected one price"},
		{"lot-size", `{"demand":[1,2],"order_cost":1,"holding":1,"breaks":[{"from":2,"price":1},{"from":2,"price":1}]}`, "breaks[1].from: found 2, expected more than 2"},
		{"lot-size", `{"demand":[1,2],"order_cost":1,"holding":1,"breaks":[{"from":0,"price":1}]}`, "breaks[0].from: found 0"},
		{"lot-size", `{"demand":[1,2],"order_cost":1,"holding":1,"break_kind":"both"}`, `break_kind: found "both", expected one of all-units, incremental`},
		{"lot-size", `{"demand":[3,3,3],"order_cost":1,"holding":1,"minimum":10,"storage_life":1}`, "storage_life: found 1 with packs of 1 and a minimum of 10"},
		{"lot-size", `{"demand":[1000000,1000000,1000000],"order_cost":1,"holding":1,"price":2,"breaks":[{"from":7,"price":1},{"from":999983,"price":0.5}],"pack":1,"start":3,"end":5,"minimum":2,"end":6}`, "end: found it twice"},
		{"joint-order", `{"shipping":1,"parts":[]}`, "parts: found an empty list"},
		{"joint-order", `{"shipping":1,"parts":[{"demand":[1],"order_cost":1,"holding":1},{"demand":[1,2],"order_cost":1,"holding":1}]}`, "parts[1].demand: found a list of 2, expected 1"},
		{"joint-order", `{"shipping":1,"parts":[{"demand":[1],"order_cost":1,"holding":1,"end":2}]}`, "parts[0].end: found an unknown field"},
		{"netting", `{"on_hand":1,"needs":[1,2],"lead":0,"receipts":[1]}`, "receipts: found a list of 1, expected 2"},
		{"netting", `{"on_hand":-1,"needs":[1,2],"lead":0}`, "on_hand: found -1"},
	} {
		r := check.RunLine([]byte(`{"id":"x","calc":"`+c.calc+`","in":`+c.in+`,"want":{"error":true}}`), 1)
		require.NotNil(t, r.Error, c.in)
		require.Contains(t, *r.Error, c.says)
		require.True(t, r.Pass)
	}
}

// Edges by hand. Nothing wanted: nothing ordered, the stock kept. A million a period for
// a year: an order each at 1 costs less than keeping any. An order of 5 for 2 where 5 cost
// 1 each and fewer 3 each: 5 + 1, and 3 left at 0.1. Underage 0: nothing. A lead longer
// than the horizon: all of it late.
func TestOrderEdges(t *testing.T) {
	t.Parallel()
	year := "[" + strings.Repeat("1000000,", 365) + "1000000]"
	for _, line := range []string{
		`{"calc":"lot-size","in":{"demand":[0,0],"order_cost":5,"holding":0.5,"start":4},"want":{"cost":4,"orders":[0,0]}}`,
		`{"calc":"lot-size","in":{"demand":` + year + `,"order_cost":1,"holding":1},"want":{"cost":366}}`,
		`{"calc":"lot-size","in":{"demand":` + year + `,"order_cost":1,"holding":1,"pack":1000,"minimum":1000000,"price":2,"breaks":[{"from":1000000,"price":1}]},"want":{"cost":366000366}}`,
		`{"calc":"lot-size","in":{"demand":[2],"order_cost":1,"holding":0.1,"price":3,"breaks":[{"from":5,"price":1}]},"want":{"cost":6.3,"orders":[5]}}`,
		`{"calc":"lot-size","in":{"demand":[2],"order_cost":1,"holding":0.1,"price":3,"breaks":[{"from":1000000,"price":0.000001}]},"want":{"cost":7,"orders":[2]}}`,
		`{"calc":"newsvendor","in":{"demand":{"dist":"poisson","mean":4},"underage":0,"overage":2},"want":{"quantity":0,"cost":0}}`,
		`{"calc":"netting","in":{"on_hand":0,"needs":[3,4],"lead":5},"want":{"net":[3,4],"release":[0,0],"late":7}}`,
		`{"calc":"netting","in":{"on_hand":0,"needs":[],"lead":0},"want":{"net":[],"late":0}}`,
		`{"calc":"joint-order","in":{"shipping":10,"free_from":8,"parts":[{"demand":[2],"order_cost":0,"holding":0.5,"price":2}]},"want":{"cost":9,"orders":[[4]]}}`,
	} {
		r := check.RunLine([]byte(line), 1)
		require.Nil(t, r.Error, line)
		require.Empty(t, r.Differs, line)
	}
}
