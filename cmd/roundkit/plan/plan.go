// Package plan is the commands that change the plan in the pits: the weather of a round
// once it is seen, a job more or fewer. Nobody opens a spreadsheet there.
package plan

import (
	"fmt"
	"strconv"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
)

// Round is "round".
func Round(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "round",
		Usage: "say what a round turned out to be",
		Subcommands: []*cli.Command{{
			Name:      "weather",
			Usage:     "record that a round is dry or wet; it replaces the chance of rain from today on",
			ArgsUsage: "ROUND dry|wet",
			Flags:     frame.Flags(frame.By, frame.Season, frame.Database, frame.DryRun),
			Action:    func(c *cli.Context) error { return weather(env, c) },
		}},
	}
}

// Command is "plan".
func Command(env *frame.Env) *cli.Command {
	flags := func() []cli.Flag {
		return append([]cli.Flag{&cli.StringFlag{Name: "on", Usage: "the `ASSEMBLY` (fork, shock or bike) it is planned on; without it any"}},
			frame.Flags(frame.By, frame.Season, frame.Database, frame.DryRun)...)
	}
	return &cli.Command{
		Name:  "plan",
		Usage: "add planned jobs to a round, or drop some",
		Subcommands: []*cli.Command{
			{Name: "add", Usage: "plan more jobs of a service at a round", ArgsUsage: "ROUND SERVICE [JOBS]", Flags: flags(),
				Action: func(c *cli.Context) error { return change(env, c, 1) }},
			{Name: "drop", Usage: "plan fewer jobs of a service at a round", ArgsUsage: "ROUND SERVICE [JOBS]", Flags: flags(),
				Action: func(c *cli.Context) error { return change(env, c, -1) }},
		},
	}
}

func weather(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "ROUND", "dry|wet")
	if err != nil {
		return err
	}
	if args[1] != "dry" && args[1] != "wet" {
		return frame.Usagef("round weather: found %q, expected dry or wet", args[1])
	}
	o, err := frame.ReadOptions(c)
	if err != nil {
		return err
	}
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	change, err := env.Change(o)
	if err != nil {
		return err
	}
	before, seenOn, err := store.RoundWeather(c.Context, args[0], args[1], change)
	if err != nil {
		return err
	}
	if !o.DryRun {
		env.Recorded("the weather of " + args[0])
	}
	was := "not known"
	if before.Weather != "" {
		was = before.Weather
	}
	fmt.Fprintf(env.Out, "%s: weather %s, seen on %s (before: %s)%s\n", args[0], args[1], seenOn, was, onlyLooked(o))
	return env.SayTakeBack(change)
}

// mostJobs is more than a team plans of one service at one round; beyond it a typing
// slip is likelier.
const mostJobs = 10_000

func change(env *frame.Env, c *cli.Context, sign int) error {
	args, err := frame.Arguments(c, "ROUND", "SERVICE", "[JOBS]")
	if err != nil {
		return err
	}
	jobs := 1
	if len(args) == 3 {
		if jobs, err = strconv.Atoi(args[2]); err != nil || jobs < 1 || jobs > mostJobs {
			return frame.Usagef("plan: found %q jobs, expected a whole number from 1 to %d", args[2], mostJobs)
		}
	}
	o, err := frame.ReadOptions(c)
	if err != nil {
		return err
	}
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	opts, err := env.Change(o)
	if err != nil {
		return err
	}
	done, err := store.PlanAdd(c.Context, db.PlanChange{Round: args[0], Service: args[1], Assembly: c.String("on")}, sign*jobs, opts)
	if err != nil {
		return err
	}
	if !o.DryRun {
		env.Recorded("the plan of " + done.Round)
	}
	on := ""
	if done.Assembly != "" {
		on = " on " + done.Assembly
	}
	fmt.Fprintf(env.Out, "%s: %d %s%s planned (before: %d)%s\n", done.Round, done.Now, done.Service, on, done.Was, onlyLooked(o))
	return env.SayTakeBack(opts)
}

func onlyLooked(o frame.Options) string {
	if o.DryRun {
		return "; dry run, nothing was changed"
	}
	return ""
}
