package frame

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"roundkit/db/cluster"
	"roundkit/reports/term"
)

// Exit statuses of the program.
const (
	Done    = 0
	Refused = 1
	Wrong   = 2 // wrong usage
)

// ErrUsage marks an error that is the caller's wording, not the data's: an unknown
// option, a missing argument. errors.Is finds it.
var ErrUsage = errors.New("wrong usage")

// ErrFailed ends a command whose answer, already printed, is "no": a check that did
// not pass. It gives status 1 and prints nothing more.
var ErrFailed = errors.New("failed")

// fault is an error with the status it ends in and what to do next.
type fault struct {
	text  string
	kind  error
	cause error
	hints []string
}

func (f *fault) Error() string { return f.text }

func (f *fault) Unwrap() []error {
	var all []error
	for _, err := range []error{f.kind, f.cause} {
		if err != nil {
			all = append(all, err)
		}
	}
	return all
}

// Usagef returns a wrong-usage error. Its text is one line: what was found and what
// was expected.
func Usagef(format string, args ...any) error {
	return &fault{text: fmt.Sprintf(format, args...), kind: ErrUsage}
}

// WithHint adds lines that say what to do next. They are printed below the error, each
// behind "hint:". A nil error stays nil.
func WithHint(err error, hints ...string) error {
	if err == nil {
		return nil
	}
	return &fault{text: err.Error(), cause: err, hints: hints}
}

// status is the one place where kinds of errors become exit statuses.
func status(err error) int {
	switch {
	case err == nil:
		return Done
	case errors.Is(err, ErrUsage), errors.Is(err, cluster.ErrName):
		return Wrong
	default:
		return Refused
	}
}

// Report prints err, where there is something to print, and returns the exit status.
// An error of several lines (all faults of a workbook) keeps them, each indented; what
// could drive a terminal is taken out of it, because names come from files.
func Report(w io.Writer, err error) int {
	const unwrapped = 1 << 20 // wider than any line
	return report(w, term.Look{Columns: unwrapped}, err)
}

// Report is Report for the person at the standard error: at a terminal whose size is known, lines
// break at words.
func (e *Env) Report(err error) int {
	if e.ErrTerminal && e.TerminalRows > 0 && e.TerminalColumns > 0 {
		return report(e.Err, term.Look{Columns: e.TerminalColumns}, err)
	}
	return Report(e.Err, err)
}

func report(w io.Writer, look term.Look, err error) int {
	switch {
	case err == nil || errors.Is(err, ErrFailed):
	case errors.Is(err, ErrStopped):
		fmt.Fprintln(w, "roundkit: "+ErrStopped.Error())
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(w, "roundkit: stopped")
	default:
		text := strings.ReplaceAll(strings.TrimSpace(err.Error()), "\r\n", "\n")
		for i, line := range strings.Split(text, "\n") {
			prefix := "roundkit: "
			if i > 0 {
				prefix = "  "
			}
			fmt.Fprintln(w, look.Wrapped(prefix+line))
		}
		for _, hint := range hintsOf(err) {
			fmt.Fprintln(w, look.Wrapped("hint: "+hint))
		}
	}
	return status(err)
}

// hintsOf collects the hints of an error and of all that it wraps, outermost first.
func hintsOf(err error) []string {
	var hints []string
	if f, ok := err.(*fault); ok {
		hints = append(hints, f.hints...)
	}
	switch wrapped := err.(type) {
	case interface{ Unwrap() error }:
		if inner := wrapped.Unwrap(); inner != nil {
			hints = append(hints, hintsOf(inner)...)
		}
	case interface{ Unwrap() []error }:
		for _, inner := range wrapped.Unwrap() {
			hints = append(hints, hintsOf(inner)...)
		}
	}
	return hints
}
