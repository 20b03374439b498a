package db

import (
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5/pgconn"
)

// Kinds of refusal that callers tell apart with errors.Is.
var (
	ErrNotFound = errors.New("not found")
	ErrRefused  = errors.New("refused")
	ErrConflict = errors.New("conflict")
)

// wrap names what was being done; no driver error leaves the package bare.
func wrap(err *error, format string, args ...any) {
	if *err == nil {
		return
	}
	what := fmt.Sprintf(format, args...)
	var pg *pgconn.PgError
	if errors.As(*err, &pg) {
		kind := ErrRefused
		switch pg.Code {
		case "40001", "40P01", "55P03":
			kind = ErrConflict
		}
		detail := ""
		if pg.Detail != "" {
			detail = ": " + pg.Detail
		}
		*err = fmt.Errorf("%s: %w: %s%s (SQLSTATE %s)", what, kind, pg.Message, detail, pg.Code)
		return
	}
	*err = fmt.Errorf("%s: %w", what, *err)
}
