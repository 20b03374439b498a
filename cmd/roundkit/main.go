// Command roundkit plans a race team's suspension parts and consumables: what the
// rounds will use, what to pack, what to order, and what is where.
//
// This file hands the machine to the app; nothing else of the program reads the
// environment, the clock or the terminal.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	"time"

	"github.com/adrg/xdg"
	"golang.org/x/term"

	"roundkit/cmd/roundkit/app"
	"roundkit/cmd/roundkit/frame"
)

func main() {
	os.Exit(run())
}

func run() int {
	// After the first signal the default is back, so that a second one ends at once. It does
	// not come back at the end: a signal to a command that is done must not make it look undone.
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)

	out := int(os.Stdout.Fd())
	columns, rows, err := term.GetSize(out)
	if err != nil {
		columns, rows = 0, 0 // not a terminal
	}
	return app.Run(ctx, frame.Env{
		In:              os.Stdin,
		Out:             os.Stdout,
		Err:             os.Stderr,
		OutTerminal:     term.IsTerminal(out),
		ErrTerminal:     term.IsTerminal(int(os.Stderr.Fd())),
		InTerminal:      term.IsTerminal(int(os.Stdin.Fd())),
		TerminalColumns: columns,
		TerminalRows:    rows,
		Page:            page,
		DataHome:        xdg.DataHome,
		Lookup:          os.LookupEnv,
		Now:             time.Now,
	}, os.Args[1:])
}
