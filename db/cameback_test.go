package db_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/cameback"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

func account(t *testing.T, s *db.Store, trip string) (*cameback.Result, cameback.Input) {
	t.Helper()
	in, err := s.TripAccount(t.Context(), trip, db.SnapshotOptions{})
	require.NoError(t, err)
	r, err := cameback.Of(in)
	require.NoError(t, err)
	return r, in
}

func partOf(t *testing.T, r *cameback.Result, code string) cameback.Part {
	t.Helper()
	for _, p := range r.Parts {
		if p.Code == code {
			return p
		}
	}
	require.Fail(t, "no "+code)
	return cameback.Part{}
}

// later moves the season clock on, as time does; a store that is open keeps its own.
func later(t *testing.T, s *db.Store, by string) *db.Store {
	t.Helper()
	_, err := s.Pool().Exec(t.Context(), "UPDATE clock SET ahead_by = ahead_by + $1::interval", by)
	require.NoError(t, err)
	next, err := db.Connect(t.Context(), s.URL)
	require.NoError(t, err)
	t.Cleanup(next.Close)
	return next
}

// The two kinds of trip of the invented season, from its sheets by hand. TR-PEL: 24 wipers
// packed (M-0001, M-0002), 14 lower-leg services took 2 washers each of 30, and all that
// was left went back to the truck. TR-ALP until the clock: the truck's 2 wipers and 1 foam
// ring short at the count of 06-01, SPF-75#1 scrapped, SPR-435#2 lent (scenario, section 8).
func TestTripAccounts(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	pel, _ := account(t, s, "TR-PEL")
	require.Equal(t, "2027-02-26 10:00", pel.From.Format("2006-01-02 15:04"), "the first thing packed")
	require.Empty(t, pel.Differences)
	require.Empty(t, pel.Listed)
	washers := partOf(t, pel, "CRW-10")
	require.Equal(t, []units.Quantity{30, 28, 2, 2, 0}, []units.Quantity{washers.Along, washers.Used, washers.Should, washers.Unpacked, washers.There})
	require.Equal(t, units.Quantity(24), partOf(t, pel, "WIP-40").Along)

	alp, in := account(t, s, "TR-ALP")
	require.True(t, alp.UnderWay)
	require.Equal(t, units.Quantity(-2), partOf(t, alp, "WIP-40").Difference)
	require.Equal(t, units.Quantity(-1), partOf(t, alp, "FRG-40").Difference)
	spring := partOf(t, alp, "SPF-75")
	require.Equal(t, []units.Quantity{5, 1, 4}, []units.Quantity{spring.Along, spring.Scrapped, spring.There})
	require.Equal(t, units.Quantity(1), partOf(t, alp, "SPR-435").Lent)
	var away []string
	for _, l := range alp.Listed {
		away = append(away, l.Tag+" "+l.Where)
	}
	require.ElementsMatch(t, []string{"SPF-75#1 scrap", "SPR-435#2 lent-1"}, away)

	// what the account says is there is what the book has there, part by part
	held := map[string]units.Quantity{}
	for _, h := range in.Outlook.Snapshot.Stock {
		if in.Outlook.Places.Within(h.Place, "truck") || in.Outlook.Places.Assembly(h.Place) {
			held[h.Part] += h.Quantity
		}
	}
	for _, p := range alp.Parts {
		require.Equal(t, held[p.Code], p.There, p.Code)
		delete(held, p.Code)
	}
	require.Empty(t, held)
}

