package frame

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
)

// ErrNoPager is the error of Env.Page where there is no program to page with.
var ErrNoPager = errors.New("no pager")

// Output is what a run prints. Of an answer that may be longer than the terminal it keeps all
// until the end; else it is a buffer that Flush empties.
type Output struct {
	*bufio.Writer
	held bytes.Buffer
	hold bool
}

// NewOutput returns an output that ends in w.
func NewOutput(w io.Writer) *Output {
	const atOnce = 1 << 16 // bytes
	return &Output{Writer: bufio.NewWriterSize(w, atOnce)}
}

func (o *Output) Write(text []byte) (int, error) {
	if o.hold {
		return o.held.Write(text)
	}
	return o.Writer.Write(text)
}

// Flush shows what was printed so far: somebody is about to be asked.
func (o *Output) Flush() error {
	if o.hold {
		o.hold = false
		if _, err := o.held.WriteTo(o.Writer); err != nil {
			return err
		}
	}
	return o.Writer.Flush()
}

// Listing says that what is printed may be longer than the terminal: End then shows it page
// by page. It does nothing where no terminal is known to be there.
func (e *Env) Listing() {
	if o, ok := e.Out.(*Output); ok && e.OutTerminal && e.TerminalRows > 0 {
		o.hold = true
	}
}

// End shows what is left. A listing with more lines than the terminal goes through the person's
// pager; where there is none its first lines are printed, and how many there are.
func (e *Env) End(ctx context.Context) error {
	o, ok := e.Out.(*Output)
	if !ok {
		return nil
	}
	text := o.held.Bytes()
	const prompt = 1 // the shell's own line
	room := e.TerminalRows - prompt
	if !o.hold || bytes.Count(text, []byte("\n")) <= room {
		return o.Flush()
	}
	if e.Page != nil {
		err := e.Page(ctx, text)
		if !errors.Is(err, ErrNoPager) {
			return err
		}
	}
	lines := bytes.SplitAfter(text, []byte("\n"))
	shown := max(room-1, 1)
	o.held.Reset()
	o.held.Write(bytes.Join(lines[:shown], nil))
	fmt.Fprintf(&o.held, "%d more lines: --all\n", bytes.Count(text, []byte("\n"))-shown)
	return o.Flush()
}
