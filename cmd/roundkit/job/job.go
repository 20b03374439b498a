// Package job is the commands about jobs: log one, list them, how many more can be done.
package job

import (
	"context"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner"
	"roundkit/planner/act"
	"roundkit/planner/left"
	"roundkit/planner/mix"
	"roundkit/planner/words"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// Command is "job".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "job",
		Usage: "log a job just done, list jobs, say how many more can be done",
		Subcommands: []*cli.Command{logCommand(env), listCommand(env), {
			Name:      "left",
			Usage:     "say how many more of each service can be done with what is here, and what stops the next",
			ArgsUsage: "[WORDS...]",
			Description: `With words only the service and the fork they name, in one line (lls pim).
Counted are lines that are used each time, ranges at their typical amount with its
allowance; what is replaced only when inspection says so, and springs, count nothing. Without a place it is the truck of the
round that is on, else the workshop.`,
			Flags: frame.Flags(frame.At, frame.Season, frame.AsOf, frame.Database, frame.JSON),
			Action: func(c *cli.Context) error {
				o, err := frame.ReadOptions(c)
				if err != nil {
					return err
				}
				season, err := env.OpenSeason(c.Context, o)
				if err != nil {
					return err
				}
				roots, where := []string{o.At}, "at "+o.At
				if o.At == "" {
					here := act.HereOn(season.Snapshot, season.Snapshot.AsOf)
					roots, where = here.Roots, "in "+here.String()
					o.At = here.One()
				}
				rows, err := left.At(season.Outlook, roots...)
				if err != nil {
					return err
				}
				on, err := asked(c.Context, env, strings.Join(c.Args().Slice(), " "), o.JSON, season.Snapshot, &rows)
				if err != nil {
					return err
				}
				if o.JSON {
					return env.PrintJSON(answer.OfLeft(rows))
				}
				if c.Args().Present() {
					return screen.JobsLeftOn(env.Out, env.Look(), rows, on, where)
				}
				if err := screen.JobsLeft(env.Out, env.Look(), rows, where, season.Snapshot.AsOf, season.Clock); err != nil {
					return err
				}
				return oilHints(env, season, rows, o.At)
			},
		}},
	}
}

// asked leaves the rows of the service and the forks that a line names, and says which of
// them each service is done on.
func asked(ctx context.Context, env *frame.Env, line string, json bool, s *planner.Snapshot, rows *[]left.Jobs) (on func(service string) []string, err error) {
	if line == "" {
		return nil, nil
	}
	b, service, forks := words.New(s), "", []string(nil)
	if _, err = env.Understand(ctx, line, env.Asks() && !json, func(line string) (r words.Reading) {
		service, forks, r = b.Asked(line)
		return r
	}); err != nil {
		return nil, err
	}
	kindOf, doneOn := map[string]string{}, map[string]string{}
	for _, m := range s.Models {
		kindOf[m.Code] = m.Kind
	}
	for _, v := range s.Services {
		doneOn[v.Code] = v.ModelKind
	}
	on = func(service string) (fitting []string) {
		for _, a := range s.Assemblies {
			if slices.Contains(forks, a.Code) && (doneOn[service] == "" || doneOn[service] == kindOf[a.Model]) {
				fitting = append(fitting, a.Code)
			}
		}
		return fitting
	}
	*rows = slices.DeleteFunc(*rows, func(j left.Jobs) bool {
		return service != "" && j.Service != service || len(forks) > 0 && (len(on(j.Service)) == 0 || j.Assembly != "" && !slices.Contains(forks, j.Assembly))
	})
	return on, nil
}

// oilHints says, for each oil that stops a service, where to ask what could stand in.
func oilHints(env *frame.Env, season frame.SeasonView, rows []left.Jobs, at string) error {
	var said []string
	for _, r := range rows {
		if r.Left == nil || *r.Left > 0 || slices.Contains(said, r.LimitedBy) {
			continue
		}
		if _, err := mix.Wanted(season.Snapshot, r.LimitedBy); err != nil {
			continue // it is no oil of a known viscosity
		}
		said = append(said, r.LimitedBy)
		ask := "roundkit oil blend --want " + r.LimitedBy
		if at != "" {
			ask += " --at " + at
		}
		if err := env.Look().Say(env.Out, "note: "+r.LimitedBy+" is short; what the other oils here would make: "+ask); err != nil {
			return err
		}
	}
	return nil
}
