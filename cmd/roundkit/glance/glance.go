// Package glance is the short questions of the bench: who, what, where, places, and the
// evening at a glance.
package glance

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/glance"
	"roundkit/planner/stock"
	"roundkit/planner/words"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// Commands are all of them but the evening.
func Commands(env *frame.Env) []*cli.Command {
	flags := func() []cli.Flag { return frame.Flags(frame.Season, frame.AsOf, frame.Database, frame.JSON) }
	return []*cli.Command{
		{Name: "who", Usage: "say who rides what, what is fitted to it and what was done to it last", ArgsUsage: "[WORDS...]",
			Description: "With words only what they name, bikes too: a rider, a bike, a fork (pim; po-a; f07).",
			Flags:       flags(), Action: func(c *cli.Context) error { return who(env, c) }},
		{Name: "what", Usage: "say what each service usually uses, or one line by line", ArgsUsage: "[WORDS...]",
			Description: "Words name a service: its code or its name (lls; damper rebuild fork).",
			Flags:       flags(), Action: func(c *cli.Context) error { return what(env, c) }},
		{Name: "where", Usage: "say where a part is: place, lot, label, and who had it last", ArgsUsage: "WORDS...",
			Description: "Words name a part: its code, a piece of its name, a rate or a viscosity (wip; foam ring; 53 lb/in).",
			Flags:       flags(), Action: func(c *cli.Context) error { return where(env, c) }},
		{Name: "places", Usage: "list workshop, truck, drawers and cases, and of how many parts something lies there", ArgsUsage: "[PLACE]",
			Flags: flags(), Action: func(c *cli.Context) error { return places(env, c) }},
	}
}

// question is what all of them begin with.
type question struct {
	store *db.Store
	o     frame.Options
	view  frame.SeasonView
	line  string
}

func ask(env *frame.Env, c *cli.Context) (q question, err error) {
	if q.o, err = frame.ReadOptions(c); err != nil {
		return q, err
	}
	q.line = strings.Join(c.Args().Slice(), " ")
	if q.store, err = env.OpenStore(c.Context, q.o); err != nil {
		return q, err
	}
	if q.view, err = frame.ReadSeason(c.Context, q.store, q.o); err != nil {
		q.store.Close()
	}
	return q, err
}

func (q question) at() db.SnapshotOptions {
	return db.SnapshotOptions{Season: q.o.Season, AsOf: q.o.AsOf}
}

// asked is the service and the forks that the line names.
func (q question) asked(env *frame.Env, c *cli.Context) (service string, forks []string, err error) {
	b := words.New(q.view.Snapshot)
	_, err = env.Understand(c.Context, q.line, env.Asks() && !q.o.JSON, func(line string) (r words.Reading) {
		service, forks, r = b.Asked(line)
		return r
	})
	return service, forks, err
}

func who(env *frame.Env, c *cli.Context) error {
	q, err := ask(env, c)
	if err != nil {
		return err
	}
	defer q.store.Close()
	var only []string
	if q.line != "" {
		service, forks, err := q.asked(env, c)
		switch {
		case err != nil:
			return err
		case service != "":
			return fmt.Errorf("%w: found %s, a service, expected a rider, a bike or a fork", db.ErrRefused, service)
		}
		only = forks
	}
	jobs, err := q.store.Jobs(c.Context, q.at())
	if err != nil {
		return err
	}
	var done []glance.Done
	for _, j := range jobs {
		if j.UndoneAt == nil {
			done = append(done, glance.Done{Service: j.Service, Assembly: j.Assembly, At: j.At, Person: j.Person})
		}
	}
	riders := glance.Who(q.view.Snapshot, done)
	if only != nil {
		for i := range riders {
			riders[i].Things = slices.DeleteFunc(riders[i].Things, func(t glance.Thing) bool { return !slices.Contains(only, t.Code) })
		}
		riders = slices.DeleteFunc(riders, func(r glance.Rider) bool { return len(r.Things) == 0 })
	}
	if q.o.JSON {
		return env.PrintJSON(answer.OfWho(riders))
	}
	return screen.Who(env.Out, env.Look(), riders, only != nil)
}

func what(env *frame.Env, c *cli.Context) error {
	q, err := ask(env, c)
	if err != nil {
		return err
	}
	defer q.store.Close()
	var only []string
	if q.line != "" {
		service, _, err := q.asked(env, c)
		switch {
		case err != nil:
			return err
		case service == "":
			return fmt.Errorf("%w: found %q, expected a service", db.ErrRefused, q.line)
		}
		only = []string{service}
	}
	services := glance.What(q.view.Snapshot, only...)
	switch {
	case q.o.JSON:
		return env.PrintJSON(answer.OfWhat(services))
	case only != nil:
		return screen.WhatOne(env.Out, env.Look(), services[0])
	case len(services) == 0:
		return env.Look().Say(env.Out, "no services are in the season yet")
	}
	return screen.What(env.Out, env.Look(), services)
}

func where(env *frame.Env, c *cli.Context) error {
	if _, err := frame.Arguments(c, "WORDS..."); err != nil {
		return err
	}
	q, err := ask(env, c)
	if err != nil {
		return err
	}
	defer q.store.Close()
	code, b := "", words.New(q.view.Snapshot)
	if _, err = env.Understand(c.Context, q.line, env.Asks() && !q.o.JSON, func(line string) (r words.Reading) {
		code, r = b.Part(line)
		return r
	}); err != nil {
		return err
	}
	rows, err := stock.Rows(q.view.Snapshot, stock.Options{Parts: []string{code}})
	if err != nil {
		return err
	}
	moved, unit, err := q.store.History(c.Context, code, q.at())
	if err != nil {
		return err
	}
	lies := glance.Where(rows, moved)
	if q.o.JSON {
		return env.PrintJSON(answer.OfWhere(lies))
	}
	part, err := q.view.Snapshot.Part(code)
	if err != nil {
		return err
	}
	return screen.Where(env.Out, env.Look(), part.Code, part.Name, unit, lies, q.view.When(q.o))
}

func places(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "[PLACE]")
	if err != nil {
		return err
	}
	q, err := ask(env, c)
	if err != nil {
		return err
	}
	defer q.store.Close()
	all, err := glance.Places(q.view.Snapshot, strings.Join(args, ""))
	if err != nil {
		return err
	}
	if q.o.JSON {
		return env.PrintJSON(answer.OfPlaces(all))
	}
	return screen.Places(env.Out, env.Look(), all)
}

// Evening is the command that says how things stand; the program alone runs it.
func Evening(env *frame.Env) *cli.Command {
	return &cli.Command{Name: "evening", Usage: "say how things stand: round, weather, jobs, what stops next, what wants a count, what is lent",
		Description: "Without a command roundkit says it too, once it knows a season.",
		Flags:       frame.Flags(frame.Season, frame.AsOf, frame.Database, frame.JSON),
		Action: func(c *cli.Context) error {
			if _, err := frame.Arguments(c); err != nil {
				return err
			}
			q, err := ask(env, c)
			if err != nil {
				return err
			}
			defer q.store.Close()
			since := glance.Since(q.view.Outlook)
			found, err := q.store.Differences(c.Context, &since, q.at())
			if err != nil {
				return err
			}
			e, err := glance.Stand(q.view.Outlook, found)
			if err != nil {
				return err
			}
			if q.o.JSON {
				return env.PrintJSON(answer.OfEvening(e))
			}
			return screen.Evening(env.Out, env.Look(), e, q.view.Snapshot.AsOf, q.view.When(q.o))
		}}
}
