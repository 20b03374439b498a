package db_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner"
	meant "roundkit/planner/act"
	"roundkit/planner/spend"
)

// A blend is one record: said twice it is recorded once, one undo takes both bottles' oil back,
// redo pours again; its cost goes from the oils to the new bottle and none is used; the season
// saved and loaded is the same ledger.
func TestBlendIsOneRecord(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	const ml = 1000
	bottle := func(tag string) (total int64) {
		snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
		require.NoError(t, err)
		for _, h := range snap.Stock {
			if h.Tag == tag {
				total += int64(h.Quantity)
			}
		}
		return total
	}
	money := func() (used, kits string) {
		snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
		require.NoError(t, err)
		all, err := s.Balances(t.Context(), db.SnapshotOptions{}, spend.Lot, snap)
		require.NoError(t, err)
		for _, b := range all {
			require.False(t, b.Apart(), "%s: %s, %d", b.Part, b.Remainder, b.Left)
			if b.Part == "OIL-D16" {
				used, kits = b.Used.FloatString(4), b.OpenedKits.FloatString(4)
			}
		}
		return used, kits
	}
	light, heavy := bottle("B-109"), bottle("B-111")
	used, kits := money()
	b := db.NewBlend{Act: act(t), Tag: planner.Tag{Code: "BL-1", Part: "OIL-D22"}, From: []meant.Poured{{Tag: "B-111", Quantity: 100 * ml}, {Tag: "B-109", Quantity: 40 * ml}}}
	done, cst, err := s.Blend(t.Context(), b)
	require.NoError(t, err)
	require.Greater(t, cst, 20.0)
	require.Len(t, done.Entries, 1)
	poured := func() {
		require.Equal(t, []int64{heavy - 100*ml, light - 40*ml, 140 * ml}, []int64{bottle("B-111"), bottle("B-109"), bottle("BL-1")})
	}
	poured()
	nowUsed, nowKits := money()
	require.Equal(t, used, nowUsed)
	require.NotEqual(t, kits, nowKits, "the light oil's value left it")
	again, _, err := s.Blend(t.Context(), b)
	require.NoError(t, err)
	require.True(t, again.Repeat)
	poured()
	requireReloads(t, s)

	_, err = s.Undo(t.Context(), act(t), done.ID.String())
	require.NoError(t, err)
	require.Equal(t, []int64{heavy, light, 0}, []int64{bottle("B-111"), bottle("B-109"), bottle("BL-1")})
	undone, err := s.Redo(t.Context(), act(t), "")
	require.NoError(t, err, "%v", undone)
	poured()
	requireReloads(t, s)
	requireSound(t, s)
}

// A sealed bottle that was poured from is open from that day, as after a use of it: B-124 of the
// invented season, sealed; B-111 was open already and stays open since its own day.
func TestBlendOpensASealedBottle(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	opened := func() map[string]string {
		snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
		require.NoError(t, err)
		said := map[string]string{}
		for _, tag := range snap.Tags {
			if tag.OpenedOn != nil {
				said[tag.Code] = tag.OpenedOn.String()
			}
		}
		return said
	}
	before := opened()
	require.NotContains(t, before, "B-124")
	require.Contains(t, before, "B-111")
	const ml = 1000
	b := db.NewBlend{Act: act(t), Tag: planner.Tag{Code: "BL-1", Part: "OIL-D22"}, From: []meant.Poured{{Tag: "B-111", Quantity: 100 * ml}, {Tag: "B-124", Quantity: 40 * ml}}}
	_, _, err := s.Blend(t.Context(), b)
	require.NoError(t, err)
	after := opened()
	require.Equal(t, "2027-06-05", after["B-124"])
	require.Equal(t, before["B-111"], after["B-111"])
	requireSound(t, s)
	requireReloads(t, s)
}
