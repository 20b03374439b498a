package db

import (
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"net"
	"slices"
	"strconv"
	"strings"
	"syscall"

	"github.com/jackc/pgx/v5/pgconn"

	"roundkit/planner/act"
)

// Kinds of refusal that callers tell apart with errors.Is.
var (
	ErrNotFound = errors.New("not found")
	ErrRefused  = errors.New("refused")
	ErrConflict = errors.New("conflict")
	// ErrDoubt: it can hardly be meant; the same with Sure is taken.
	ErrDoubt = act.ErrDoubt
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

// turnedAway says the same of a connection that the server refuses.
var turnedAway = map[string]string{
	"28":    "the database server does not take this user and password: mend the address of the database (or its password file), then the same again",
	"3D000": "the database server has no database of that name: mend the address of the database, then the same again",
}

// saidOf finds what is said of a code, or of its first two characters.
func saidOf(words map[string]string, code string) string {
	if said := words[code]; said != "" || len(code) < 3 {
		return said
	}
	return words[code[:2]]
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
		said, away := saidOf(later, pg.Code), saidOf(turnedAway, pg.Code)
		switch {
		case said != "":
			*err = fmt.Errorf("%s: %w: %s", what, ErrLater, said)
			return
		case away != "":
			*err = fmt.Errorf("%s: %w: %s", what, ErrRefused, away)
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
	if said, ok := noAnswer(*err); ok {
		*err = fmt.Errorf("%s: %w", what, unanswered{said, *err})
		return
	}
	var op *net.OpError
	if !errors.Is(*err, ErrLost) && (errors.As(*err, &op) || errors.Is(*err, io.EOF) || errors.Is(*err, io.ErrUnexpectedEOF) || errors.Is(*err, net.ErrClosed) ||
		strings.Contains((*err).Error(), "conn closed")) { // pgconn has no name for the last
		*err = fmt.Errorf("%w: %w", ErrLost, *err)
	}
	*err = fmt.Errorf("%s: %w", what, *err)
}

// unanswered is ErrLost of a connection that could not be made at all: the words of the driver,
// which name a line for each try, are in its cause alone.
type unanswered struct {
	said  string
	cause error
}

func (u unanswered) Error() string        { return u.said }
func (u unanswered) Is(target error) bool { return target == ErrLost }
func (u unanswered) Unwrap() error        { return u.cause }

// noAnswer says which servers do not answer, of a connection that could not be made.
func noAnswer(err error) (string, bool) {
	var failed *pgconn.ConnectError
	if !errors.As(err, &failed) {
		return "", false
	}
	var at []string
	add := func(host string, port uint16) {
		one := net.JoinHostPort(host, strconv.Itoa(int(port)))
		if strings.HasPrefix(host, "/") {
			one = "the socket in " + host
		}
		if !slices.Contains(at, one) {
			at = append(at, one)
		}
	}
	add(failed.Config.Host, failed.Config.Port)
	for _, f := range failed.Config.Fallbacks {
		add(f.Host, f.Port)
	}
	why := "no answer in time, or no connection as the address asks for it"
	var name *net.DNSError
	var number syscall.Errno
	var certificate *tls.CertificateVerificationError
	switch {
	case errors.As(err, &name):
		why = "no such host: " + name.Name
	case errors.As(err, &number):
		why = number.Error()
	case errors.As(err, &certificate):
		why = "its certificate does not hold: " + certificate.Err.Error()
	}
	return fmt.Sprintf("no database server answers at %s (%s): see that it runs and that the address is right, then the same again", strings.Join(at, " or "), why), true
}
