// Package line is the command that takes a line of the bench: what it means is printed
// back, and recorded as the command with its options written out would record it.
package line

import (
	"context"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/ledger"
	"roundkit/planner/words"
)

// Command is "log". Run runs a command line of the program, without its name.
func Command(env *frame.Env, run func(ctx context.Context, args []string) error) *cli.Command {
	return &cli.Command{
		Name:      "log",
		Usage:     "record in one line: roundkit log lls f03 wip=2 oil=43g",
		ArgsUsage: "[WORDS...]",
		Description: "The words stand in any order and case. A job: its service, the fork by code, rider or bike (\"pim's b\n" +
			"fork\", \"po-a front\"), and what differs from the usual: parts by code or a piece of their name, amounts\n" +
			"by piece, ml, cc, litre, gram or bottle, \"no\" before what was left out, a spring by rate (\"53\", \"9.3\n" +
			"N/mm\") or label. When: 18:55, \"yesterday 22:10\", \"2 h ago\". Who: \"by dunja\". Then \"note\" and words.\n" +
			"With a verb it is count, weigh, move, receive, scrap, lend, back or open: count t-d03 crw-10=24; weigh\n" +
			"b-104 450; move 4 crw-10 to t-d03. What is understood is printed before it counts; what could mean two\n" +
			"things is asked at a terminal, and refused with both elsewhere. Without words it asks.",
		Flags:  frame.RecordFlags(),
		Action: func(c *cli.Context) error { return log(env, c, run) },
	}
}

func log(env *frame.Env, c *cli.Context, run func(ctx context.Context, args []string) error) error {
	o, err := frame.ReadOptions(c)
	if err != nil {
		return err
	}
	line := strings.Join(c.Args().Slice(), " ")
	asks := env.Asks() && !o.JSON
	if line == "" && !asks {
		return frame.WithHint(frame.Usagef("log: found nothing, expected a line such as: log lls f03 wip=2"), "roundkit help log says what a line can be")
	}
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	handed := false
	defer func() {
		if !handed {
			store.Close()
		}
	}()
	snap, err := store.Snapshot(c.Context, db.SnapshotOptions{Season: o.Season})
	if err != nil {
		return err
	}
	now, _, err := store.Now(c.Context)
	if err != nil {
		return err
	}
	b := bench{env: env, words: words.New(snap), snap: snap, now: now, asks: asks}
	said := line == ""
	if said {
		if line, err = b.question(c.Context); err != nil {
			return err
		}
	}
	m, err := b.understand(c.Context, line)
	if err != nil {
		return err
	}
	if said && m.Kind == words.Job {
		if m, err = b.inspected(c.Context, m); err != nil {
			return err
		}
	}
	long := b.words.Long(m)
	for _, name := range []string{"by", "when", "note"} {
		if text := c.String(name); text != "" {
			if slices.ContainsFunc(long, func(arg string) bool { return strings.HasPrefix(arg, "--"+name+"=") }) {
				return frame.Usagef("log: found --%s and the same in the line, expected it once", name)
			}
			long = append(long, "--"+name+"="+text)
		}
	}
	if err := b.echo(m, o.JSON); err != nil {
		return err
	}
	if said {
		answer, err := env.Ask(c.Context, "Record it? [Y/n]")
		if err != nil {
			return err
		}
		if strings.HasPrefix(strings.ToLower(answer), "n") {
			return frame.ErrStopped
		}
	}
	for _, name := range []string{"season", "db"} {
		if c.IsSet(name) {
			long = append(long, "--"+name+"="+c.String(name))
		}
	}
	for _, name := range []string{"dry-run", "json"} {
		if c.Bool(name) {
			long = append(long, "--"+name)
		}
	}
	handed = true
	env.Hand(store)
	return run(c.Context, long)
}

