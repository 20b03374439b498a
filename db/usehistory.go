package db

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
)

// PeriodUse is what a part used in one period, in its base unit.
type PeriodUse struct {
	Part     string `json:"part"`
	Period   string `json:"period"` // 2026-03 or 2026-W09
	Quantity int64  `json:"quantity"`
}

// AddUseHistory keeps periods that are not known yet, all or none, and returns how many are new.
// One that is known with another quantity is refused: history does not change.
func (s *Store) AddUseHistory(ctx context.Context, rows []PeriodUse, dryRun bool) (added int, err error) {
	const atOnce = 50_000 // rows of one statement: some megabytes
	err = s.Transact(ctx, pgx.TxOptions{}, func(q *sqlcgen.Queries, _ pgx.Tx) (err error) {
		defer wrap(&err, "keep the history")
		added = 0
		if err := q.UseHistoryLock(ctx); err != nil {
			return err
		}
		for rest := rows; len(rest) > 0; {
			some := rest[:min(atOnce, len(rest))]
			rest = rest[len(some):]
			text, err := json.Marshal(some)
			if err != nil {
				return err
			}
			other, err := q.UseHistoryOtherwise(ctx, text)
			if err != nil {
				return err
			}
			if len(other) > 0 {
				o := other[0]
				return &OtherHistoryError{PeriodUse{o.Part, o.Period, o.Quantity}, len(other)}
			}
			n, err := q.UseHistoryAdd(ctx, text)
			if err != nil {
				return err
			}
			added += int(n)
		}
		if dryRun {
			return errDryRun
		}
		return nil
	})
	if errors.Is(err, errDryRun) {
		err = nil
	}
	return added, err
}

// OtherHistoryError says that periods are known with another quantity.
type OtherHistoryError struct {
	Known PeriodUse // the first of them, as it is known
	Count int
}

func (e *OtherHistoryError) Error() string {
	return fmt.Sprintf("%s %s is known with another quantity", e.Known.Part, e.Known.Period)
}

func (e *OtherHistoryError) Unwrap() error { return ErrRefused }

// UseHistory lists every period kept, by part and period.
func (s *Store) UseHistory(ctx context.Context) (all []PeriodUse, err error) {
	defer wrap(&err, "read the history")
	rows, err := sqlcgen.New(s.pool).UseHistoryList(ctx)
	for _, r := range rows {
		all = append(all, PeriodUse{r.Part, r.Period, r.Quantity})
	}
	return all, err
}
