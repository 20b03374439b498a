package job

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/ledger"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

func logCommand(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:      "log",
		Usage:     "record a job just done and what it used",
		ArgsUsage: "SERVICE",
		Description: "What the service usually uses is taken by itself (fixed lines, ranges at typical, the fork's own oil).\n" +
			"Say with --used what was replaced on inspection, or used in another amount; with --not what was\n" +
			"left out. A spring swap says with --spring which one goes in: a rate, a part or a tag.",
		Flags: frame.RecordFlags(
			&cli.StringFlag{Name: "on", Usage: "the `ASSEMBLY`: fork, shock or bike"},
			&cli.StringFlag{Name: "round", Usage: "the `ROUND`; without it the one that is on"},
			&cli.StringSliceFlag{Name: "used", Usage: "`PART=QUANTITY` really used (may be repeated)"},
			&cli.StringSliceFlag{Name: "not", Usage: "a usual `PART` that was not used (may be repeated)"},
			&cli.StringFlag{Name: "spring", Usage: "the `SPRING` that goes in: \"43 lb/in\", SPF-75 or SPF-75#3"}),
		Action: func(c *cli.Context) error { return logJob(env, c) },
	}
}

func logJob(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "SERVICE")
	if err != nil {
		return err
	}
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	j := db.JobLog{ID: r.Act.ID, Season: r.Act.Season, Service: args[0], Assembly: c.String("on"), Round: c.String("round"), Person: r.Act.Person,
		At: r.Act.At, Not: c.StringSlice("not"), Spring: c.String("spring"), Notes: r.Act.Notes, DryRun: r.Act.DryRun}
	for _, text := range c.StringSlice("used") {
		part, q, err := r.Amount(c.Context, text)
		if err != nil {
			return err
		}
		j.Used = append(j.Used, ledger.Amount{Part: part, Quantity: q})
	}
	done, notes, err := r.Store.LogJob(c.Context, j)
	if err != nil {
		return err
	}
	said := strings.TrimSpace(args[0] + " " + on(j.Assembly) + ": logged")
	if done.Repeat {
		said += ", as it was before"
	}
	return r.Print(c.Context, said, done, notes...)
}

func on(assembly string) string {
	if assembly == "" {
		return ""
	}
	return "on " + assembly
}

func listCommand(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "list",
		Usage: "list the jobs done, the latest first",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "service", Usage: "only this `SERVICE`"},
			&cli.StringFlag{Name: "on", Usage: "only on this `ASSEMBLY`"},
			&cli.IntFlag{Name: "last", Usage: "at most so `MANY`", Value: 20},
		}, frame.Flags(frame.Rounds, frame.By, frame.Season, frame.AsOf, frame.Database, frame.JSON)...),
		Action: func(c *cli.Context) error { return list(env, c) },
	}
}

func list(env *frame.Env, c *cli.Context) error {
	if _, err := frame.Arguments(c); err != nil {
		return err
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
	jobs, err := store.Jobs(c.Context, db.SnapshotOptions{Season: o.Season, AsOf: o.AsOf})
	if err != nil {
		return err
	}
	rounds := map[string]bool{}
	for _, r := range o.Rounds {
		rounds[r] = true
	}
	var shown []answer.Job
	fitting := 0
	for _, j := range jobs {
		if s := c.String("service"); s != "" && s != j.Service || c.String("on") != "" && c.String("on") != j.Assembly ||
			len(rounds) > 0 && !rounds[j.Round] || o.By != "" && o.By != j.Person {
			continue
		}
		if fitting++; fitting > c.Int("last") && !o.JSON {
			continue
		}
		shown = append(shown, answer.Job{ID: j.ID, Code: j.Code, When: j.At, Recorded: j.RecordedAt, Person: j.Person, Round: j.Round, Service: j.Service,
			Assembly: j.Assembly, Notes: j.Notes, UndoneAt: j.UndoneAt, UndoneBy: j.UndoneBy})
	}
	if o.JSON {
		if shown == nil {
			shown = []answer.Job{}
		}
		return env.PrintJSON(shown)
	}
	return screen.Jobs(env.Out, env.Look(), shown, fmt.Sprintf("%d of %d jobs", len(shown), fitting))
}
