package db_test

import (
	"context"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// oneWasher is a job that takes one crush washer from the truck.
func oneWasher(t *testing.T) db.JobLog {
	t.Helper()
	return db.JobLog{ID: newID(t), Service: "LLS", Assembly: "F02", Round: "ZDR", Person: "u1", Used: []ledger.Amount{{Part: "CRW-10", Quantity: 1}}}
}

// takeWasher logs such a job and says where the washer came from.
func takeWasher(t *testing.T, s *db.Store) simMove {
	t.Helper()
	j := oneWasher(t)
	done, _, err := s.LogJob(t.Context(), j)
	require.NoError(t, err)
	washers := slices.DeleteFunc(movesOf(done, j.ID), func(m simMove) bool { return done.Parts[m.Lot] != "CRW-10" })
	require.Len(t, washers, 1)
	return washers[0]
}

// Many people log at the same moment: jobs, a job that is refused, one job sent three times
// at once, another one under an id that is taken. Each gets the answer that is its own, and
// what was used is off the shelf once.
func TestJobsAtOnce(t *testing.T) {
	t.Parallel()
	const jobs, sends = 24, 3
	s := demoStore(t)
	before := held(t, s, "CRW-10", "T-D03")
	taken := oneWasher(t)
	_, _, err := s.LogJob(t.Context(), taken)
	require.NoError(t, err)
	taken.Person = "u3"
	var (
		all                    sync.WaitGroup
		done                   [jobs]db.Recorded
		errs                   [jobs]error
		again                  [sends]db.Recorded
		errNobody, errTaken    error
		repeated, errsRepeated = oneWasher(t), [sends]error{}
		one                    = units.Quantity(1)
		nobody                 = db.Request{ID: newID(t), Kind: "job", Person: "nobody", Job: &planner.Job{Service: "LLS", Assembly: "F02"},
			JobParts: []planner.JobPart{{Part: "CRW-10", Quantity: &one}}}
	)
	for i := range jobs {
		j := oneWasher(t)
		all.Go(func() { done[i], _, errs[i] = s.LogJob(t.Context(), j) })
	}
	for i := range sends {
		all.Go(func() { again[i], _, errsRepeated[i] = s.LogJob(t.Context(), repeated) })
	}
	all.Go(func() { _, errNobody = s.Record(t.Context(), nobody) })
	all.Go(func() { _, _, errTaken = s.LogJob(t.Context(), taken) })
	all.Wait()

	doubles := 0
	for i := range jobs {
		require.NoError(t, errs[i])
		require.False(t, done[i].Repeat)
		if len(done[i].Doubles) > 0 {
			doubles++
		}
	}
	require.Equal(t, jobs, doubles, "each is likely the one of before")
	first := 0
	for i := range sends {
		require.NoError(t, errsRepeated[i])
		if !again[i].Repeat {
			first++
		}
		require.Equal(t, movesOf(again[0], repeated.ID), movesOf(again[i], repeated.ID))
	}
	require.Equal(t, 1, first, "recorded once")
	require.ErrorIs(t, errNobody, db.ErrRefused)
	require.ErrorIs(t, errTaken, db.ErrRefused)
	require.Equal(t, before-1-jobs-1, held(t, s, "CRW-10", "T-D03"))
	requireSound(t, s)
}

// Two programs: what the other one has received or counted meanwhile is what
// the next job of this one meets.
func TestStockChangedByAnotherProgram(t *testing.T) {
	t.Parallel()
	here := demoStore(t)
	there, err := db.Connect(t.Context(), here.URL)
	require.NoError(t, err)
	t.Cleanup(there.Close)
	require.Equal(t, "T-D03", takeWasher(t, here).From)
	soon, err := day.Parse("2027-06-20")
	require.NoError(t, err)
	at := act(t)
	_, err = there.Receive(t.Context(), db.Receipt{Act: at, Part: "CRW-10", Quantity: 3, To: "T-D03", ExpiresOn: &soon})
	require.NoError(t, err)
	require.Contains(t, takeWasher(t, here).Lot, at.ID.String(), "what expires first is used first, whoever received it")

	_, err = there.CountPart(t.Context(), act(t), "truck", "CRW-10", 0)
	require.NoError(t, err)
	require.Equal(t, "count difference", takeWasher(t, here).From, "counted as none, so it was found")
	requireSound(t, here)
}

// A case moved by another program is looked for where it stands now, and the move counts
// from its own time on.
func TestCaseMovedByAnotherProgram(t *testing.T) {
	t.Parallel()
	here := demoStore(t)
	there, err := db.Connect(t.Context(), here.URL)
	require.NoError(t, err)
	t.Cleanup(there.Close)
	require.Equal(t, "T-D03", takeWasher(t, here).From)
	moved := act(t)
	_, err = there.MoveCase(t.Context(), moved, "T-D03", "W-A2")
	require.NoError(t, err)
	require.Equal(t, "count difference", takeWasher(t, here).From, "the drawer is not in the truck any more")
	undo := act(t)
	_, err = there.Undo(t.Context(), undo, moved.ID.String())
	require.NoError(t, err)
	require.Equal(t, "T-D03", takeWasher(t, here).From)
	requireSound(t, here)
}

// Who gives up waiting has recorded nothing, whatever the server does with what was sent
// when the locks are free; sent again it is there, once.
func TestJobGivenUp(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	hold, err := s.Pool().Begin(t.Context())
	require.NoError(t, err)
	defer func() { _ = hold.Rollback(context.Background()) }() // a failure must not leave the others waiting
	_, err = hold.Exec(t.Context(), "SELECT FROM part FOR UPDATE")
	require.NoError(t, err)
	before := held(t, s, "CRW-10", "T-D03")
	j := oneWasher(t)
	ctx, stop := context.WithTimeout(t.Context(), 300*time.Millisecond)
	defer stop()
	_, _, err = s.LogJob(ctx, j)
	require.ErrorIs(t, err, context.DeadlineExceeded)
	require.NoError(t, hold.Rollback(t.Context()))
	done, _, err := s.LogJob(t.Context(), j)
	require.NoError(t, err)
	require.Equal(t, j.ID, done.ID)
	require.Equal(t, before-units.Quantity(1), held(t, s, "CRW-10", "T-D03"))
	requireSound(t, s)
}
