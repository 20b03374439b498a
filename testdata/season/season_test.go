package season_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/day"
	"roundkit/planner/units"
	"roundkit/testdata/season"
)

// The truck and the bottles at the demo clock, from the scenario's known answers 1
// and its table of the Saturday weigh-in.
func TestSnapshotAtTheClock(t *testing.T) {
	t.Parallel()
	s, err := season.Load(os.DirFS("../demo"), day.Of(2027, 6, 5))
	require.NoError(t, err)
	truck := map[string]bool{"truck": true}
	for _, p := range s.Places {
		if p.In == "truck" {
			truck[p.Code] = true
		}
	}
	on, bottle := map[string]units.Quantity{}, map[string]units.Quantity{}
	for _, h := range s.Stock {
		if truck[h.Place] {
			on[h.Part] += h.Quantity
		}
		bottle[h.Tag] = h.Quantity
	}
	for part, want := range map[string]units.Quantity{
		"WIP-40": 24, "OSL-40": 16, "FRG-40": 24, "CLP-40": 8, "CRW-10": 26, "FNS-10": 51, "FNB-10": 4,
		"KIT-DMP40": 2, "KIT-VS75": 4, "KIT-VA75": 3, "BSH-EYE": 10, "SPF-67": 5, "SPF-75": 0, "SPR-435": 1,
	} {
		require.Equal(t, want, on[part], part)
	}
	for tag, ul := range map[string]units.Quantity{"B-104": 475_917, "B-118": 1_000_000, "B-109": 580_378, "B-121": 726_730, "B-111": 148_886} {
		require.Equal(t, ul, bottle[tag], tag)
	}
	done := 0
	for _, d := range s.Done {
		done += d.Jobs
	}
	require.Equal(t, 276, done, "277 are logged, one of them twice")
}
