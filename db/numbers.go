package db

import (
	"context"
	"encoding/json"
	"fmt"

	"roundkit/db/sqlcgen"
)

// setNumbers puts what the change says in the place of what it found, if that still stands.
func (c change) setNumbers(ctx context.Context, q *sqlcgen.Queries) error {
	texts := func(was, now any) (w, n []byte, err error) {
		if w, err = json.Marshal(was); err == nil {
			n, err = json.Marshal(now)
		}
		return w, n, err
	}
	var rows int64
	what := "the rate of " + c.Subject
	if c.What == changedLine {
		what = c.Subject + " in " + c.Service
		was, now, err := texts(c.Was.Line, c.Now.Line)
		if err != nil {
			return err
		}
		if rows, err = q.LineNumbersSet(ctx, was, c.Service, c.Subject, now); err != nil {
			wrap(&err, "change %s", what)
			return err
		}
	} else {
		was, now, err := texts(c.Was.Rate, c.Now.Rate)
		if err != nil {
			return err
		}
		if rows, err = q.RateNumbersSet(ctx, c.Subject, now, was); err != nil {
			wrap(&err, "change %s", what)
			return err
		}
	}
	if rows == 0 {
		return fmt.Errorf("%w: %s does not say %s any more: it was changed since", ErrRefused, what, c.Was.Word)
	}
	return nil
}
