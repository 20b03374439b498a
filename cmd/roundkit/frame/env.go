package frame

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"roundkit/db"
	"roundkit/planner/load"
	"roundkit/reports/term"
)

// Env is all that a command may know of the machine it runs on. The real one is made
// in main, tests make their own; no command looks past it.
type Env struct {
	In  io.Reader
	Out io.Writer // answers
	Err io.Writer // faults, hints, progress

	// OutTerminal and ErrTerminal say whether a person is looking at the stream, InTerminal
	// whether one can type.
	OutTerminal, ErrTerminal, InTerminal bool
	// TerminalColumns and TerminalRows are the size of the terminal, 0 where it is not known.
	TerminalColumns, TerminalRows int
	// Page shows a text page by page and returns when the person has read it. ErrNoPager: there is
	// no program that does it, and nothing was shown.
	Page func(ctx context.Context, text []byte) error

	// DataHome is the system's folder for the data of programs, "" where there is none.
	DataHome string
	// Replace says that files which are there already are written over (--replace).
	Replace bool
	// SearchSeconds is how long a load is searched for where nobody says; 0: as usual.
	SearchSeconds float64
	// Lookup reads an environment variable.
	Lookup func(name string) (string, bool)
	// Now is the computer's clock.
	Now func() time.Time

	recorded []string  // names of what this run has recorded
	parts    *sync.Map // paths of files in the making, once they are watched

	lines  <-chan string // of In, once somebody was asked
	handed *db.Store     // open, for the next command that opens it
}

// Searches is how many seconds a load is searched for where nobody says.
func (e *Env) Searches() float64 {
	if e.SearchSeconds > 0 {
		return e.SearchSeconds
	}
	return load.UsualSeconds
}

// Variable returns an environment variable, "" where it is not set.
func (e *Env) Variable(name string) string {
	value, _ := e.Lookup(name)
	return value
}

// Look returns how tables are drawn on the standard output.
func (e *Env) Look() term.Look {
	return term.Look{Columns: e.columns(), Terminal: e.OutTerminal, Colour: e.OutTerminal && e.colour()}
}

// Progress returns a display of how far a long piece of work is, which shows nothing
// where the standard error is not a terminal.
func (e *Env) Progress(ctx context.Context, title string, total int) *term.Progress {
	if !e.ErrTerminal || e.Variable("TERM") == "dumb" {
		return term.NoProgress()
	}
	return term.NewProgress(ctx, e.Err, title, total)
}

// quietFor is how long a command works before it shows what it does.
const quietFor = 2 * time.Second

// Working shows on a terminal what a command does once that takes longer, until done is called.
func (e *Env) Working(ctx context.Context, title string) (done func()) {
	var shown sync.Mutex
	var bar *term.Progress
	over := false
	timer := time.AfterFunc(quietFor, func() {
		shown.Lock()
		defer shown.Unlock()
		if !over {
			bar = e.Progress(ctx, title, 0)
		}
	})
	return func() {
		timer.Stop()
		shown.Lock()
		defer shown.Unlock()
		if over = true; bar != nil {
			bar.Done()
		}
	}
}

// columns is the width to fit: what COLUMNS asks for, else the terminal's, else a
// hundred, so that what is piped reads the same everywhere.
func (e *Env) columns() int {
	if n, err := strconv.Atoi(e.Variable("COLUMNS")); err == nil && n > 0 {
		return n
	}
	if e.OutTerminal && e.TerminalColumns > 0 {
		return e.TerminalColumns
	}
	return term.DefaultColumns
}

// colour follows no-color.org: NO_COLOR set to anything but nothing switches it off.
func (e *Env) colour() bool {
	return e.Variable("NO_COLOR") == "" && e.Variable("TERM") != "dumb"
}

// Recorded notes the name of what now stands in the database: what fails from here on is no
// failure of the record, and the person must not do it again.
func (e *Env) Recorded(name string) {
	if !slices.Contains(e.recorded, name) {
		e.recorded = append(e.recorded, name)
	}
}

// HasRecorded reports whether this run has recorded something.
func (e *Env) HasRecorded() bool { return len(e.recorded) > 0 }

// SayUnshown says that what was recorded stands though its answer could not be shown.
func (e *Env) SayUnshown(err error) {
	text := strings.ReplaceAll(err.Error(), "\n", "; ")
	fmt.Fprintf(e.Err, "roundkit: recorded as %s; the rest could not be shown: %s\n", strings.Join(e.recorded, ", "), term.Clean(text))
}
