// Package app puts the commands together and runs one: the whole program but for the
// machine, which is handed in.
package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/book"
	"roundkit/cmd/roundkit/calendar"
	"roundkit/cmd/roundkit/cameback"
	"roundkit/cmd/roundkit/charge"
	"roundkit/cmd/roundkit/check"
	"roundkit/cmd/roundkit/completion"
	"roundkit/cmd/roundkit/database"
	"roundkit/cmd/roundkit/demo"
	"roundkit/cmd/roundkit/difference"
	"roundkit/cmd/roundkit/frame"
	"roundkit/cmd/roundkit/glance"
	"roundkit/cmd/roundkit/history"
	"roundkit/cmd/roundkit/job"
	"roundkit/cmd/roundkit/labels"
	"roundkit/cmd/roundkit/learn"
	"roundkit/cmd/roundkit/line"
	"roundkit/cmd/roundkit/month"
	"roundkit/cmd/roundkit/need"
	"roundkit/cmd/roundkit/oil"
	"roundkit/cmd/roundkit/order"
	"roundkit/cmd/roundkit/pack"
	"roundkit/cmd/roundkit/papers"
	"roundkit/cmd/roundkit/plan"
	"roundkit/cmd/roundkit/rate"
	"roundkit/cmd/roundkit/reorder"
	"roundkit/cmd/roundkit/spend"
	"roundkit/cmd/roundkit/stock"
	"roundkit/cmd/roundkit/stores"
	"roundkit/cmd/roundkit/version"
)

const about = "roundkit plans a race team's suspension parts: what the rounds will use, what to pack, what to order, what is where."

// commands lists every command, in the order of the help page.
func commands(env *frame.Env) []*cli.Command {
	all := []*cli.Command{
		demo.Command(env),
		book.Command(env),
		stock.Command(env),
		line.Command(env, func(ctx context.Context, args []string) error { return run(ctx, env, args) }),
		job.Command(env),
		cameback.Command(env),
		difference.Command(env),
		plan.Round(env),
		plan.Command(env),
		need.Forecast(env),
		need.Explain(env),
		pack.Command(env),
		papers.Command(env),
		labels.Command(env),
		reorder.Command(env),
		order.Command(env),
		calendar.Command(env),
		spend.Command(env),
		charge.Command(env),
		month.Command(env),
		rate.Command(env),
		history.Command(env),
		learn.Command(env),
		oil.Command(env),
		oil.Rubber(env),
		check.Command(env),
		database.Command(env),
		completion.Command(env),
		version.Command(env),
	}
	// what happens to stock stands behind the jobs
	const behind = 5
	all = slices.Insert(all, behind, stores.Commands(env)...)
	return slices.Insert(all, 1, append([]*cli.Command{glance.Evening(env)}, glance.Commands(env)...)...)
}

// grace is how long a command may take to stop by itself once it is told to. What ended by
// then has cleared up; what has not is left, and ends with the process.
const grace = 50 * time.Millisecond

// Run runs one command line (without the program's name) and returns the exit status. It
// returns shortly after ctx is over, whatever the command is doing: planning knows of no
// context, and neither does a read from a pipe. Nothing is left half done by that: the
// server rolls back what was not committed, and a file has its name only when it is whole.
func Run(ctx context.Context, env frame.Env, args []string) int {
	env.Out = frame.NewOutput(env.Out)
	env.WatchParts()
	ended := make(chan error, 1)
	go func() {
		err := run(ctx, &env, args)
		env.Release()
		ended <- err
	}()
	var err error
	select {
	case err = <-ended:
	case <-ctx.Done():
		select {
		case err = <-ended:
		case <-time.After(grace):
			env.RemoveParts()
			return env.Report(context.Canceled) // the output belongs to the command still
		}
	}
	// What fails once it is told to stop fails because of that, whatever words it has for it.
	if err != nil && ctx.Err() != nil && !errors.Is(err, frame.ErrFailed) && !errors.Is(err, frame.ErrStopped) {
		err = ctx.Err()
	}
	// A full disk or a closed pipe behind the standard output is a failure: half an
	// answer must not look like a whole one. A record that stands is none, though: whoever
	// is told so does it again.
	if failed := env.End(ctx); failed != nil && (err == nil || errors.Is(err, frame.ErrFailed)) {
		if err == nil && env.HasRecorded() {
			env.SayUnshown(failed)
			return frame.Done
		}
		err = fmt.Errorf("write the answer: %w", failed)
	}
	return env.Report(err)
}

func run(ctx context.Context, env *frame.Env, args []string) error {
	all := commands(env)
	if len(args) > 0 && args[0] == completion.Word {
		for _, name := range env.Complete(all, args[1:]) {
			fmt.Fprintln(env.Out, name)
		}
		return nil
	}
	if len(args) == 1 && (args[0] == "--version" || args[0] == "-version") {
		args = []string{"version"}
	}
	if len(args) > 0 && args[0] == "help" {
		args = append(args[1:len(args):len(args)], "--help")
	}
	if len(args) == 0 && env.Season() {
		args = []string{"evening"}
	}
	line, err := frame.TakeApart(all, args)
	switch {
	case err != nil:
		return err
	case line.Command == nil:
		env.Listing()
		return frame.PrintOverview(env.Out, env.Look(), about, all)
	case line.Help:
		env.Listing()
		return frame.PrintHelp(env.Out, env.Look(), line.Path, line.Command)
	}
	whole := func(option string) bool { return option == "--"+string(frame.All) || option == "--"+string(frame.JSON) }
	if frame.Has(line.Command, frame.All) && !slices.ContainsFunc(line.Options, whole) {
		env.Listing()
	}
	env.FoldNames(ctx, &line)
	return parser(env, all).RunContext(ctx, append([]string{"roundkit"}, line.Args()...))
}

// parser sets the library so that it reads options and calls the command, and leaves
// help, faults and exit statuses to the frame. Its own help and version options are
// package variables that it writes to, so two runs in one process would race.
func parser(env *frame.Env, all []*cli.Command) *cli.App {
	prepare(env, all)
	return &cli.App{
		Name:                      "roundkit",
		Usage:                     about,
		Commands:                  all,
		Reader:                    env.In,
		Writer:                    env.Out,
		ErrWriter:                 env.Err,
		HideHelp:                  true,
		HideHelpCommand:           true,
		HideVersion:               true,
		Suggest:                   true,
		DisableSliceFlagSeparator: true, // else --set A=1,5 is two values
		ExitErrHandler:            func(*cli.Context, error) {},
		OnUsageError:              usageError,
	}
}

func prepare(env *frame.Env, all []*cli.Command) {
	for _, c := range all {
		c.HideHelp, c.HideHelpCommand, c.OnUsageError = true, true, usageError
		c.Before = func(c *cli.Context) error {
			env.Replace = env.Replace || c.Bool(string(frame.Replace))
			return env.Free(c.String(string(frame.Out))) // before the work, and again when it is written
		}
		prepare(env, c.Subcommands)
	}
}

// usageError puts the parser's words for a value it could not read into ours; unknown
// options never get that far.
func usageError(_ *cli.Context, err error, _ bool) error {
	text := strings.TrimSuffix(err.Error(), ": parse error")
	return frame.Usagef("%s", strings.Replace(text, " for -", " for --", 1))
}
