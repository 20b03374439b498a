package stores

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/record"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// direction is which of undo and redo a command is: they differ in words only.
type direction struct {
	command  string
	would    func(*db.Store, context.Context, db.Act, string) (db.Taking, error)
	do       func(*db.Store, context.Context, db.Act, string) (db.Undone, error)
	done     string // what is said afterwards
	ask, not string
	already  string // why the last thing is not the one
}

var (
	undoing = direction{command: "undo", would: (*db.Store).WouldUndo, do: (*db.Store).Undo, done: "undone", ask: "Take it back?", not: "nothing was taken back",
		already: "the last thing you did is taken back already; this is what you did before"}
	redoing = direction{command: "redo", would: (*db.Store).WouldRedo, do: (*db.Store).Redo, done: "put back", ask: "Put it back?", not: "nothing was put back",
		already: "the last thing you did is no undo; this is what you took back before"}
)

// takeBack takes a record back, or puts it back. A person at a terminal is shown what it is
// before it is done; a script that names none is given only the very last.
func takeBack(env *frame.Env, c *cli.Context, d direction) error {
	args, err := frame.Arguments(c, "[RECORD]")
	if err != nil {
		return err
	}
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	name := ""
	if len(args) == 1 {
		if name, err = r.Store.RecordByEnd(c.Context, r.Act.Season, args[0]); err != nil {
			return err
		}
	}
	if env.Asks() && !r.JSON() && !r.Act.DryRun {
		t, err := d.would(r.Store, c.Context, r.Act, name)
		if err != nil {
			return d.hinted(c.Context, r, name, err)
		}
		yes, err := d.asked(c.Context, env, r, t)
		if err != nil || !yes {
			return err
		}
		name = t.ID.String()
	}
	done, err := d.do(r.Store, c.Context, r.Act, name)
	if err != nil {
		return d.hinted(c.Context, r, name, err)
	}
	if r.JSON() {
		return env.PrintJSON(answer.Undone{Recorded: r.Answer(done.Recorded), Of: answer.OfRecord(done.Of, r.Parts)})
	}
	said, moves := d.done+": "+done.Of.Title(), 0
	for _, e := range done.Entries {
		moves += len(e.Moves)
	}
	if moves == 0 || moves > mostMoves { // a long list is told in short: what it was, not what goes where
		r.Lines = told(done.Of, r)
		for i := range done.Entries {
			done.Entries[i].Moves = nil
		}
	}
	return r.Print(c.Context, said, done.Recorded)
}

const (
	mostMoves = 12 // movements that an undo lists one by one
	mostLines = 8  // lines by which a record is told before it is taken back
)

// told is a record line by line, as many as are read in a moment.
func told(rec record.Record, r *frame.Recording) []string {
	lines := rec.Lines(r.Parts)
	if more := len(lines) - mostLines; more > 0 {
		return append(lines[:mostLines:mostLines], fmt.Sprintf("and %d more", more))
	}
	return lines
}

// asked shows what would be done and asks. Enter is yes only where it is the last thing that
// the person did: nobody walks further back by pressing it again.
func (d direction) asked(ctx context.Context, env *frame.Env, r *frame.Recording, t db.Taking) (bool, error) {
	env.Tell("%s", t.Title())
	for _, line := range told(t.Record, r) {
		env.Tell("  %s", line)
	}
	usual := true
	if t.Further {
		env.Tell("look: %s", d.already)
		usual = false
	}
	if by := t.First().Person; by != r.Act.Person && by != "" && r.Act.Person != "" {
		env.Tell("look: %s recorded it, not %s", by, r.Act.Person)
		usual = false
	}
	choice := "[Y/n]"
	if !usual {
		choice = "[y/N]"
	}
	text, err := env.Ask(ctx, "%s %s", d.ask, choice)
	if err != nil {
		return false, err
	}
	yes := strings.HasPrefix(strings.ToLower(text), "y") || text == "" && usual
	if !yes {
		env.Tell("%s", d.not)
	}
	return yes, nil
}

// hinted says what to do where no record was named, or not the one that may be meant.
func (d direction) hinted(ctx context.Context, r *frame.Recording, name string, err error) error {
	var further *db.FurtherError
	switch {
	case errors.As(err, &further):
		return frame.WithHint(err, fmt.Sprintf("that would be %s; if so: roundkit %s %s", further.Next.InOneLine(r.Parts), d.command, screen.RecordName(further.Next.First().Code, further.Next.ID)))
	case name == "" && r.Act.Person == "":
		return frame.WithHint(err, "say who you are: roundkit "+d.command+" --by "+someone(ctx, r)+", or once: export ROUNDKIT_PERSON=...",
			"or name the record: roundkit job list and roundkit stock history PART show them")
	case errors.Is(err, db.ErrNotFound) && name == "":
		return frame.WithHint(err, "name the record: roundkit job list and roundkit stock history PART show them")
	}
	return err
}

// someone is the code of a person as an example, and who else there is.
func someone(ctx context.Context, r *frame.Recording) string {
	people, err := r.Store.People(ctx, r.Act.Season)
	if err != nil || len(people) == 0 {
		return "PERSON"
	}
	var codes []string
	for _, p := range people {
		codes = append(codes, p.Code)
	}
	const most = 6
	if len(codes) > most {
		codes = append(codes[:most:most], "...")
	}
	return "PERSON (" + strings.Join(codes, ", ") + ")"
}
