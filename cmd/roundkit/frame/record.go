package frame

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/urfave/cli/v2"

	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// RecordFlags are what every command that records something has.
func RecordFlags(more ...cli.Flag) []cli.Flag {
	return append(more, append([]cli.Flag{&cli.StringFlag{Name: "note", Usage: "`WORDS` kept with the record"},
		&cli.BoolFlag{Name: "sure", Usage: "it is so, however unlikely: an amount far from the usual, what the book has not there"}},
		Flags(By, When, Season, Database, DryRun, JSON)...)...)
}

// Recording is a store opened for a record, and who records it when.
type Recording struct {
	env   *Env
	Store *db.Store
	Act   db.Act
	Parts map[string]planner.Part
	Zone  *time.Location
	// More is true while more of what the command records is to be printed: only with the
	// last it is said how to take all of it back.
	More bool
	// Lines say what is recorded where its movements do not, or are too many.
	Lines []string
	json  bool
}

// Record opens the store for a command that records: who (--by, else ROUNDKIT_PERSON),
// when (--when, else now). Close the store when done.
func (e *Env) Record(c *cli.Context) (*Recording, error) {
	o, err := ReadOptions(c)
	if err != nil {
		return nil, err
	}
	id, err := uuid.NewV7()
	if err != nil {
		return nil, fmt.Errorf("make an id for the record: %w", err)
	}
	store, err := e.OpenStore(c.Context, o)
	if err != nil {
		return nil, err
	}
	r := &Recording{env: e, Store: store, json: o.JSON, Act: db.Act{ID: id, Season: o.Season, Person: o.By, Notes: c.String("note"), DryRun: o.DryRun, Sure: c.Bool("sure")}}
	if r.Act.Person == "" {
		r.Act.Person = e.Variable("ROUNDKIT_PERSON")
	}
	if r.Zone, err = store.Zone(c.Context, o.Season); err == nil {
		r.Parts, err = store.Parts(c.Context, o.Season)
	}
	if err == nil && o.When != "" {
		r.Act.At, err = readWhen(o.When, r.Zone, func() (time.Time, error) {
			now, _, err := store.Now(c.Context)
			return now, err
		})
	}
	if err != nil {
		store.Close()
		return nil, err
	}
	return r, nil
}

// readWhen reads a time in the season's zone: a date and time, or a time of today, which the
// clock on the wall must have shown once.
func readWhen(text string, zone *time.Location, now func() (time.Time, error)) (time.Time, error) {
	const minutes = "2006-01-02 15:04"
	dated := text
	if t, err := time.Parse("15:04", text); err == nil {
		today, err := now()
		if err != nil {
			return t, err
		}
		dated = today.In(zone).Format(time.DateOnly) + t.Format(" 15:04")
	}
	for _, layout := range []string{minutes, "2006-01-02 15:04:05", "2006-01-02T15:04"} {
		t, err := time.ParseInLocation(layout, dated, zone)
		switch {
		case err == nil:
			if err := day.Wall(t, layout, dated); err != nil {
				return t, Usagef("option --when: %s", err)
			}
			return t, nil
		case strings.Contains(err.Error(), "out of range"):
			return time.Time{}, Usagef("option --when: found %q, expected a day and a time that exist", text)
		}
	}
	for _, layout := range []string{time.RFC3339, minutes + "Z07:00"} {
		if t, err := time.Parse(layout, text); err == nil {
			return t, nil
		}
	}
	return time.Time{}, Usagef("option --when: found %q, expected a time such as \"2027-06-05 10:12\" or 10:12", text)
}

// Quantity reads how much of a part somebody typed.
func (r *Recording) Quantity(ctx context.Context, part, text string) (units.Quantity, error) {
	p, err := r.Store.Part(ctx, r.Act.Season, part)
	if err != nil {
		return 0, err
	}
	q, err := units.ParseQuantity(text, p.Unit)
	if err == nil {
		return q, nil
	}
	if mass, notMass := units.ParseMass(text); p.Unit == units.ML && notMass == nil { // the scale's figure, through the oil's density
		density, failed := r.Store.Density(ctx, r.Act.Season, part)
		switch {
		case failed != nil:
			return 0, failed
		case density == nil:
			return 0, fmt.Errorf("%s: found %q, expected ml: its density is not known", part, text)
		}
		return ledger.Weigh(mass, 0, density)
	}
	return 0, fmt.Errorf("%s: %w", part, err)
}

// Grams lets a bare number be grams, as the scale shows them.
func Grams(text string) string {
	if strings.TrimLeft(text, "0123456789.,") == "" {
		return text + " g"
	}
	return text
}

// Amount reads PART=QUANTITY.
func (r *Recording) Amount(ctx context.Context, text string) (part string, q units.Quantity, err error) {
	part, quantity, ok := strings.Cut(text, "=")
	if !ok {
		return "", 0, Usagef("found %q, expected PART=QUANTITY such as WIP-40=2 or OIL-B68=\"45 ml\"", text)
	}
	q, err = r.Quantity(ctx, strings.TrimSpace(part), quantity)
	return strings.TrimSpace(part), q, err
}

