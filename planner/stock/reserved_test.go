package stock_test

import (
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/stock"
	"roundkit/testdata/season"
)

// A case packed for a trip is that trip's until the trip loses its rounds before it leaves; one
// that is away stays so.
func TestReservedUntilCalledOff(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		asOf    day.Day
		rounds  bool
		wantFor string
	}{
		{"planned", day.Of(2027, 6, 5), true, "TR-TES"},
		{"called off", day.Of(2027, 6, 5), false, ""},
		{"called off on the way", day.Of(2027, 8, 3), false, "TR-TES"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s, err := season.Load(os.DirFS("../../testdata/demo"), c.asOf)
			require.NoError(t, err)
			s.Packed = append(s.Packed, planner.PackedFor{Trip: "TR-TES", Case: "FC-1"})
			at := slices.IndexFunc(s.Stock, func(h planner.Holding) bool { return h.Part == "FNS-10" && h.Place == "W-A1" })
			s.Stock[at].Place = "FC-1"
			if !c.rounds {
				s.Rounds = slices.DeleteFunc(s.Rounds, func(r planner.Round) bool { return r.Trip == "TR-TES" })
				s.PlannedJobs = slices.DeleteFunc(s.PlannedJobs, func(j planner.PlannedJobs) bool { return j.Round == "TES" })
			}
			rows, err := stock.Rows(s, stock.Options{At: "FC-1"})
			require.NoError(t, err)
			require.NotEmpty(t, rows)
			for _, r := range rows {
				require.Equal(t, c.wantFor, r.For, r.Part.Code)
			}
		})
	}
}
