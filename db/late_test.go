package db_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner/units"
)

// Two of the old washers lay in the drawer with 24 new ones (the invented season, lots LT-0005
// and LT-0073). A job took the old ones; one that was done before it arrives later. It takes
// two of the new ones: 26 - 2 - 2 = 22 are left, and nothing is found.
func TestLateJobFromALotThatHasGone(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	at := actAt(t, s)
	require.EqualValues(t, 26, held(t, s, "CRW-10", "T-D03"))
	log := func(on string, ago time.Duration) db.Recorded {
		t.Helper()
		a := at(ago)
		done, _, err := s.LogJob(t.Context(), db.JobLog{ID: a.ID, Person: a.Person, At: a.At, Service: "LLS", Assembly: on})
		require.NoError(t, err)
		return done
	}
	washers := func(done db.Recorded) map[string]units.Quantity {
		got := map[string]units.Quantity{}
		for _, e := range done.Entries {
			for _, m := range e.Moves {
				if done.Parts[m.Lot] == "CRW-10" {
					require.Equal(t, "T-D03", m.From)
					got[m.Lot] += m.Quantity
				}
			}
		}
		return got
	}
	require.Equal(t, map[string]units.Quantity{"LT-0005": 2}, washers(log("F03", 5*time.Minute)))
	late := log("F02", 15*time.Minute)
	require.Equal(t, map[string]units.Quantity{"LT-0073": 2}, washers(late))
	require.Empty(t, late.Warnings)
	require.EqualValues(t, 22, held(t, s, "CRW-10", "T-D03"))
	requireSound(t, s)
}
