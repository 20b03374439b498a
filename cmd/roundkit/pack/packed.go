package pack

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/forecast"
	"roundkit/planner/load"
	"roundkit/planner/place"
	"roundkit/planner/units"
	"roundkit/reports/answer"
)

// packed books the list of a trip as done: it asks nothing, says what was moved and what
// is short.
func packed(env *frame.Env, c *cli.Context, o frame.Options, ask load.Options) error {
	for _, name := range []string{"as-of", "out"} {
		if c.IsSet(name) {
			return frame.Usagef("option --%s: it does not go with --packed, which books the list of now", name)
		}
	}
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	before, err := r.Store.PackedSoFar(c.Context, o.Season)
	if err != nil {
		return err
	}
	snapshot, err := r.Store.Snapshot(c.Context, db.SnapshotOptions{Season: o.Season})
	if err != nil {
		return err
	}
	outlook, err := forecast.New(snapshot)
	if err != nil {
		return err
	}
	ask.Draws = -1 // the list does not depend on the drawn readiness
	plan, err := load.Plan(c.Context, outlook, ask)
	if err != nil {
		return err
	}
	rows, waiting := plan.Booked()
	done := db.Recorded{}
	if len(rows) > 0 {
		if done, err = r.Store.PackLoad(c.Context, db.Packing{Act: r.Act, Trip: plan.Trip.Code, Before: before, Rows: rows}); err != nil {
			return err
		}
	}
	return said(env, r, c, plan, done, rows, waiting, elsewhere(outlook, plan, rows))
}

// elsewhere says what was booked out of a truck or case that is away with another trip on
// that day: nobody can have had it in hand.
func elsewhere(o *forecast.Outlook, plan *load.Result, rows []planner.Movement) string {
	away := place.Away(o.Calendar, o.Snapshot.Packed, plan.AsOf, plan.AsOf, []string{plan.Trip.Code})
	lines := 0
	for _, m := range rows {
		if slices.ContainsFunc(away, func(root string) bool { return o.Places.Within(m.From, root) }) {
			lines++
		}
	}
	if lines == 0 {
		return ""
	}
	return fmt.Sprintf("%d of these lines lie in %s, away with another trip today: were they in your hands? If not, undo it and pack when they are back", lines, strings.Join(away, ", "))
}

func said(env *frame.Env, r *frame.Recording, c *cli.Context, plan *load.Result, done db.Recorded, rows []planner.Movement, waiting []load.Waiting, elsewhere string) error {
	if elsewhere != "" {
		done.Warnings = append(done.Warnings, elsewhere)
	}
	moved := len(rows)
	var notes []string
	for _, s := range plan.Short {
		text := fmt.Sprintf("short: %s, wanted %s, %s with the trip (%s)", s.Part.Code, units.Say(s.Need, s.Part.Unit), units.Say(s.Have, s.Part.Unit), s.Why)
		if s.Remedy != "" {
			text += ": " + s.Remedy
		}
		notes = append(notes, text)
	}
	for _, w := range waiting {
		notes = append(notes, fmt.Sprintf("not booked: %s %s, %s", units.Say(w.Quantity, w.Part.Unit), w.Part.Code, w.Why))
	}
	if r.JSON() {
		return env.PrintJSON(answer.OfPacked(plan, r.Answer(done, notes...), waiting))
	}
	trip := plan.Trip
	if moved == 0 {
		look := env.Look()
		if err := look.Say(env.Out, trip.Code+": nothing to pack, all of the list is with the trip"); err != nil {
			return err
		}
		for _, n := range notes {
			if err := look.Say(env.Out, "note: "+n); err != nil {
				return err
			}
		}
		return nil
	}
	lines := "lines"
	if moved == 1 {
		lines = "line"
	}
	answer := fmt.Sprintf("%s: %d %s packed, %d short", trip.Code, moved, lines, len(plan.Short))
	if !trip.Away(plan.AsOf) {
		answer += fmt.Sprintf("; away from %s to %s, and no other trip can use it then", trip.StartOn, trip.EndOn)
	}
	notes = append(notes, "what went otherwise: roundkit move PART QUANTITY --to PLACE --trip "+trip.Code)
	return r.Print(c.Context, answer, done, notes...)
}
