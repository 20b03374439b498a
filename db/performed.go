package db

import (
	"context"
	"time"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/spend"
)

// Performed reads what was done and what it used, from the rows whatever is closed: the
// season so far, or the days asked for.
func (s *Store) Performed(ctx context.Context, o SpendOptions, snap *planner.Snapshot) (p spend.Performed, err error) {
	err = s.asOf(ctx, o.SnapshotOptions, func(q *sqlcgen.Queries, k *known, before time.Time) (err error) {
		defer wrap(&err, "read what was done")
		r := &spendReader{q: q, season: k.season.ID, zone: k.zone, view: spend.ByLine, before: before}
		since := time.Time{}
		if o.From != nil {
			since = o.From.Start(k.zone)
		}
		if o.To != nil && o.To.End(k.zone).Before(r.before) {
			r.before = o.To.End(k.zone)
		}
		var f spend.Facts
		if err := r.books(ctx, &f); err != nil {
			return err
		}
		p.Costs = f.Costs
		if p.Moves, err = r.moves(ctx, f.Months, since); err != nil {
			return err
		}
		jobs, err := q.SpendJobs(ctx, r.season, since, r.before)
		for _, j := range jobs {
			p.Jobs = append(p.Jobs, planner.DoneJobs{Round: j.Round, Service: j.Service, Assembly: j.Assembly, Jobs: int(j.Jobs)})
		}
		return err
	})
	return p, err
}
