package db_test

import (
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/units"
)

// Two people book the same list at the same moment: it was packed once.
func TestLoadPackedTwice(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	p := db.Packing{Trip: "TR-TES", Rows: []planner.Movement{
		{Part: "CRW-10", Lot: "LT-0073", From: "W-A2", To: "FC-1", Quantity: 26},
		{Part: "OIL-D10", Lot: "LT-0045", Tag: "B-106", From: "W-A3", To: "FC-3", Quantity: where(t, s, "OIL-D10")["W-A3"]}}}
	hold, err := s.Pool().Begin(t.Context()) // so that both have seen the list before either is done
	require.NoError(t, err)
	_, err = hold.Exec(t.Context(), "SELECT FROM part WHERE code = 'CRW-10' FOR UPDATE")
	require.NoError(t, err)
	var wait sync.WaitGroup
	for _, who := range []string{"u1", "u3"} {
		p := p
		p.Act = act(t)
		p.Person = who
		wait.Go(func() {
			if _, err := s.PackLoad(t.Context(), p); err != nil {
				t.Log(err)
			}
		})
	}
	require.Eventually(t, func() bool {
		var waiting int
		err := s.Pool().QueryRow(t.Context(), "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'").Scan(&waiting)
		return err == nil && waiting == 2
	}, time.Minute, 10*time.Millisecond)
	require.NoError(t, hold.Rollback(t.Context()))
	wait.Wait()
	require.Equal(t, units.Quantity(26), where(t, s, "CRW-10")["FC-1"])
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	require.Contains(t, snap.Packed, planner.PackedFor{Trip: "TR-TES", Case: "FC-1"})
	requireSound(t, s)
	requireSavedIsKnown(t, s)
}

func TestPackRefused(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	for trip, want := range map[string]string{"TR-TSE": "did you mean TR-TES?", "TR-WB2": "trip TR-WB2 stays at home", "TR-TES": "found nothing to pack"} {
		_, err := s.PackLoad(t.Context(), db.Packing{Act: act(t), Trip: trip})
		require.ErrorIs(t, err, db.ErrRefused)
		require.ErrorContains(t, err, want)
	}
}

func movement(part, lot, tag, from, to string, q units.Quantity) planner.Movement {
	return planner.Movement{Part: part, Lot: lot, Tag: tag, From: from, To: to, Quantity: q}
}