// A fly-away from packing to unpacking: what a job used, what the counter missed, where it
// went, and that the load serves others from the day it is back.
func TestFlyAwayComesBack(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	s = later(t, s, "30 days") // the truck is home again
	pack := db.Packing{Act: act(t), Trip: "TR-TES"}
	for _, h := range []struct {
		part, lot, tag, from, to string
		q                        units.Quantity
	}{
		{"CRW-10", "LT-0073", "", "W-A2", "FC-1", 28}, {"FNS-10", "LT-0067", "", "T-D03", "FC-1", 28}, {"SPF-84", "LT-0026", "SPF-84#3", "T-D05", "FC-2", 1},
		{"OIL-B68", "LT-0044", "B-104", "T-L01", "FC-3", where(t, s, "OIL-B68")["T-L01"] - 1_000_000}} {
		pack.Rows = append(pack.Rows, movement(h.part, h.lot, h.tag, h.from, h.to, h.q))
	}
	_, err := s.PackLoad(t.Context(), pack)
	require.NoError(t, err)
	_, _, err = s.Unpack(t.Context(), act(t), "TR-TES")
	require.ErrorContains(t, err, "trip TR-TES has rounds until 2027-08-08")
	_, _, err = s.TripIsBack(t.Context(), act(t), "TR-ALP")
	require.NoError(t, err)

	s = later(t, s, "33 days") // 2027-08-07, at Mont Tessaly
	four := units.Quantity(4)
	_, err = s.Record(t.Context(), db.Request{ID: newID(t), Kind: "job", Person: "u1", Job: &planner.Job{Service: "LLS", Assembly: "F01", Round: "TES"},
		JobParts: []planner.JobPart{{Part: "CRW-10", From: "FC-1", Quantity: &four}}})
	require.NoError(t, err)

	s = later(t, s, "8 days") // 2027-08-15, a day before the plan
	in, err := s.TripAccount(t.Context(), "TR-TES", db.SnapshotOptions{})
	require.NoError(t, err)
	at, err := cameback.CountedAt(in, "CRW-10", "")
	require.NoError(t, err)
	require.Equal(t, "FC-1", at, "the only case that holds it")
	_, err = cameback.CountedAt(in, "CRW-10", "W-A2")
	require.ErrorContains(t, err, "found W-A2, expected a place of TR-TES: FC-1, FC-2, FC-3 and below")
	_, err = cameback.CountedAt(in, "WIP-40", "")
	require.ErrorContains(t, err, "expected --at with the case it was counted in")
	_, err = s.CountPart(t.Context(), act(t), at, "CRW-10", 22) // 28 - 4 = 24 should be there
	require.NoError(t, err)
	_, stays, err := s.Unpack(t.Context(), act(t), "TR-TES")
	require.NoError(t, err)
	require.Empty(t, stays)
	planned, on, err := s.TripIsBack(t.Context(), act(t), "TR-TES")
	require.NoError(t, err)
	require.Equal(t, []string{"2027-08-16", "2027-08-15"}, []string{planned.String(), on.String()})

	r, after := account(t, s, "TR-TES")
	require.Equal(t, on, after.Trip.EndOn)
	require.False(t, after.Trip.Away(on))
	washers := partOf(t, r, "CRW-10")
	require.Equal(t, []units.Quantity{28, 4, 24, -2, 22, 0}, []units.Quantity{washers.Along, washers.Used, washers.Should, washers.Difference, washers.Unpacked, washers.There})
	require.NotNil(t, washers.CountedAt)
	require.Nil(t, partOf(t, r, "FNS-10").CountedAt)
	require.Empty(t, r.Listed)
	require.Equal(t, "T-D05", tagAt(t, s, "SPF-84#3"), "its home in the truck, which is here")
	require.Len(t, r.Differences, 1)
	require.Equal(t, units.Quantity(-2), r.Differences[0].Quantity)

	_, _, err = s.ExplainDifference(t.Context(), act(t), "SPF-84#3", "spill")
	require.ErrorContains(t, err, "found no difference SPF-84#3")
	_, told, err := s.ExplainDifference(t.Context(), act(t), "CRW-10", "count slip") // the last one: the workshop's of 06-01 wants a reason too
	require.NoError(t, err)
	r, _ = account(t, s, "TR-TES")
	require.Equal(t, "count slip", r.Differences[0].Reason)
	_, _, err = s.ExplainDifference(t.Context(), act(t), r.Differences[0].Record.String(), "other amount used")
	require.NoError(t, err)
	_, err = s.Undo(t.Context(), act(t), "")
	require.NoError(t, err)
	_, err = s.Undo(t.Context(), act(t), told.ID.String())
	require.NoError(t, err)
	r, _ = account(t, s, "TR-TES")
	require.Empty(t, r.Differences[0].Reason, "both reasons were taken back")
	requireSound(t, s)
	requireSavedIsKnown(t, s)
}

func tagAt(t *testing.T, s *db.Store, tag string) string {
	t.Helper()
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	for _, h := range snap.Stock {
		if h.Tag == tag {
			return h.Place
		}
	}
	return ""
}

// What a truck trip takes along is away while it is, and nothing else.
func TestTruckIsAway(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	_, in := account(t, s, "TR-ALP")
	require.Equal(t, []string{"truck"}, place.Away(in.Outlook.Calendar, in.Outlook.Snapshot.Packed, in.Outlook.Snapshot.AsOf, in.Outlook.Snapshot.AsOf, nil))
}
