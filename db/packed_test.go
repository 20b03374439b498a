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

// A list is good for one packing: sent again it is the record that is there, also days
// later and where its stock would serve a second time; another's, or another list made
// before it, is refused; a list made anew, also of the same lines, and one after an undo are
// booked.
func TestAListPacksOnce(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	before, err := s.PackedSoFar(t.Context(), "")
	require.NoError(t, err)
	p := db.Packing{Act: act(t), Trip: "TR-TES", Before: before, Rows: []planner.Movement{movement("CRW-10", "LT-0073", "", "W-A2", "FC-1", 2)}}
	p.Person = "u1"
	inCase := func(want units.Quantity) {
		t.Helper()
		require.Equal(t, want, where(t, s, "CRW-10")["FC-1"])
	}
	first, err := s.PackLoad(t.Context(), p)
	require.NoError(t, err)
	require.False(t, first.Repeat)
	inCase(2)

	later := later(t, s, "3 days")
	p.ID = newID(t)
	again, err := later.PackLoad(t.Context(), p)
	require.NoError(t, err)
	require.True(t, again.Repeat)
	require.Equal(t, first.ID, again.ID)
	inCase(2)

	other := p
	other.Person = "u3"
	_, err = later.PackLoad(t.Context(), other)
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "the same list for TR-TES is booked already, by somebody else or at another time")
	other = p
	other.Rows = []planner.Movement{movement("FNS-10", "LT-0067", "", "T-D03", "FC-1", 3)}
	_, err = later.PackLoad(t.Context(), other)
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "found 1 records that packed for TR-TES, 0 when the list was made, expected none since")
	inCase(2)

	p.Before, err = later.PackedSoFar(t.Context(), "")
	require.NoError(t, err)
	require.Equal(t, before["TR-TES"]+1, p.Before["TR-TES"])
	second, err := later.PackLoad(t.Context(), p)
	require.NoError(t, err)
	require.False(t, second.Repeat)
	inCase(4)
	_, err = later.Undo(t.Context(), db.Act{ID: newID(t), Person: "u1"}, second.ID.String())
	require.NoError(t, err)
	inCase(2)
	p.Before, err = later.PackedSoFar(t.Context(), "")
	require.NoError(t, err)
	third, err := later.PackLoad(t.Context(), p)
	require.NoError(t, err)
	require.NotEqual(t, second.ID, third.ID)
	inCase(4)
	requireSound(t, later)
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