// Doubted records with do, whose act is the one handed to it. What can hardly be meant is asked
// about where somebody can be asked, refused elsewhere: then --sure takes it.
func Doubted[T any](ctx context.Context, r *Recording, do func(db.Act) (T, error)) (T, error) {
	done, err := do(r.Act)
	if !errors.Is(err, db.ErrDoubt) {
		return done, err
	}
	if !r.env.Asks() || r.json {
		return done, WithHint(err, "if it is so: the same again with --sure")
	}
	sure, asked := r.env.Sure(ctx, "%s. Record it all the same?", strings.TrimPrefix(err.Error(), db.ErrDoubt.Error()+": "))
	switch {
	case asked != nil:
		return done, asked
	case !sure:
		return done, ErrStopped
	}
	r.Act.Sure = true
	return do(r.Act)
}

// JSON reports whether the answer is for machines.
func (r *Recording) JSON() bool { return r.json }

// Answer is what a record did, for machines.
func (r *Recording) Answer(done db.Recorded, notes ...string) answer.Recorded {
	r.recorded(done)
	warnings, doubles := r.doubts(done)
	return answer.Recorded{ID: done.ID, Repeat: done.Repeat, DryRun: r.Act.DryRun, Moves: answer.OfMoves(done.Entries, done.Parts, r.Parts),
		Warnings: warnings, Doubles: doubles, Notes: notes}
}

// doubts are the warnings of a record, likely doubles among them, and which those are.
func (r *Recording) doubts(done db.Recorded) (warnings []string, ids []uuid.UUID) {
	warnings = slices.Clone(done.Warnings)
	for _, d := range done.Doubles {
		ids = append(ids, d.ID)
		by := d.Person
		if by == "" {
			by = "somebody"
		}
		what := "likely the same again: %s recorded it at %s; undo one of them with: roundkit undo %s"
		if len(done.Entries) > 0 && done.Entries[0].Kind == "job" {
			what = "likely the same job: %s logged one at %s; undo one of them with: roundkit undo %s"
		}
		warnings = append(warnings, fmt.Sprintf(what, by, d.At.In(r.Zone).Format("2006-01-02 15:04"), screen.RecordName("", d.ID)))
	}
	return warnings, ids
}

// Print prints what a record did.
func (r *Recording) Print(ctx context.Context, said string, done db.Recorded, notes ...string) error {
	if r.json {
		return r.env.PrintJSON(r.Answer(done, notes...))
	}
	if done.Where != "" {
		said += " (" + done.Where + ")"
	}
	if r.Act.DryRun {
		said += " (dry run, nothing was recorded)"
	}
	r.recorded(done)
	warnings, _ := r.doubts(done)
	page := screen.Recorded{Answer: said, Lines: r.Lines, Entries: done.Entries, PartOf: done.Parts, Parts: r.Parts, Warnings: warnings, Notes: notes}
	if !r.Act.DryRun {
		moved := slices.ContainsFunc(done.Entries, func(e ledger.Entry) bool { return len(e.Moves) > 0 })
		switch {
		case len(done.Entries) == 0 || r.More:
		case done.Entries[0].Kind == "undo":
			page.Notes = append(page.Notes, r.putBack(done))
		case moved || done.Entries[0].Count == nil:
			page.Notes = append(page.Notes, r.TakeBack(done.ID, done.Repeat))
		}
		left, err := r.left(ctx)
		if err != nil {
			r.env.SayUnshown(err)
		}
		page.LeftAt = left
	}
	if err := page.Print(r.env.Out, r.env.Look()); err != nil && r.Act.DryRun {
		return err
	} // else the writer keeps its error, and the app says what is recorded all the same
	return nil
}

// recorded notes that a record stands, whatever goes wrong from here on.
func (r *Recording) recorded(done db.Recorded) {
	if !r.Act.DryRun {
		r.env.Recorded(screen.RecordName("", done.ID))
	}
}

// left says what places hold after the record, and what of that is in a tag.
func (r *Recording) left(ctx context.Context) (func(part, place, tag string) (all, inTag units.Quantity, ok bool), error) {
	snap, err := r.Store.Snapshot(ctx, db.SnapshotOptions{Season: r.Act.Season})
	if err != nil {
		return nil, err
	}
	ours := map[string]bool{}
	for _, p := range snap.Places {
		ours[p.Code] = p.Kind != "outside"
	}
	return func(part, place, tag string) (all, inTag units.Quantity, ok bool) {
		for _, h := range snap.Stock {
			if h.Part == part && h.Place == place {
				all += h.Quantity
				if h.Tag == tag {
					inTag += h.Quantity
				}
			}
		}
		return all, inTag, ours[place]
	}, nil
}

// TakeBack says how to undo a record: the last thing somebody did needs no name.
func (r *Recording) TakeBack(id uuid.UUID, repeat bool) string {
	if repeat {
		return howBack(id, "")
	}
	return howBack(id, r.Act.Person)
}

func howBack(id uuid.UUID, person string) string {
	name := screen.RecordName("", id)
	if person != "" {
		return "to take it back: roundkit undo; later: roundkit undo " + name
	}
	return "to take it back: roundkit undo " + name
}

// putBack says how to redo what an undo took back, likewise.
func (r *Recording) putBack(done db.Recorded) string {
	if r.Act.Person != "" && !done.Repeat {
		return "to put it back: roundkit redo"
	}
	return "to put it back: roundkit redo " + screen.RecordName("", done.ID)
}
