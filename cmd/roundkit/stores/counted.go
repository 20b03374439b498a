package stores

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/act"
	"roundkit/planner/day"
	"roundkit/planner/difference"
	"roundkit/planner/place"
	"roundkit/planner/stock"
	"roundkit/planner/units"
	"roundkit/reports/answer"
)

// counted is what somebody counted of a part, and why it differs, if they say.
type counted struct {
	part    string
	q       units.Quantity
	because string
}

func count(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "[PLACE]", "[PART=QUANTITY...]")
	if err != nil {
		return err
	}
	at := ""
	if len(args) > 0 && !strings.Contains(args[0], "=") {
		at, args = args[0], args[1:]
	}
	because := ""
	if c.IsSet("because") {
		if because, err = difference.Cause(c.String("because")); err != nil {
			return frame.Usagef("option --because: %s", err)
		}
	}
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	var lines []counted
	for _, text := range args { // all are read before one is booked
		part, q, err := r.Amount(c.Context, text)
		if err != nil {
			return err
		}
		lines = append(lines, counted{part, q, because})
	}
	snap, err := r.Store.Snapshot(c.Context, db.SnapshotOptions{Season: r.Act.Season})
	if err != nil {
		return err
	}
	where := ""
	if at == "" {
		here := act.HereOn(snap, on(r, snap))
		if at = here.One(); at == "" {
			return frame.Usagef("count: found no place, expected one of %s", here)
		}
		where = "no place was named: " + here.String()
	}
	if err := known(env, c, r, at); err != nil {
		return err
	}
	if len(lines) == 0 {
		todo, err := stock.ToCount(snap, at)
		if err != nil {
			return err
		}
		if !env.Asks() || r.JSON() {
			return sheet(env, r, at, todo)
		}
		if lines, err = blind(env, c, r, at, todo); err != nil || len(lines) == 0 {
			return err
		}
	}
	return book(env, c, r, at, where, lines)
}

// book records all that was counted, in one go: what one command counts is one record to take
// back.
func book(env *frame.Env, c *cli.Context, r *frame.Recording, at, where string, lines []counted) error {
	ids, err := idsOf(r, len(lines))
	if err != nil {
		return err
	}
	all := make([]db.Counting, len(lines))
	for i, l := range lines {
		all[i] = db.Counting{ID: ids[i], At: at, Part: l.part, Counted: l.q, Because: l.because}
	}
	each, err := frame.Doubted(c.Context, r, func(a db.Act) ([]db.Recorded, error) { return r.Store.CountParts(c.Context, a, all) })
	if err != nil {
		return err
	}
	return printAll(env, c, r, each, func(i int, done *db.Recorded) (said string, notes []string) {
		l := lines[i]
		diff, unit := differenceOf(*done), r.Parts[l.part].Unit
		done.Where = where
		if l.because == "" && diff != 0 && !small(diff, unit) {
			notes = append(notes, fmt.Sprintf("why it differs, now or later: roundkit difference because %s CAUSE", l.part))
		}
		return differs(l.part, at, diff, unit, r.Act.DryRun), notes
	})
}

// printAll prints what each line of a command did: as JSON one document, a record a line.
func printAll(env *frame.Env, c *cli.Context, r *frame.Recording, each []db.Recorded, says func(i int, done *db.Recorded) (said string, notes []string)) error {
	var answers []answer.Recorded
	for i, done := range each {
		said, notes := says(i, &done)
		if r.JSON() && len(each) > 1 {
			answers = append(answers, r.Answer(done, notes...))
			continue
		}
		r.More = i < len(each)-1
		if i > 0 && !r.More && !r.Act.DryRun {
			notes = append(notes, fmt.Sprintf("all %d go back together; %s", len(each), r.TakeBack(done.ID, done.Repeat)))
			r.More = true
		}
		if err := r.Print(c.Context, said, done, notes...); err != nil {
			return err
		}
	}
	if answers != nil {
		return env.PrintJSON(answers)
	}
	return nil
}

// on is the day of a record.
func on(r *frame.Recording, snap *planner.Snapshot) day.Day {
	if r.Act.At.IsZero() {
		return snap.AsOf
	}
	return day.At(r.Act.At, r.Zone)
}

// wouldDiffer is what a count would book; what can hardly be meant is asked about.
func wouldDiffer(c *cli.Context, r *frame.Recording, at string, l counted) (units.Quantity, error) {
	done, err := frame.Doubted(c.Context, r, func(a db.Act) (db.Recorded, error) {
		a.DryRun = true
		return r.Store.CountPart(c.Context, a, at, l.part, l.q)
	})
	return differenceOf(done), err
}

