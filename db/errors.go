package db

import (
	"errors"
	"fmt"
	"io"
	"net"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"
)

// Kinds of refusal that callers tell apart with errors.Is.
var (
	ErrNotFound = errors.New("not found")
	ErrRefused  = errors.New("refused")
	ErrConflict = errors.New("conflict")
	// ErrDoubt: it can hardly be meant; the same with Sure is taken.
	ErrDoubt = errors.New("in doubt")
	// ErrLost: the connection or the server went away. Whether a record was written is not
	// known; the same request again under the same id is safe.
	ErrLost = errors.New("the connection to the database was lost")
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
		switch {
		case pg.Code == "40001", pg.Code == "40P01", pg.Code == "55P03":
			kind = ErrConflict
		case strings.HasPrefix(pg.Code, "57P"), strings.HasPrefix(pg.Code, "08"): // shut down, cut, starting up
			kind = ErrLost
		}
		detail := ""
		if pg.Detail != "" {
			detail = ": " + pg.Detail
		}
		*err = fmt.Errorf("%s: %w: %s%s (SQLSTATE %s)", what, kind, pg.Message, detail, pg.Code)
		return
	}
	var op *net.OpError
	if !errors.Is(*err, ErrLost) && (errors.As(*err, &op) || errors.Is(*err, io.EOF) || errors.Is(*err, io.ErrUnexpectedEOF) || errors.Is(*err, net.ErrClosed) ||
		strings.Contains((*err).Error(), "conn closed")) { // pgconn has no name for the last
		*err = fmt.Errorf("%w: %w", ErrLost, *err)
	}
	*err = fmt.Errorf("%s: %w", what, *err)
}
