package frame

import (
	"cmp"
	"context"
	"time"

	"roundkit/db"
	"roundkit/db/cluster"
	"roundkit/planner/forecast"
)

// Cluster returns where the database is to be: DATABASE_URL and ROUNDKIT_HOME as the
// environment has them, and the name given with --db, else in ROUNDKIT_DB.
func (e *Env) Cluster(o Options) cluster.Options {
	return cluster.Options{
		URL:      e.Variable("DATABASE_URL"),
		Home:     e.Variable("ROUNDKIT_HOME"),
		Database: cmp.Or(o.Database, e.Variable("ROUNDKIT_DB")),
	}
}

// OpenStore opens the database, starting and making what is not there yet. The caller
// closes it.
func (e *Env) OpenStore(ctx context.Context, o Options) (*db.Store, error) {
	if store := e.handed; store != nil {
		e.handed = nil
		return store, nil
	}
	store, err := db.Open(ctx, e.Cluster(o), e.Backups())
	if err == nil {
		e.keepNames(ctx, store, o.Database)
	}
	return store, err
}

// Hand gives an open store to the command that runs next, on the same database: what a
// line means is read and recorded through one.
func (e *Env) Hand(store *db.Store) { e.handed = store }

// Release closes a store that was handed on and that nobody took: the command ended before
// it needed one.
func (e *Env) Release() {
	if e.handed != nil {
		e.handed.Close()
		e.handed = nil
	}
}

// SeasonView is what a question is asked of: the season as known on a day.
type SeasonView struct {
	*forecast.Outlook
	// Clock says the season's time where that is not the computer's, else "".
	Clock string
}

// OpenSeason reads the season that o names as of its day, and lets the database go.
func (e *Env) OpenSeason(ctx context.Context, o Options) (SeasonView, error) {
	store, err := e.OpenStore(ctx, o)
	if err != nil {
		return SeasonView{}, err
	}
	defer store.Close()
	return ReadSeason(ctx, store, o)
}

// ReadSeason is OpenSeason on a store that is open, and stays so.
func ReadSeason(ctx context.Context, store *db.Store, o Options) (SeasonView, error) {
	snapshot, err := store.Snapshot(ctx, db.SnapshotOptions{Season: o.Season, AsOf: o.AsOf})
	if err != nil {
		return SeasonView{}, err
	}
	outlook, err := forecast.New(snapshot)
	if err != nil {
		return SeasonView{}, err
	}
	season := SeasonView{Outlook: outlook}
	season.Clock, err = Clock(ctx, store, snapshot.Zone)
	return season, err
}

// Clock says the season's time where that is not the computer's, else "".
func Clock(ctx context.Context, store *db.Store, zone *time.Location) (string, error) {
	now, ahead, err := store.Now(ctx)
	if err != nil || ahead == 0 {
		return "", err
	}
	return "season clock " + now.In(zone).Format("2006-01-02 15:04"), nil
}

// Asked turns the options into the planner's question. A season named without a round
// or a trip is asked about as a whole.
func (o Options) Asked() (forecast.Options, error) {
	if len(o.Rounds) > 0 && o.Trip != "" {
		return forecast.Options{}, Usagef("found --round and --trip, expected one of them")
	}
	return forecast.Options{
		Rounds: o.Rounds, Trip: o.Trip, Confidence: o.Confidence, At: o.At,
		Season: o.Season != "" && len(o.Rounds) == 0 && o.Trip == "",
	}, nil
}