// known makes sure that the place is there: a new one is made where somebody says so.
func known(env *frame.Env, c *cli.Context, r *frame.Recording, code string) error {
	snap, err := r.Store.Snapshot(c.Context, db.SnapshotOptions{Season: r.Act.Season})
	if err != nil {
		return err
	}
	tree, err := place.New(snap.Places, snap.Assemblies)
	if err != nil {
		return err
	}
	in := c.String("new-place")
	missing := tree.Find(code)
	isNew := !slices.ContainsFunc(snap.Places, func(p planner.Place) bool { return p.Code == code })
	switch {
	case missing == nil && in == "":
		return nil
	case missing == nil:
		return fmt.Errorf("%w: place %s is there already, expected a new one for --new-place", db.ErrRefused, code)
	case !isNew:
		return missing
	case in == "" && !env.Asks():
		return frame.WithHint(fmt.Errorf("%w: %w", db.ErrRefused, missing), "if it is a new place: the same again with --new-place and the place it is in, such as --new-place truck")
	case in == "":
		env.Tell("%s", missing)
		if in, err = env.Ask(c.Context, "Make %s a new place? If so, in which place is it (Enter: no):", code); err != nil {
			return err
		}
		if in == "" {
			return fmt.Errorf("%w: %w", db.ErrRefused, missing)
		}
	}
	if err := r.Store.NewPlace(c.Context, code, in, db.ChangeOptions{Season: r.Act.Season, DryRun: r.Act.DryRun}); err != nil {
		return err
	}
	if r.Act.DryRun {
		return fmt.Errorf("%w: %s would be made, in %s; found --dry-run, expected none: nothing can be counted in a place that is not there", db.ErrRefused, code, in)
	}
	if !r.JSON() {
		env.Tell("%s is a place now, in %s", code, in)
	}
	return nil
}

// sheet prints what to count, without the book's figures, and how to record it.
func sheet(env *frame.Env, r *frame.Recording, at string, todo stock.Counting) error {
	type row struct {
		Part string `json:"part"`
		Name string `json:"name"`
		Unit string `json:"unit"`
	}
	if r.JSON() {
		out := struct {
			Place string   `json:"place"`
			Count []row    `json:"count"`
			Weigh []string `json:"weigh"`
		}{at, []row{}, append([]string{}, todo.Weigh...)}
		for _, p := range todo.Parts {
			out.Count = append(out.Count, row{p.Code, p.Name, string(p.Unit)})
		}
		return env.PrintJSON(out)
	}
	look := env.Look()
	if err := look.Say(env.Out, fmt.Sprintf("%s: %d parts to count, without the book's figures", at, len(todo.Parts))); err != nil {
		return err
	}
	words := make([]string, len(todo.Parts))
	for i, p := range todo.Parts {
		fmt.Fprintf(env.Out, "  %-10s ______  %s (%s)\n", p.Code, p.Name, p.Unit)
		words[i] = p.Code + "="
	}
	if len(todo.Weigh) > 0 {
		if err := look.Say(env.Out, "to be weighed: "+strings.Join(todo.Weigh, ", ")); err != nil {
			return err
		}
	}
	return look.Say(env.Out, fmt.Sprintf("then: roundkit count %s %s", at, strings.Join(words, " ")))
}

// blind asks for each part, and only then shows what differs from the book and asks why.
func blind(env *frame.Env, c *cli.Context, r *frame.Recording, at string, todo stock.Counting) (lines []counted, err error) {
	env.Tell("%s: count and type, Enter leaves a part out. The book is shown afterwards.", at)
	for _, p := range todo.Parts {
		for {
			text, err := env.Ask(c.Context, "  %s, %s (%s):", p.Code, p.Name, p.Unit)
			if err != nil {
				return nil, err
			}
			if text == "" {
				break
			}
			q, err := units.ParseQuantity(text, p.Unit)
			if err == nil && q >= 0 {
				lines = append(lines, counted{part: p.Code, q: q})
				break
			}
			env.Tell("  found %q, expected a quantity in %s", text, p.Unit)
		}
	}
	different := 0
	for i, l := range lines {
		diff, err := wouldDiffer(c, r, at, l)
		if err != nil {
			return nil, err
		}
		unit := r.Parts[l.part].Unit
		env.Tell("%s", differs(l.part, at, diff, unit, true))
		if diff == 0 || small(diff, unit) {
			continue
		}
		different++
		if lines[i].because, err = why(c.Context, env); err != nil {
			return nil, err
		}
	}
	if len(todo.Weigh) > 0 {
		env.Tell("to be weighed: %s", strings.Join(todo.Weigh, ", "))
	}
	if len(lines) == 0 {
		env.Tell("nothing was counted")
		return nil, nil
	}
	answer, err := env.Ask(c.Context, "Book %d counts, %d with a difference? [Y/n]", len(lines), different)
	if err != nil || strings.HasPrefix(strings.ToLower(answer), "n") {
		env.Tell("nothing was booked")
		return nil, err
	}
	return lines, nil
}

// why asks for the usual cause of a difference.
func why(ctx context.Context, env *frame.Env) (string, error) {
	var list []string
	for i, cause := range difference.Causes() {
		list = append(list, fmt.Sprintf("%d %s", i+1, cause))
	}
	for {
		text, err := env.Ask(ctx, "  why? %s (Enter: later):", strings.Join(list, ", "))
		if err != nil || text == "" {
			return "", err
		}
		cause, err := difference.Cause(text)
		if err == nil {
			return cause, nil
		}
		env.Tell("  %s", err)
	}
}
