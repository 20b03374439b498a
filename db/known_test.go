package db_test

import (
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/reports/seasonfile"
)

// A program that runs for weeks knows what another has added since: a person, a later
// clock, a season that has begun.
func TestWhatAnotherProgramAddedIsKnown(t *testing.T) {
	t.Parallel()
	here := demoStore(t)
	there, err := db.Connect(t.Context(), here.URL)
	require.NoError(t, err)
	t.Cleanup(there.Close)
	takeWasher(t, here)

	in, err := seasonfile.ReadFolder(fstest.MapFS{"people.csv": {Data: []byte("person,name,role\nu9,Ninth,mechanic\n")}}, "people", seasonfile.Limits{})
	require.NoError(t, err)
	job := oneWasher(t)
	job.Person = "u9"
	_, _, err = here.LogJob(t.Context(), job)
	require.ErrorIs(t, err, db.ErrRefused, "nobody of that name yet")
	_, err = there.Load(t.Context(), in, db.LoadOptions{})
	require.NoError(t, err)
	_, _, err = here.LogJob(t.Context(), job)
	require.NoError(t, err)
	move := db.Act{ID: newID(t), Person: "u9"}
	_, err = here.MoveCase(t.Context(), move, "T-D03", "W-A2")
	require.NoError(t, err)
	_, err = here.Undo(t.Context(), db.Act{ID: newID(t), Person: "u9"}, move.ID.String())
	require.NoError(t, err)

	takeWasher(t, here)
	require.NoError(t, there.NewPlace(t.Context(), "T-D99", "truck", db.ChangeOptions{}))
	_, err = here.MoveStock(t.Context(), db.Move{Act: act(t), Kind: "move", Part: "CRW-10", Quantity: 1, From: "T-D03", To: "T-D99"})
	require.NoError(t, err)

	takeWasher(t, here)
	_, err = there.Pool().Exec(t.Context(), `UPDATE clock SET ahead_by = ahead_by + interval '3 days'`)
	require.NoError(t, err)
	now, _, err := there.Now(t.Context())
	require.NoError(t, err)
	job = oneWasher(t)
	job.At = now.Add(-time.Hour)
	_, _, err = here.LogJob(t.Context(), job)
	require.NoError(t, err, "an hour ago by the clock as it is now")

	_, err = there.Pool().Exec(t.Context(), `INSERT INTO season (code, time_zone, currency, first_on, last_on) VALUES ('2028', 'Europe/Vienna', 'EUR', '2028-01-01', '2028-12-31');
		UPDATE plan_version SET version = version + 1; UPDATE clock SET ahead_by = ahead_by + interval '240 days'`)
	require.NoError(t, err)
	move = act(t)
	_, err = here.MoveCase(t.Context(), move, "T-D03", "W-A2")
	require.NoError(t, err)
	var season string
	require.NoError(t, here.Pool().QueryRow(t.Context(), `SELECT s.code FROM entry AS e JOIN season AS s ON s.id = e.season_id WHERE e.id = $1`, move.ID).Scan(&season))
	require.Equal(t, "2028", season)
}

// Whoever nobody knows is refused, whatever the record: nothing is written under the name.
func TestUnknownPersonIsRefused(t *testing.T) {
	t.Parallel()
	s := demoStore(t)
	a := db.Act{Person: "u99"}
	for name, send := range map[string]func(a db.Act) error{
		"job": func(a db.Act) error {
			j := oneWasher(t)
			j.Person = a.Person
			_, _, err := s.LogJob(t.Context(), j)
			return err
		},
		"count": func(a db.Act) error { _, err := s.CountPart(t.Context(), a, "T-D03", "CRW-10", 1); return err },
		"undo":  func(a db.Act) error { _, err := s.Undo(t.Context(), a, takeWasherID(t, s)); return err },
		"order placed": func(a db.Act) error {
			_, err := s.ConfirmOrder(t.Context(), db.OrderStep{Order: "PO-014", Person: a.Person})
			return err
		},
		"arrival": func(a db.Act) error {
			_, _, err := s.ArriveOrder(t.Context(), db.Arrival{Act: a, Order: "PO-014"})
			return err
		},
		"plain record": func(a db.Act) error {
			_, err := s.Record(t.Context(), db.Request{ID: a.ID, Kind: "count", Person: a.Person})
			return err
		},
	} {
		a.ID = newID(t)
		err := send(a)
		require.ErrorIs(t, err, db.ErrRefused, name)
		require.ErrorContains(t, err, "no person u99", name)
	}
}

func takeWasherID(t *testing.T, s *db.Store) string {
	t.Helper()
	j := oneWasher(t)
	_, _, err := s.LogJob(t.Context(), j)
	require.NoError(t, err)
	return j.ID.String()
}
