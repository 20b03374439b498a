package db_test

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner"
)

func percent(text string) planner.Decimal {
	d := decimal.RequireFromString(text)
	return &d
}

// A number of the plan that the log corrects is a change like any: kept with its reason, taken
// back, put back, and refused where the plan says something else by now.
func TestNumbersOfThePlanAreChanged(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	line := func() planner.LineNumbers {
		snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
		require.NoError(t, err)
		for _, l := range snap.ServiceLines {
			if l.DryPercent != nil && l.Part != "" {
				return l.Numbers()
			}
		}
		t.Fatal("the season has no chance line")
		return planner.LineNumbers{}
	}
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	var first planner.ServiceLine
	for _, l := range snap.ServiceLines {
		if l.DryPercent != nil && l.Part != "" {
			first = l
			break
		}
	}
	was := first.Numbers()
	now := was
	now.DryPercent = percent("31.5")
	o := db.ChangeOptions{ID: newID(t), Person: "u1", Notes: "log 3 of 8"}
	require.NoError(t, s.PlanLine(t.Context(), first.Service, first.Part, was, now, db.ChangeOptions{Person: "u1", DryRun: true}))
	require.Equal(t, was.In("pc"), line().In("pc"), "it was only looked at")
	require.NoError(t, s.PlanLine(t.Context(), first.Service, first.Part, was, now, o))
	require.Equal(t, "31.5", line().DryPercent.String())

	err = s.PlanLine(t.Context(), first.Service, first.Part, was, now, db.ChangeOptions{Person: "u1"})
	require.ErrorIs(t, err, db.ErrRefused)
	require.ErrorContains(t, err, "it was changed since")
	require.ErrorContains(t, s.PlanLine(t.Context(), first.Service, "no such", was, now, db.ChangeOptions{Person: "u1"}), `no part no such`)

	done, err := s.Undo(t.Context(), act(t), "")
	require.NoError(t, err)
	require.Equal(t, []string{first.Part + " of " + first.Service + ": " + now.In("pc") + ", before " + was.In("pc")}, done.Of.Lines(nil))
	require.Equal(t, was.In("pc"), line().In("pc"))
	_, err = s.Redo(t.Context(), act(t), "")
	require.NoError(t, err)
	require.Equal(t, "31.5", line().DryPercent.String())
	other := now
	other.DryPercent = percent("40")
	require.NoError(t, s.PlanLine(t.Context(), first.Service, first.Part, now, other, db.ChangeOptions{Person: "u2"}))
	_, err = s.Undo(t.Context(), act(t), o.ID.String())
	require.ErrorIs(t, err, db.ErrRefused, "it was put back already, and changed since")

	rate := snap.UnplannedRates[0]
	next := planner.RateNumbers{Rate: percent("0.04")}
	require.NoError(t, s.PlanRate(t.Context(), rate.Service, rate.Numbers(), next, db.ChangeOptions{Person: "u1"}))
	require.ErrorContains(t, s.PlanRate(t.Context(), rate.Service, rate.Numbers(), next, db.ChangeOptions{Person: "u1"}), "it was changed since")
	done, err = s.Undo(t.Context(), act(t), "")
	require.NoError(t, err)
	require.Equal(t, []string{rate.Service + ": 0.04 a bike-day, before " + rate.Numbers().String()}, done.Of.Lines(nil))
	require.NoError(t, s.PlanRate(t.Context(), rate.Service, rate.Numbers(), next, db.ChangeOptions{Person: "u1"}), "it says again what it said")
}

// History is added to, once, and never changes; what is wrong is told with what is known.
func TestUseHistoryIsAppendOnly(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	part := snap.Parts[0].Code
	rows := []db.PeriodUse{{part, "2026-01", 3}, {part, "2026-02", 0}}
	added, err := s.AddUseHistory(t.Context(), rows, true)
	require.NoError(t, err)
	require.Equal(t, 2, added)
	for _, want := range []int{2, 0} {
		added, err = s.AddUseHistory(t.Context(), rows, false)
		require.NoError(t, err)
		require.Equal(t, want, added)
	}
	_, err = s.AddUseHistory(t.Context(), []db.PeriodUse{{part, "2026-03", 1}, {part, "2026-01", 4}}, false)
	require.ErrorIs(t, err, db.ErrRefused)
	other := &db.OtherHistoryError{}
	require.ErrorAs(t, err, &other)
	require.Equal(t, db.PeriodUse{Part: part, Period: "2026-01", Quantity: 3}, other.Known)
	all, err := s.UseHistory(t.Context())
	require.NoError(t, err)
	require.Equal(t, rows, all)
	for _, change := range []string{"UPDATE use_history SET quantity = 1", "DELETE FROM use_history", "TRUNCATE use_history"} {
		_, err := s.Pool().Exec(t.Context(), change)
		require.Error(t, err, change)
	}
}
