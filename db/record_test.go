package db_test

import (
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/units"
)

func newID(t testing.TB) uuid.UUID {
	t.Helper()
	id, err := uuid.NewV7()
	require.NoError(t, err)
	return id
}

func quantity(q units.Quantity) *units.Quantity { return &q }

// A job takes what it used from the truck, once, however often it is sent.
func TestRecordJobOnce(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	r := db.Request{ID: newID(t), Kind: "job", Person: "u1",
		Job:      &planner.Job{Service: "LLS", Assembly: "F02", Round: "ZDR"},
		JobParts: []planner.JobPart{{Part: "CRW-10", Quantity: quantity(2)}, {Part: "WIP-40", Quantity: quantity(2)}, {Part: "OIL-B68", Quantity: quantity(40_000)}}}
	done, err := s.Record(t.Context(), r)
	require.NoError(t, err)
	require.False(t, done.Repeat)
	require.Len(t, done.Entries, 1)
	require.Len(t, done.Entries[0].Moves, 3)
	for _, m := range done.Entries[0].Moves {
		require.Equal(t, "used", m.To)
		require.Contains(t, []string{"T-D03", "T-D01", "T-L01"}, m.From)
	}
	again, err := s.Record(t.Context(), r)
	require.NoError(t, err)
	require.True(t, again.Repeat)
	require.Equal(t, done.Entries[0].Moves, again.Entries[0].Moves)
	other := r
	other.Person = "u2"
	_, err = s.Record(t.Context(), other)
	require.ErrorIs(t, err, db.ErrRefused, "another record under the same id")
	requireSound(t, s)
}

// A record from before a count that arrives after it does not take the same thing off
// twice: what was counted stays what was counted.
func TestLateRecordAroundACount(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	zone, err := time.LoadLocation("Europe/Vienna")
	require.NoError(t, err)
	// demo: FNS-10 was counted as 51 in T-D03 on 2027-06-05 07:30
	late := db.Request{ID: newID(t), Kind: "job", Person: "u2", At: time.Date(2027, 6, 5, 7, 0, 0, 0, zone),
		Job: &planner.Job{Service: "LLS", Assembly: "F02", Round: "ZDR"}, JobParts: []planner.JobPart{{Part: "FNS-10", Quantity: quantity(2)}}}
	done, err := s.Record(t.Context(), late)
	require.NoError(t, err)
	require.Len(t, done.Entries, 2, "the job, and the opposite at the count's minute")
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	have := units.Quantity(0)
	for _, h := range snap.Stock {
		if h.Part == "FNS-10" && h.Place == "T-D03" {
			have += h.Quantity
		}
	}
	require.Equal(t, units.Quantity(51), have)
	requireSound(t, s)
}

func TestRecordsTooFarAheadAreRefused(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	now, _, err := s.Now(t.Context())
	require.NoError(t, err)
	_, err = s.Record(t.Context(), db.Request{ID: newID(t), Kind: "job", At: now.Add(time.Hour),
		Job: &planner.Job{Service: "LLS", Assembly: "F02"}, JobParts: []planner.JobPart{{Part: "FNS-10", Quantity: quantity(2)}}})
	require.ErrorIs(t, err, db.ErrRefused)
}

// A time finer than the database keeps is cut when the record is taken, not rounded when it
// is stored: all entries of one record, and its answer, lie at the same microsecond.
func TestTimesToTheMicrosecond(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	now, _, err := s.Now(t.Context())
	require.NoError(t, err)
	want := now.Add(-time.Hour).Truncate(time.Microsecond)
	a := act(t)
	a.At = want.Add(999 * time.Nanosecond)
	done, err := s.CountPart(t.Context(), a, "T-D03", "CRW-10", 20)
	require.NoError(t, err)
	require.Len(t, done.Entries, 2, "the count, and its difference")
	for _, e := range done.Entries {
		require.True(t, want.Equal(e.At), "%s: %s", e.Kind, e.At)
		var stored time.Time
		require.NoError(t, s.Pool().QueryRow(t.Context(), "SELECT happened_at FROM entry WHERE id = $1", e.ID).Scan(&stored))
		require.True(t, want.Equal(stored), "%s: %s", e.Kind, stored)
	}
	late := act(t)
	late.At = want.Add(500 * time.Nanosecond) // the same microsecond, by arrival after the count
	_, err = s.MoveStock(t.Context(), db.Move{Act: late, Kind: "move", Part: "CRW-10", Quantity: 3, From: "T-D03", To: "W-A2"})
	require.NoError(t, err)
	require.EqualValues(t, 17, held(t, s, "CRW-10", "T-D03"))
}