// echo prints what was understood, at once: it is read before it counts.
func (b *bench) echo(m words.Meaning, json bool) error {
	if json {
		b.env.Tell("%s", b.words.Say(m))
		return nil
	}
	if err := b.env.Look().Say(b.env.Out, b.words.Say(m)); err != nil {
		return err
	}
	if out, ok := b.env.Out.(interface{ Flush() error }); ok {
		return out.Flush()
	}
	return nil
}

// bench is one line being made sense of, with whoever types it.
type bench struct {
	env   *frame.Env
	words *words.Bench
	snap  *planner.Snapshot
	now   time.Time
	asks  bool
}

// understand reads a line, and asks what is open where somebody can be asked.
func (b *bench) understand(ctx context.Context, line string) (words.Meaning, error) {
	r, err := b.env.Understand(ctx, line, b.asks, func(line string) words.Reading { return b.words.Read(line, b.now) })
	return r.Meaning, err
}

// question asks for the service and the fork, and offers what the plan has next: Enter
// takes it.
func (b *bench) question(ctx context.Context) (string, error) {
	service, fork := b.next()
	text, err := b.env.Ask(ctx, "what was done? [%s]", service)
	if err != nil {
		return "", err
	}
	if text == "" {
		text = service
	}
	r := b.words.Read(text, b.now)
	if r.Assembly != "" || r.Kind != words.Job || r.Service == "" {
		return text, nil // the line says it all, or what is open is asked
	}
	if r.Service != service {
		fork = b.notYet(r.Service)
	}
	on, err := b.env.Ask(ctx, "on which? [%s]", b.words.Fork(fork))
	if on == "" {
		on = fork
	}
	return text + " " + on, err
}

// next is what is left of the round's plan, its first line, and a fork it was not done on.
func (b *bench) next() (service, fork string) {
	outlook, err := forecast.New(b.snap)
	if err != nil || len(b.snap.Services) == 0 {
		return "", ""
	}
	service = b.snap.Services[0].Code
	on := ledger.RoundOn(&planner.Book{Plan: b.snap.Plan}, day.At(b.now, b.snap.Zone))
	for _, l := range outlook.LeftAt(on) {
		service, fork = l.Service, l.Assembly
		break
	}
	if fork == "" {
		fork = b.notYet(service)
	}
	return service, fork
}

// notYet is the first fork of the service's kind that it was not done on at this round.
func (b *bench) notYet(service string) string {
	on := ledger.RoundOn(&planner.Book{Plan: b.snap.Plan}, day.At(b.now, b.snap.Zone))
	kind, kinds := "", map[string]string{}
	for _, v := range b.snap.Services {
		if v.Code == service {
			kind = v.ModelKind
		}
	}
	for _, m := range b.snap.Models {
		kinds[m.Code] = m.Kind
	}
	first := ""
	for _, a := range b.snap.Assemblies {
		if kind != "" && kinds[a.Model] != kind {
			continue
		}
		if first == "" {
			first = a.Code
		}
		if !slices.ContainsFunc(b.snap.Done, func(d planner.DoneJobs) bool { return d.Round == on && d.Service == service && d.Assembly == a.Code }) {
			return a.Code
		}
	}
	return first
}

// inspected asks once for all that is replaced on inspection only; Enter is none.
func (b *bench) inspected(ctx context.Context, m words.Meaning) (words.Meaning, error) {
	var open []string
	for _, l := range ledger.Chances(b.snap.ServiceLines, m.Service) {
		if p, err := b.snap.Part(l.Part); err == nil && !slices.ContainsFunc(m.Used, func(u ledger.Amount) bool { return u.Part == l.Part }) {
			open = append(open, p.Code+" ("+p.Name+")")
		}
	}
	if len(open) == 0 {
		return m, nil
	}
	if err := b.env.Look().Say(b.env.Err, "on inspection: "+strings.Join(open, ", ")); err != nil {
		return m, err
	}
	text, err := b.env.Ask(ctx, "which were replaced? [none; or such as wip=2]")
	if err != nil || text == "" {
		return m, err
	}
	return b.understand(ctx, b.words.Short(m)+" "+text)
}
