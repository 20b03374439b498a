package db

import (
	"context"

	"roundkit/db/sqlcgen"
)

// recordAlone writes a record and looks whether the same was said shortly before: two people
// who both book in one parcel, or one who was not sure that it went through. It only warns,
// and what goes wrong in looking is a warning too: the record stands.
func (s *Store) recordAlone(ctx context.Context, r Request) (Recorded, error) {
	done, err := s.Record(ctx, r)
	if err != nil || r.DryRun || done.Repeat {
		return done, err
	}
	twins, err := sqlcgen.New(s.pool).EntryTwins(ctx, done.ID)
	if err != nil {
		done.Warnings = append(done.Warnings, "it is recorded, but whether the same was recorded before could not be seen")
		return done, nil
	}
	for _, t := range twins {
		done.Doubles = append(done.Doubles, Double{ID: t.ID, Person: t.Person, At: t.HappenedAt})
	}
	return done, nil
}
