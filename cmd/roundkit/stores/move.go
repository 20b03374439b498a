// Package stores is the commands that record what happens to stock outside a job: it comes
// in, is moved, counted, weighed, opened, scrapped, lent, labelled; and taken back.
package stores

import (
	"errors"
	"slices"
	"strings"

	"github.com/google/uuid"
	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/day"
	"roundkit/planner/difference"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// Commands are all of them.
func Commands(env *frame.Env) []*cli.Command {
	tag := func() cli.Flag {
		return &cli.StringFlag{Name: "tag", Usage: "the `TAG` of the thing itself; it is moved whole"}
	}
	from := func() cli.Flag {
		return &cli.StringFlag{Name: "from", Usage: "the `PLACE` it leaves; without it where a use would take it, in the truck of the round that is on, else in the workshop"}
	}
	to := func(usage string) cli.Flag { return &cli.StringFlag{Name: "to", Usage: usage} }
	due := &cli.StringFlag{Name: "due", Usage: "the `DATE` it is due back"}
	return []*cli.Command{
		{Name: "receive", Usage: "record what came in: a lot of its own, or (--order) what came of an order", ArgsUsage: "[PART QUANTITY | PART=QUANTITY...]",
			Description: "With --order and no part all that is open on the order is booked in, as order arrive does.",
			Flags: frame.RecordFlags(&cli.StringFlag{Name: "order", Usage: "it came on this `ORDER`"}, to("the `PLACE` it goes to; without it its drawer in the truck of the round that is on, else in the workshop"), &cli.StringFlag{Name: "supplier", Usage: "the `SUPPLIER`"},
				&cli.StringFlag{Name: "cost", Usage: "what all of it cost, such as `AMOUNT` 68.00 or \"68.00 GBP\"; without it not valued"},
				&cli.StringFlag{Name: "expires", Usage: "its last good `DATE`; without it by the part's storage life"}),
			Action: func(c *cli.Context) error { return receive(env, c) }},
		{Name: "move", Usage: "record that stock, a tagged thing or a whole case went somewhere else", ArgsUsage: "[PART QUANTITY | PART=QUANTITY... | CASE]",
			Flags: frame.RecordFlags(tag(), from(), to("the `PLACE` it goes to"),
				&cli.StringFlag{Name: "trip", Usage: "it corrects what is packed for this `TRIP`"}),
			Action: func(c *cli.Context) error { return move(env, c) }},
		{Name: "scrap", Usage: "record that something is thrown away, with the reason in --note", ArgsUsage: "[PART QUANTITY | PART=QUANTITY...]",
			Flags:  frame.RecordFlags(tag(), from()),
			Action: func(c *cli.Context) error { return moved(env, c, "scrap", "scrapped") }},
		{Name: "lend", Usage: "record that something is lent; it is ours, and asked for when due", ArgsUsage: "[PART QUANTITY | PART=QUANTITY...]",
			Flags:  frame.RecordFlags(tag(), from(), to("to whom: a `PLACE` of kind lent"), due),
			Action: func(c *cli.Context) error { return moved(env, c, "lend", "lent") }},
		{Name: "lent-back", Usage: "record that something lent is back", ArgsUsage: "[PART QUANTITY | PART=QUANTITY...]",
			Flags:  frame.RecordFlags(tag(), from(), to("the `PLACE` it goes to; without it where it left")),
			Action: func(c *cli.Context) error { return moved(env, c, "lent back", "back") }},
		{Name: "count", Usage: "record what was counted at a place and below it; the difference is booked", ArgsUsage: "[PLACE] [PART=QUANTITY...]",
			Description: "Count before you look at the book. Without parts it asks for each part of the place, and shows what\n" +
				"differs before it books anything; without a terminal it prints the list to count. Without a place it is\n" +
				"the truck of the round that is on, else the workshop. Parts past their date\n" +
				"are left out of a count. The usual causes of a difference, for --because:\n" + strings.Join(difference.Causes(), ", ") + ".",
			Flags: frame.RecordFlags(&cli.StringFlag{Name: "because", Usage: "the usual `CAUSE` of what differs"},
				&cli.StringFlag{Name: "new-place", Usage: "make the place that is counted, in this `PLACE`"}),
			Action: func(c *cli.Context) error { return count(env, c) }},
		{Name: "weigh", Usage: "record what the scale says of a bottle, in grams with contents", ArgsUsage: "TAG GRAMS",
			Flags:  frame.RecordFlags(),
			Action: func(c *cli.Context) error { return weigh(env, c) }},
		{Name: "open-kit", Usage: "record that a seal kit was opened: its contents are loose parts then", ArgsUsage: "KIT",
			Flags:  frame.RecordFlags(from()),
			Action: func(c *cli.Context) error { return openKit(env, c) }},
		{Name: "tag", Usage: "label things", Subcommands: []*cli.Command{
			{Name: "new", Usage: "put a label on one thing of an untagged lot", ArgsUsage: "TAG PART",
				Flags: frame.RecordFlags(from(), &cli.StringFlag{Name: "quantity", Usage: "what is in the bottle; `QUANTITY`, without it a full one"},
					&cli.StringFlag{Name: "tare", Usage: "empty mass, such as `GRAMS` 92 g"}, &cli.StringFlag{Name: "opened", Usage: "the `DATE` it was opened"},
					&cli.StringFlag{Name: "rate", Usage: "measured `RATE` of a spring, such as \"7.55 N/mm\" or \"43 lb/in\""},
					&cli.StringFlag{Name: "serial", Usage: "serial `NUMBER`"}),
				Action: func(c *cli.Context) error { return tagNew(env, c) }},
		}},
		{Name: "undo", Usage: "take back what one command recorded: the last thing you did, or the record named", ArgsUsage: "[RECORD]",
			Description: "What was counted, packed, received or ordered in one go goes back in one go; so do changes of the plan and\n" +
				"steps of an order. At a terminal it says what it would take back, and asks. A second undo in a row goes no\n" +
				"further back by itself: it says what it would take, and is told by name.",
			Flags:  frame.RecordFlags(),
			Action: func(c *cli.Context) error { return takeBack(env, c, undoing) }},
		{Name: "redo", Usage: "put back what was taken back last, once, or what took the record named back", ArgsUsage: "[RECORD]",
			Description: "What was moved or used is so again, now, in a record of its own; what was counted counts again at its own\n" +
				"minute. Where the stock, the plan or the order has moved on, it says why it cannot.",
			Flags: append([]cli.Flag{&cli.StringFlag{Name: "note", Usage: "`WORDS` kept with the record"}},
				frame.Flags(frame.By, frame.Season, frame.Database, frame.DryRun, frame.JSON)...),
			Action: func(c *cli.Context) error { return takeBack(env, c, redoing) }},
	}
}

// parts are the parts named, each as PART=QUANTITY: PART QUANTITY is one. A tag makes them
// unnecessary.
func parts(c *cli.Context) ([]string, error) {
	args := c.Args().Slice()
	const pair = 2
	switch {
	case c.String("tag") != "" && len(args) == 0:
		return nil, nil
	case len(args) == pair && !strings.Contains(args[0], "=") && !strings.Contains(args[1], "="):
		return []string{args[0] + "=" + args[1]}, nil
	case len(args) == 0 || slices.ContainsFunc(args, func(a string) bool { return !strings.Contains(a, "=") }):
		or := ""
		if slices.ContainsFunc(c.Command.Flags, func(f cli.Flag) bool { return slices.Contains(f.Names(), "tag") }) {
			or = ", or --tag with the label of the thing"
		}
		return nil, frame.Usagef("%s: expected PART QUANTITY, or several parts as PART=QUANTITY%s", c.Command.Name, or)
	}
	return args, nil
}

// amounts reads how much of each part; all that is wrong is said at once. A part stands once.
func amounts(r *frame.Recording, c *cli.Context, texts []string) (all []ledger.Amount, err error) {
	var faults []error
	for _, text := range texts {
		part, q, err := r.Amount(c.Context, text)
		if err == nil && slices.ContainsFunc(all, func(a ledger.Amount) bool { return a.Part == part }) {
			err = frame.Usagef("%s: found %s twice, expected each part once", c.Command.Name, part)
		}
		all, faults = append(all, ledger.Amount{Part: part, Quantity: q}), append(faults, err)
	}
	return all, errors.Join(faults...)
}

func moved(env *frame.Env, c *cli.Context, kind, word string) error {
	texts, err := parts(c)
	if err != nil {
		return err
	}
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	m := db.Move{Act: r.Act, Kind: kind, Tag: c.String("tag"), From: c.String("from"), To: c.String("to")}
	all, err := amounts(r, c, texts)
	if err != nil {
		return err
	}
	switch {
	case m.Tag != "" && len(all) > 1:
		return frame.Usagef("option --tag: found it with %d parts, expected the label alone: the thing goes whole", len(all))
	case m.Tag != "" && len(all) == 0:
		all = append(all, ledger.Amount{})
	}
	trip := c.String("trip")
	if trip != "" {
		word += " for " + trip
		if len(all) > 1 {
			return frame.Usagef("%s: found --trip with %d parts, expected one: each takes a line of the list", c.Command.Name, len(all))
		}
	}
	if text := c.String("due"); text != "" {
		on, err := day.Parse(text)
		if err != nil {
			return frame.Usagef("option --due: %s", err)
		}
		if m.Act.At.IsZero() {
			if m.Act.At, _, err = r.Store.Now(c.Context); err != nil {
				return err
			}
		}
		if today := day.At(m.Act.At, r.Zone); on < today {
			return frame.Usagef("option --due: found %s, expected a day from %s on, when it is lent", on, today)
		}
		m.Act.At = r.Act.At
		m.DueBackOn = &on
	}
	ids, err := idsOf(r, len(all))
	if err != nil {
		return err
	}
	each, err := frame.Doubted(c.Context, r, func(a db.Act) ([]db.Recorded, error) {
		moves := make([]db.Move, len(all))
		for i, p := range all {
			moves[i] = m
			moves[i].Act, moves[i].Part, moves[i].Quantity = a, p.Part, p.Quantity
			moves[i].ID = ids[i]
		}
		switch {
		case len(moves) > 1:
			return r.Store.MoveAll(c.Context, moves)
		case trip != "":
			return one(r.Store.MoveForTrip(c.Context, moves[0], trip))
		}
		return one(r.Store.MoveStock(c.Context, moves[0]))
	})
	if err != nil {
		return err
	}
	return printAll(env, c, r, each, func(i int, _ *db.Recorded) (string, []string) {
		name := m.Tag
		if name == "" {
			name = all[i].Part + " " + units.Say(all[i].Quantity, r.Parts[all[i].Part].Unit)
		}
		return name + ": " + word, nil
	})
}

// one is a record as the only one of its command.
func one(done db.Recorded, err error) ([]db.Recorded, error) { return []db.Recorded{done}, err }

// idsOf returns an id for each line of a command; the first is the command's own.
func idsOf(r *frame.Recording, lines int) (ids []uuid.UUID, err error) {
	ids = []uuid.UUID{r.Act.ID}
	for len(ids) < lines && err == nil {
		var id uuid.UUID
		id, err = uuid.NewV7()
		ids = append(ids, id)
	}
	return ids, err
}

func move(env *frame.Env, c *cli.Context) error {
	if c.Args().Len() != 1 || c.String("tag") != "" || strings.Contains(c.Args().First(), "=") {
		return moved(env, c, "move", "moved")
	}
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	if c.IsSet("trip") {
		return frame.Usagef("move: found --trip with a whole case, expected PART QUANTITY or --tag: what is in a case is packed line by line")
	}
	code := c.Args().First()
	done, err := r.Store.MoveCase(c.Context, r.Act, code, c.String("to"))
	if err != nil {
		return err
	}
	said := code + " stands on its own now"
	if to := c.String("to"); to != "" {
		said = code + " is in " + to + " now, with all that is in it"
	}
	return r.Print(c.Context, said, done)
}
