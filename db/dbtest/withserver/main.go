// Command withserver runs a command with one test server for all of it:
//
//	go run ./db/dbtest/withserver go test ./...
//
// Every package's tests then clone their databases on that server, instead of
// starting one each. With -durable it keeps what was committed (fsync on), as a
// measurement needs it. The server ends with the command, unless a failed test kept
// its database there. A server that is given already is used as it is.
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"syscall"

	"roundkit/db/dbtest"
)

func main() {
	os.Exit(run(os.Args[1:]))
}

func run(command []string) int {
	serve := dbtest.Serve
	if len(command) > 0 && command[0] == "-durable" {
		serve, command = dbtest.ServeDurable, command[1:]
	}
	if len(command) == 0 {
		fmt.Fprintln(os.Stderr, "usage: withserver [-durable] COMMAND [ARGUMENT...]")
		return 2
	}
	// Ctrl-C reaches the command too; wait for it to end in its own way.
	signal.Ignore(os.Interrupt)
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer stop()
	address, finish, err := serve(ctx)
	if err != nil {
		fmt.Fprintln(os.Stderr, "withserver:", err)
		return 1
	}
	cmd := exec.CommandContext(ctx, command[0], command[1:]...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	cmd.Env = append(os.Environ(), dbtest.ServerVariable+"="+address)
	err = cmd.Run()
	kept, errFinish := finish(context.WithoutCancel(ctx))
	if errFinish != nil {
		fmt.Fprintln(os.Stderr, "withserver:", errFinish)
	}
	for _, name := range kept {
		fmt.Fprintln(os.Stderr, "withserver: a failed test's database is kept:", name)
	}
	var exit *exec.ExitError
	switch {
	case errors.As(err, &exit) && exit.ExitCode() > 0:
		return exit.ExitCode()
	case err != nil:
		fmt.Fprintln(os.Stderr, "withserver:", err)
		return 1
	case errFinish != nil:
		return 1
	}
	return 0
}
