// Package cameback is the command about a trip's return: what came back, what did not.
package cameback

import (
	"fmt"
	"slices"

	"github.com/google/uuid"
	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/cameback"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// Command is "came-back".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:      "came-back",
		Usage:     "say what came back from a trip and what did not; record what was counted, unpack the cases",
		ArgsUsage: "TRIP [PART=QUANTITY...]",
		Description: "Alone it shows the account: what went along, what jobs used, what is lent, what should be back and what\n" +
			"counts found; things that must come home first. With parts it records what was counted (count before\n" +
			"you look), in the truck or in the case named with --at. With --unpack all that is in the cases goes to\n" +
			"its home. What then differs is listed with the usual causes, see roundkit difference because.",
		Flags: append([]cli.Flag{
			&cli.BoolFlag{Name: "unpack", Usage: "record that what is in the cases went back to where it belongs"},
		}, frame.RecordFlags(frame.Flags(frame.At, frame.AsOf)...)...),
		Action: func(c *cli.Context) error { return run(env, c) },
	}
}

func run(env *frame.Env, c *cli.Context) error {
	args, o, err := frame.Given(c, "TRIP", "[PART=QUANTITY...]")
	if err != nil {
		return err
	}
	if len(args) == 1 && !c.Bool("unpack") {
		return show(env, c, o, args[0])
	}
	if o.AsOf != nil {
		return frame.Usagef("option --as-of: it shows a past day, and does not go with what is recorded")
	}
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	var lines []line
	for _, text := range args[1:] { // all are read before one is booked
		part, q, err := r.Amount(c.Context, text)
		if err != nil {
			return err
		}
		lines = append(lines, line{part, q})
	}
	return record(env, c, r, args[0], o.At, lines)
}

type line struct {
	part string
	q    units.Quantity
}

func show(env *frame.Env, c *cli.Context, o frame.Options, trip string) error {
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	in, err := store.TripAccount(c.Context, trip, db.SnapshotOptions{Season: o.Season, AsOf: o.AsOf})
	if err != nil {
		return err
	}
	account, err := cameback.Of(in)
	if err != nil {
		return err
	}
	if in.Trip.CustomsListBy != nil {
		left, err := store.Snapshot(c.Context, db.SnapshotOptions{Season: o.Season, AsOf: &in.Trip.PackOn})
		if err != nil {
			return err
		}
		outlook, err := forecast.New(left)
		if err != nil {
			return err
		}
		if err := account.HoldAgainst(outlook, in.Outlook); err != nil {
			return err
		}
	}
	if o.JSON {
		return env.PrintJSON(answer.OfCameBack(account))
	}
	clock, err := frame.Clock(c.Context, store, in.Outlook.Snapshot.Zone)
	if err != nil {
		return err
	}
	return screen.CameBack(env.Out, env.Look(), account, clock)
}

// record books the counts, then the unpacking, then that the trip is back.
func record(env *frame.Env, c *cli.Context, r *frame.Recording, trip, at string, lines []line) error {
	in, err := r.Store.TripAccount(c.Context, trip, db.SnapshotOptions{Season: r.Act.Season})
	if err != nil {
		return err
	}
	if err := cameback.May(in.Trip, in.Outlook.Snapshot.AsOf); err != nil {
		return fmt.Errorf("%w: %w", db.ErrRefused, err)
	}
	places := make([]string, len(lines))
	for i, l := range lines {
		if places[i], err = cameback.CountedAt(in, l.part, at); err != nil {
			return fmt.Errorf("%w: %w", db.ErrRefused, err)
		}
	}
	all := db.Recorded{Parts: map[string]string{}}
	add := func(done db.Recorded) {
		all.ID = done.ID
		all.Entries, all.Warnings = append(all.Entries, done.Entries...), append(all.Warnings, done.Warnings...)
		for lot, part := range done.Parts {
			all.Parts[lot] = part
		}
	}
	// one command, one record to take back: named after the first of what it records
	first := r.Act.ID
	act := func() (a db.Act, err error) {
		a = r.Act
		if len(all.Entries) > 0 {
			a.ID, err = uuid.NewV7()
		}
		a.Together = first
		return a, err
	}
	if len(lines) > 0 {
		a, err := act()
		if err != nil {
			return err
		}
		counts := make([]db.Counting, len(lines))
		for i, l := range lines {
			counts[i] = db.Counting{ID: a.ID, At: places[i], Part: l.part, Counted: l.q}
			if i > 0 {
				if counts[i].ID, err = uuid.NewV7(); err != nil {
					return err
				}
			}
		}
		each, err := r.Store.CountParts(c.Context, a, counts)
		if err != nil {
			return err
		}
		for _, done := range each {
			add(done)
		}
	}
	var notes []string
	if c.Bool("unpack") {
		a, err := act()
		if err != nil {
			return err
		}
		done, stays, err := r.Store.Unpack(c.Context, a, trip)
		if err != nil {
			return err
		}
		add(done)
		notes = append(notes, stays...)
	}
	a, err := act()
	if err != nil {
		return err
	}
	planned, on, err := r.Store.TripIsBack(c.Context, a, trip)
	if err != nil {
		return err
	}
	if on < planned {
		notes = append(notes, fmt.Sprintf("%s is back on %s, before the %s of the plan: its load serves other trips from now on", trip, on, planned))
	}
	notes = append(notes, "what came back and what did not: roundkit came-back "+trip)
	all.Entries = slices.Clip(all.Entries)
	return r.Print(c.Context, said(trip, len(lines), c.Bool("unpack")), all, notes...)
}

func said(trip string, counted int, unpacked bool) string {
	switch {
	case counted > 0 && unpacked:
		return fmt.Sprintf("%s: %d counted, the rest is unpacked", trip, counted)
	case unpacked:
		return trip + ": unpacked"
	}
	return fmt.Sprintf("%s: %d counted", trip, counted)
}
