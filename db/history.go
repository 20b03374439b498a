package db

import (
	"context"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner/day"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

// History lists the movements of a part up to the end of a day (nil: now), in the order of
// time. An unknown part is an error that names a near one.
func (s *Store) History(ctx context.Context, part string, o SnapshotOptions) (moved []stock.Moved, unit units.Unit, err error) {
	err = s.asOf(ctx, o, func(q *sqlcgen.Queries, k *known, before time.Time) error {
		p, err := k.book.Part(part)
		if err != nil {
			return err
		}
		unit = p.Unit
		rows, err := q.HistoryOf(ctx, before, k.season.ID, part)
		if err != nil {
			wrap(&err, "read the history of %s", part)
			return err
		}
		for _, r := range rows {
			moved = append(moved, stock.Moved{Entry: r.ID, At: r.HappenedAt.In(k.zone), Person: r.Person, Kind: r.Kind, Undo: r.Undone,
				TakenBack: r.TakenBack, Redo: r.Redo, PutBack: r.PutBack, Service: r.Service,
				Assembly: r.Assembly, Lot: r.Lot, Tag: r.Tag, From: r.FromPlace, To: r.ToPlace, Quantity: units.Quantity(r.Quantity),
				Reference: r.Reference, Notes: r.Notes})
		}
		return nil
	})
	return moved, unit, err
}

// JobDone is a job of the log.
type JobDone struct {
	ID                       uuid.UUID
	Code                     string // of a workbook; empty for what was logged here
	At, RecordedAt           time.Time
	Person                   string
	Round, Service, Assembly string
	Notes                    string
	UndoneAt                 *time.Time
	UndoneBy                 string
	RedoneBy                 uuid.UUID // the job that puts it back; nil: none does
	Redoes                   uuid.UUID // the job that it puts back; nil: none
	RedoneAt                 *time.Time
}

// Jobs lists the jobs done up to the end of a day (nil: now), the latest first.
func (s *Store) Jobs(ctx context.Context, o SnapshotOptions) (jobs []JobDone, err error) {
	err = s.asOf(ctx, o, func(q *sqlcgen.Queries, k *known, before time.Time) error {
		rows, err := q.JobsOf(ctx, before, k.season.ID)
		if err != nil {
			wrap(&err, "read the job log")
			return err
		}
		for _, r := range rows {
			j := JobDone{ID: r.ID, Code: r.Code, At: r.HappenedAt.In(k.zone), RecordedAt: r.RecordedAt.In(k.zone), Person: r.Person, Round: r.Round,
				Service: r.Service, Assembly: r.Assembly, Notes: r.Notes, UndoneBy: r.UndoneBy}
			j.RedoneBy, j.Redoes = r.RedoneBy.UUID, r.Redoes.UUID
			if r.RedoneAt != nil {
				at := r.RedoneAt.In(k.zone)
				j.RedoneAt = &at
			}
			if r.UndoneAt != nil {
				at := r.UndoneAt.In(k.zone)
				j.UndoneAt = &at
			}
			jobs = append(jobs, j)
		}
		return nil
	})
	return jobs, err
}

// asOf reads in one transaction, with the season's plan and the instant that ends the day.
func (s *Store) asOf(ctx context.Context, o SnapshotOptions, f func(q *sqlcgen.Queries, k *known, before time.Time) error) error {
	k, err := s.known(ctx, o.Season, true)
	if err != nil {
		return err
	}
	before := time.Now().Add(k.ahead + maxAhead)
	if o.AsOf != nil {
		before = day.Day(*o.AsOf).End(k.zone)
	}
	return s.Transact(ctx, readOnly, func(q *sqlcgen.Queries, _ pgx.Tx) error { return f(q, k, before) })
}
