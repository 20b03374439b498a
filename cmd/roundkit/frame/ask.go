package frame

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"

	"roundkit/reports/term"
)

// Asks reports whether a person can be asked: one sees the question and can type.
func (e *Env) Asks() bool { return e.InTerminal && e.ErrTerminal }

// ErrStopped ends a command whose person stopped it before anything was recorded.
var ErrStopped = errors.New("stopped, nothing recorded")

// Ask puts a question on the standard error, where answers of the program never go, and
// returns the line typed. The end of the input is ErrStopped: it answers nothing. Ask only
// where Asks.
func (e *Env) Ask(format string, args ...any) (string, error) {
	fmt.Fprint(e.Err, term.Clean(fmt.Sprintf(format, args...))+" ")
	if e.lines == nil {
		e.lines = bufio.NewReader(e.In)
	}
	line, err := e.lines.ReadString('\n')
	if err == io.EOF {
		fmt.Fprintln(e.Err)
		if err = nil; line == "" {
			err = ErrStopped
		}
	}
	return strings.TrimSpace(line), err
}

// Tell puts a line on the standard error, between questions.
func (e *Env) Tell(format string, args ...any) {
	fmt.Fprintln(e.Err, term.Clean(fmt.Sprintf(format, args...)))
}
