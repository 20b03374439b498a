package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"os/signal"
	"syscall"

	"roundkit/cmd/roundkit/frame"
)

// page shows a text in the person's pager: PAGER, else less. An empty PAGER is a wish for none,
// and all is printed. Ctrl-C is the pager's while it runs; quitting it early is no fault.
func page(ctx context.Context, text []byte) error {
	wanted, said := os.LookupEnv("PAGER")
	if said && wanted == "" {
		_, err := os.Stdout.Write(text)
		return err
	}
	if !said {
		wanted = "less"
		if _, err := exec.LookPath(wanted); err != nil {
			return frame.ErrNoPager
		}
	}
	pager := exec.CommandContext(ctx, "sh", "-c", wanted) // PAGER may have options (POSIX, man)
	pager.Cancel = func() error { return pager.Process.Signal(syscall.SIGTERM) }
	pager.Stdin, pager.Stdout, pager.Stderr = bytes.NewReader(text), os.Stdout, os.Stderr
	pager.Env = os.Environ()
	if _, said := os.LookupEnv("LESS"); !said {
		pager.Env = append(pager.Env, "LESS=FRX") // colours as they are, and the text stays on the screen
	}
	signal.Ignore(os.Interrupt)
	defer signal.Reset(os.Interrupt)
	err := pager.Run()
	const notFound, notRun = 127, 126 // of a shell: POSIX 2.8.2
	var ended *exec.ExitError
	if errors.As(err, &ended) {
		if code := ended.ExitCode(); code == notFound || code == notRun {
			return frame.ErrNoPager
		}
		return nil // left as the person wished
	}
	if errors.Is(err, syscall.EPIPE) {
		return nil
	}
	return err
}
