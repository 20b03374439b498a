package check_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/check"
)

// Loads and cases that must be refused, and the field that the one line names. By the
// rules of the check contract.
func TestLoadRefusals(t *testing.T) {
	t.Parallel()
	const one = `{"need":{"dist":"poisson","mean":1},"available":2,"uses":{"kg":1}}`
	for _, c := range []struct{ calc, in, says string }{
		{"load", `{"parts":[` + one + `],"limits":{},"target":0.5}`, "least: found nothing"},
		{"load", `{"parts":[` + one + `],"limits":{},"least":"kg"}`, "target: found nothing"},
		{"load", `{"parts":[` + one + `],"limits":{},"target":0.5,"least":"l"}`, `least: found "l", expected a name in uses or limits`},
		{"load", `{"parts":[` + one + `],"limits":{},"target":1,"least":"kg"}`, "target: found 1"},
		{"load", `{"parts":[` + one + `],"limits":{},"target":0.99,"least":"kg"}`, "no load within the limits reaches the target"},
		{"load", `{"parts":[` + one + `],"limits":{"kg":-1}}`, "limits.kg: found -1"},
		{"load", `{"parts":[{"need":{"dist":"poisson","mean":1},"available":1,"must":2,"uses":{}}],"limits":{}}`, "must: found 2, expected at most what is available, 1"},
		{"load", `{"parts":[{"need":{"dist":"poisson","mean":1},"available":1,"container":0,"uses":{}}],"limits":{}}`, "container: found 0"},
		{"load", `{"parts":[{"need":{"dist":"poisson","mean":1},"available":1}],"limits":{}}`, "uses: found nothing"},
		{"case-count", `{"limits":{},"items":[]}`, "limits: found 0"},
		{"case-count", `{"limits":{"kg":0},"items":[]}`, "limits.kg: found 0"},
		{"case-count", `{"limits":{"kg":5},"items":[{"kg":6}]}`, "item 1: found 6 of kg, expected at most 5"},
		{"case-count", `{"limits":{"kg":5},"items":[{"l":1}]}`, "items[0].l: found an unknown field"},
	} {
		var got check.Result
		check.RunAll([]byte(`{"id":"x","calc":"`+c.calc+`","in":`+c.in+`,"want":{"error":true},"source":"contract"}`), func(r check.Result) { got = r })
		require.True(t, got.Pass, c.in)
		require.NotNil(t, got.Error, c.in)
		require.Contains(t, *got.Error, c.says)
	}
}
