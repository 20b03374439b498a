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
	// ErrLater: the server cannot do it now, whatever is asked; nothing was written. The
	// error says what has to be done first. The same request again is safe.
	ErrLater = errors.New("not now")
)

// later says of the server's own troubles what is to be done, by the code of its error or the
// first two characters of it.
var later = map[string]string{
	"53100": "the disk of the database is full: make room on it, then the same again",
	"53200": "the database server is out of memory: close other programs on it, then the same again",
	"53300": "the database server takes no more connections: close other programs that use it, then the same again",
	"53":    "the database server lacks what it needs for this: look at its log, then the same again",
	"25006": "this database can only be read, it may be a standby: use the one that is written to, then the same again",
	"58":    "the database server cannot read or write its files: look at its disk and its log, then the same again",
}

// wrap names what was being done; no driver error leaves the package bare.
func wrap(err *error, format string, args ...any) {
	if *err == nil {
		return
	}
	what := fmt.Sprintf(format, args...)
	var pg *pgconn.PgError
	if errors.As(*err, &pg) {
		kind := ErrRefused
		said := later[pg.Code]
		if said == "" && len(pg.Code) > 2 {
			said = later[pg.Code[:2]]
		}
		switch {
		case said != "":
			*err = fmt.Errorf("%s: %w: %s", what, ErrLater, said)
			return
		case pg.Code == "40001", pg.Code == "40P01", pg.Code == "55P03":
			kind = ErrConflict
		case strings.HasPrefix(pg.Code, "57P"), strings.HasPrefix(pg.Code, "08"): // shut down, cut, starting up
			kind = ErrLost
		}
		detail := ""
		if pg.Detail != "" {
			detail = ": " + pg.Detail
		}
		*err = fmt.Errorf("%s: %w: %s%s", what, kind, pg.Message, detail)
		return
	}
	var op *net.OpError
	if !errors.Is(*err, ErrLost) && (errors.As(*err, &op) || errors.Is(*err, io.EOF) || errors.Is(*err, io.ErrUnexpectedEOF) || errors.Is(*err, net.ErrClosed) ||
		strings.Contains((*err).Error(), "conn closed")) { // pgconn has no name for the last
		*err = fmt.Errorf("%w: %w", ErrLost, *err)
	}
	*err = fmt.Errorf("%s: %w", what, *err)
}
