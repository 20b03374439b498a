package frame

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"roundkit/reports/term"
)

// ErrStopped ends a command whose person stopped it at a question (Ctrl-C, Ctrl-D): that is
// never an answer, and nothing was recorded yet.
var ErrStopped = errors.New("stopped, nothing recorded")

// Asks reports whether a person can be asked: one sees the question and can type.
func (e *Env) Asks() bool { return e.InTerminal && e.ErrTerminal }

// Ask puts a question on the standard error, where answers of the program never go, and
// returns the line typed. It returns ErrStopped at the end of the input and as soon as ctx is
// over. Ask only where Asks, and before the first record.
func (e *Env) Ask(ctx context.Context, format string, args ...any) (string, error) {
	fmt.Fprint(e.Err, e.errLook().Wrapped(fmt.Sprintf(format, args...))+" ")
	if e.lines == nil {
		e.lines = readLines(e.In)
	}
	select {
	case <-ctx.Done():
	case line, ok := <-e.lines:
		if ok {
			return strings.TrimSpace(line), nil
		}
	}
	fmt.Fprintln(e.Err) // the question's line has no end yet
	return "", ErrStopped
}

// readLines reads lines beside the program: a read of a terminal cannot be taken back, and a
// person who stops must not wait for one. A last line without its end is half an answer, and
// none.
func readLines(in io.Reader) <-chan string {
	lines := make(chan string)
	go func() {
		defer close(lines)
		reader := bufio.NewReader(in)
		for {
			line, err := reader.ReadString('\n')
			if err != nil {
				return
			}
			lines <- line
		}
	}()
	return lines
}

// Sure asks whether to go on; only "y" and "yes" are.
func (e *Env) Sure(ctx context.Context, format string, args ...any) (bool, error) {
	text, err := e.Ask(ctx, format+" [y/N]", args...)
	text = strings.ToLower(text)
	return text == "y" || text == "yes", err
}

// Tell puts a line on the standard error, between questions.
func (e *Env) Tell(format string, args ...any) {
	fmt.Fprintln(e.Err, e.errLook().Wrapped(fmt.Sprintf(format, args...)))
}

// errLook is how text is wrapped on the standard error: to the width where a person reads it,
// not at all where a program does.
func (e *Env) errLook() term.Look {
	if !e.ErrTerminal {
		return term.Look{Columns: math.MaxInt}
	}
	return term.Look{Columns: e.columns()}
}
