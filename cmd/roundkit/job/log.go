package job

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/google/uuid"
	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/act"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/place"
	"roundkit/planner/units"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

func logCommand(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:      "log",
		Usage:     "record a job just done and what it used",
		ArgsUsage: "SERVICE",
		Description: "What the service usually uses is taken by itself (fixed lines, ranges at typical with the\n" +
			"allowance, the fork's own oil).\n" +
			"Say with --used what was replaced on inspection, or used in another amount; with --not what was\n" +
			"left out. Without --used it asks, on a terminal, for each part that is replaced on inspection only;\n" +
			"--as-usual says that none was. A spring swap says with --spring which one goes in: a rate, a part or a tag.",
		Flags: frame.RecordFlags(
			&cli.StringFlag{Name: "on", Usage: "the `ASSEMBLY`: fork, shock or bike"},
			&cli.StringFlag{Name: "round", Usage: "the `ROUND`; without it the one that is on"},
			&cli.StringSliceFlag{Name: "used", Usage: "`PART=QUANTITY` really used (may be repeated)"},
			&cli.StringSliceFlag{Name: "not", Usage: "a usual `PART` that was not used (may be repeated)"},
			&cli.BoolFlag{Name: "as-usual", Usage: "ask nothing: what is replaced on inspection only was not"},
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
	snap, err := r.Store.Snapshot(c.Context, db.SnapshotOptions{Season: j.Season})
	if err != nil {
		return err
	}
	if env.Asks() && !r.JSON() { // what is wrong is told before anything is asked
		if err := missing(c.Context, env, snap, &j); err != nil {
			return err
		}
		dry := j
		dry.DryRun, dry.Sure = true, true
		if _, _, err := r.Store.LogJob(c.Context, dry); err != nil {
			return err
		}
	}
	said, err := inspected(env, c, r, snap, &j)
	if err != nil {
		return err
	}
	var notes []string
	done, err := frame.Doubted(c.Context, r, func(a db.Act) (db.Recorded, error) {
		j.Sure = a.Sure
		done, said, err := r.Store.LogJob(c.Context, j)
		notes = said
		return done, err
	})
	if err != nil {
		return err
	}
	notes = append(notes, offered(r, done, snap)...)
	if said != "" {
		notes = append(notes, said)
	}
	answer := strings.TrimSpace(args[0] + " " + on(j.Assembly) + ": logged")
	if len(done.Entries) > 0 && done.Entries[0].Job != nil && done.Entries[0].Job.Round != "" {
		answer += " at " + done.Entries[0].Job.Round
	}
	if done.Repeat {
		answer += ", as it was before"
	}
	return r.Print(c.Context, answer, done, notes...)
}

// missing asks, once, for the fork and the spring that a job cannot be logged without.
func missing(ctx context.Context, env *frame.Env, s *planner.Snapshot, j *db.JobLog) (err error) {
	swaps := act.SwapsSpring(s.ServiceLines, j.Service)
	ownOil := slices.ContainsFunc(s.ServiceLines, func(l planner.ServiceLine) bool { return l.Service == j.Service && l.OwnPart == "damper oil" })
	if j.Assembly == "" && (swaps || ownOil) {
		if j.Assembly, err = env.Ask(ctx, "On which? [%s]", strings.Join(doneOn(s, j.Service), ", ")); err != nil {
			return err
		}
	}
	if !swaps || j.Spring != "" || !slices.Contains(doneOn(s, j.Service), j.Assembly) {
		return nil
	}
	tree, err := place.New(s.Places, s.Assemblies)
	if err != nil {
		return err
	}
	on := s.AsOf
	if !j.At.IsZero() {
		on = day.At(j.At, s.Zone)
	}
	var names []string
	for _, h := range act.Loose(s, tree, act.Swap{Assembly: j.Assembly, Root: act.HereOn(s, on).One()}) {
		name := h.Part
		if h.Tag != "" {
			name = h.Tag
		}
		names = append(names, name)
	}
	j.Spring, err = env.Ask(ctx, "Which spring goes in? A rate, a part or a tag [loose here: %s]", strings.Join(names, ", "))
	return err
}

// doneOn are the forks, shocks or bikes that a service is done on.
func doneOn(s *planner.Snapshot, service string) (out []string) {
	kind, kinds := "", map[string]string{}
	for _, x := range s.Services {
		if x.Code == service {
			kind = x.ModelKind
		}
	}
	for _, m := range s.Models {
		kinds[m.Code] = m.Kind
	}
	for _, a := range s.Assemblies {
		if kind == "" || kinds[a.Model] == kind {
			out = append(out, a.Code)
		}
	}
	return out
}

// inspected settles what is replaced on inspection only: what --used names, what somebody
// at a terminal answers, else nothing, which is said.
func inspected(env *frame.Env, c *cli.Context, r *frame.Recording, snap *planner.Snapshot, j *db.JobLog) (said string, err error) {
	var left []string
	ask := env.Asks() && !r.JSON() && !c.Bool("as-usual") && len(j.Used) == 0
	for _, l := range ledger.Chances(snap.ServiceLines, j.Service) {
		if slices.ContainsFunc(j.Used, func(a ledger.Amount) bool { return a.Part == l.Part }) || slices.Contains(left, l.Part) {
			continue
		}
		q := units.Quantity(0)
		if ask {
			if q, err = replaced(c.Context, env, r.Parts[l.Part], *l.Quantity); err != nil {
				return "", err
			}
		}
		if q > 0 {
			j.Used = append(j.Used, ledger.Amount{Part: l.Part, Quantity: q})
			continue
		}
		left = append(left, l.Part)
	}
	if len(left) == 0 || ask || c.Bool("as-usual") {
		return "", nil
	}
	return "taken as not replaced: " + strings.Join(left, ", ") + " (else undo, and say --used)", nil
}

// replaced asks whether a part was replaced: Enter is no, y the usual number, else how much.
func replaced(ctx context.Context, env *frame.Env, part planner.Part, usual units.Quantity) (units.Quantity, error) {
	for {
		text, err := env.Ask(ctx, "  %s, %s: replaced? [N/y = %s, or how many]", part.Code, part.Name, units.Say(usual, part.Unit))
		if err != nil {
			return 0, err
		}
		switch strings.ToLower(text) {
		case "", "n", "no":
			return 0, nil
		case "y", "yes":
			return usual, nil
		}
		if q, err := units.ParseQuantity(text, part.Unit); err == nil && q >= 0 {
			return q, nil
		}
		env.Tell("  found %q, expected Enter, y or a quantity in %s", text, part.Unit)
	}
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
	_, o, store, err := env.StoreFor(c)
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
			Assembly: j.Assembly, Notes: j.Notes, UndoneAt: j.UndoneAt, UndoneBy: j.UndoneBy, RedoneAt: j.RedoneAt, RedoneBy: named(j.RedoneBy), Redoes: named(j.Redoes)})
	}
	if o.JSON {
		if shown == nil {
			shown = []answer.Job{}
		}
		return env.PrintJSON(shown)
	}
	return screen.Jobs(env.Out, env.Look(), shown, fmt.Sprintf("%d of %d jobs", len(shown), fitting))
}

// named is an id, nil where there is none.
func named(id uuid.UUID) *uuid.UUID {
	if id == uuid.Nil {
		return nil
	}
	return &id
}
