// Package order is the commands that keep orders as records: drafted from what reorder
// says, placed, confirmed, booked in when they come, called off.
package order

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/near"
	"roundkit/planner/purchase"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// Command is "order".
func Command(env *frame.Env) *cli.Command {
	supplier := func() cli.Flag {
		return &cli.StringFlag{Name: "supplier", Usage: "the `SUPPLIER`"}
	}
	due := func() cli.Flag {
		return &cli.StringFlag{Name: "due", Usage: "the `DATE` it is due, as the supplier says"}
	}
	step := func(more ...cli.Flag) []cli.Flag {
		return append(more, frame.Flags(frame.By, frame.Season, frame.Database, frame.DryRun, frame.JSON)...)
	}
	return &cli.Command{
		Name:  "order",
		Usage: "keep orders: list, draft, place, confirm, book in, call off",
		Subcommands: []*cli.Command{
			{Name: "list", Usage: "list orders with what is open on them; what is on its way first",
				Flags:  append([]cli.Flag{supplier()}, frame.Flags(frame.Season, frame.AsOf, frame.Database, frame.JSON)...),
				Action: func(c *cli.Context) error { return list(env, c) }},
			{Name: "draft", Usage: "make drafts of what reorder says now, each under a number of its own",
				Description: "What drafts already bring counts as ordered, so a second draft adds only what is new. What an\n" +
					"allocation gives free stands on the order with what is paid.",
				Flags: append([]cli.Flag{supplier(), &cli.StringFlag{Name: "within", Usage: "only what must be ordered within so many `DAYS`"}},
					frame.Flags(frame.By, frame.Rounds, frame.Trip, frame.Season, frame.Confidence, frame.Database, frame.DryRun, frame.JSON)...),
				Action: func(c *cli.Context) error { return draft(env, c) }},
			{Name: "sheet", Usage: "write orders as they are sent: a spreadsheet with a page each, and a CSV each for web shops", ArgsUsage: "[ORDER...]",
				Description: "Without a number it is every draft. The addresses, our customer number and the terms are those of the workbook's\n" +
					"sheets suppliers and season; what is blank there is a line to fill in.",
				Flags: append([]cli.Flag{&cli.StringFlag{Name: "csv", Usage: "write one CSV an order into `FOLDER`"}},
					frame.Flags(frame.Season, frame.Database, frame.Out)...),
				Action: func(c *cli.Context) error { return sheet(env, c) }},
			{Name: "place", Usage: "record that a draft was sent to the supplier; says when it goes out and when it is due", ArgsUsage: "ORDER",
				Flags: step(&cli.StringFlag{Name: "on", Usage: "the `DATE` it was placed; without it today"}, due(),
					&cli.StringFlag{Name: "collect", Usage: "the `ROUND` at which it is fetched from the supplier"}),
				Action: func(c *cli.Context) error { return place(env, c) }},
			{Name: "confirm", Usage: "record that the supplier has confirmed an order, with the day it names", ArgsUsage: "ORDER",
				Flags:  step(due()),
				Action: func(c *cli.Context) error { return confirm(env, c) }},
			{Name: "arrive", Usage: "book in all that is open on an order, or the part of it that came", ArgsUsage: "ORDER",
				Description: "Each line becomes a lot at its share, by value, of carriage, duty and entry fee, in its home where the\n" +
					"parcel comes to.",
				Flags:  frame.RecordFlags(&cli.StringSliceFlag{Name: "part", Usage: "came of it only: `PART=QUANTITY` (may be repeated)"}),
				Action: func(c *cli.Context) error { return arrive(env, c) }},
			{Name: "call-off", Usage: "record that what is open on an order will not come", ArgsUsage: "ORDER",
				Flags:  step(),
				Action: func(c *cli.Context) error { return callOff(env, c) }},
		},
	}
}

func list(env *frame.Env, c *cli.Context) error {
	_, o, season, err := env.SeasonFor(c)
	if err != nil {
		return err
	}
	page, err := pageOf(season.Snapshot, season.Snapshot.Orders, c.String("supplier"))
	if err != nil {
		return err
	}
	page.Clock = season.Clock
	if o.JSON {
		return env.PrintJSON(answersOf(page))
	}
	return page.Print(env.Out, env.Look())
}

// pageOf is orders of a season with their lines; an unknown supplier is an error.
func pageOf(s *planner.Snapshot, orders []planner.Order, supplier string) (screen.Orders, error) {
	page := screen.Orders{Parts: map[string]planner.Part{}, Suppliers: map[string]string{}, AsOf: s.AsOf, Supplier: supplier}
	for _, p := range s.Parts {
		page.Parts[p.Code] = p
	}
	if err := knownSupplier(s, supplier); err != nil {
		return page, err
	}
	for _, o := range purchase.Sorted(orders) {
		if supplier == "" || o.Supplier == supplier {
			page.Orders = append(page.Orders, screen.Order{Order: o, Lines: purchase.Lines(o, s.OrderLines, s.Lots, s.AsOf)})
		}
	}
	return page, nil
}

func knownSupplier(s *planner.Snapshot, code string) error {
	var codes []string
	for _, x := range s.Suppliers {
		if x.Code == code {
			return nil
		}
		codes = append(codes, x.Code)
	}
	if code == "" {
		return nil
	}
	return near.Miss("supplier", code, codes)
}

func answersOf(page screen.Orders) []answer.Order {
	out := []answer.Order{}
	for _, o := range page.Orders {
		out = append(out, answer.OfOrder(o.Order, o.Lines, page.Parts, page.AsOf))
	}
	return out
}

// step reads what all steps share.
func step(env *frame.Env, c *cli.Context) (db.OrderStep, frame.Options, error) {
	args, err := frame.Arguments(c, "ORDER")
	if err != nil {
		return db.OrderStep{}, frame.Options{}, err
	}
	o, err := frame.ReadOptions(c)
	if err != nil {
		return db.OrderStep{}, o, err
	}
	change, err := env.Change(o)
	if err != nil {
		return db.OrderStep{}, o, err
	}
	p := db.OrderStep{ChangeOptions: change, Order: args[0], Person: change.Person, Collect: c.String("collect")}
	if p.On, err = date(c, "on"); err != nil {
		return p, o, err
	}
	p.DueOn, err = date(c, "due")
	return p, o, err
}

// date reads an option that is a date; nil where it is not given.
func date(c *cli.Context, name string) (*day.Day, error) {
	if !c.IsSet(name) {
		return nil, nil
	}
	on, err := day.Parse(c.String(name))
	if err != nil {
		return nil, frame.Usagef("option --%s: %s", name, err)
	}
	return &on, nil
}

// said prints what a step did: what the order is now, and what a person must know.
func said(env *frame.Env, o frame.Options, done db.OrderChange, s *planner.Snapshot, words string) error {
	if !o.DryRun {
		env.Recorded("order " + done.Now.Code)
	}
	lines := purchase.Lines(done.Now, done.Lines, s.Lots, s.AsOf)
	if o.JSON {
		parts := map[string]planner.Part{}
		for _, p := range s.Parts {
			parts[p.Code] = p
		}
		return env.PrintJSON(answer.OrderChanged{Order: answer.OfOrder(done.Now, lines, parts, s.AsOf), Was: purchase.StateOf(done.Was), DryRun: o.DryRun,
			Said: append([]string{}, done.Said...)})
	}
	if o.DryRun {
		words += "; dry run, nothing was changed"
	}
	look := env.Look()
	if err := look.Say(env.Out, words); err != nil {
		return err
	}
	for _, line := range done.Said {
		if err := look.Say(env.Out, look.Warn("look: "+line)); err != nil {
			return err
		}
	}
	return nil
}

// taken opens the store, takes a step and prints what it did.
func taken(env *frame.Env, c *cli.Context, take func(*db.Store, db.OrderStep) (db.OrderChange, error), words func(db.OrderChange) string) error {
	p, o, err := step(env, c)
	if err != nil {
		return err
	}
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	done, err := take(store, p)
	if err != nil {
		return hinted(err)
	}
	snap, err := store.Snapshot(c.Context, db.SnapshotOptions{Season: o.Season})
	if err != nil {
		return err
	}
	if err := said(env, o, done, snap, words(done)); err != nil || o.JSON {
		return err
	}
	return env.SayTakeBack(p.ChangeOptions)
}

func place(env *frame.Env, c *cli.Context) error {
	return taken(env, c, func(s *db.Store, p db.OrderStep) (db.OrderChange, error) { return s.PlaceOrder(c.Context, p) },
		func(d db.OrderChange) string {
			return fmt.Sprintf("%s to %s: placed %s, due %s at %s", d.Now.Code, d.Now.Supplier, d.Now.PlacedOn, d.Now.DueOn, orHome(d.Now.ShipTo))
		})
}

func confirm(env *frame.Env, c *cli.Context) error {
	return taken(env, c, func(s *db.Store, p db.OrderStep) (db.OrderChange, error) { return s.ConfirmOrder(c.Context, p) },
		func(d db.OrderChange) string {
			due := "no day is known"
			if d.Now.DueOn != nil {
				due = "due " + d.Now.DueOn.String()
			}
			return fmt.Sprintf("%s to %s: confirmed, %s at %s", d.Now.Code, d.Now.Supplier, due, orHome(d.Now.ShipTo))
		})
}

func callOff(env *frame.Env, c *cli.Context) error {
	return taken(env, c, func(s *db.Store, p db.OrderStep) (db.OrderChange, error) { return s.CallOffOrder(c.Context, p) },
		func(d db.OrderChange) string {
			return fmt.Sprintf("%s to %s: called off (was %s)", d.Now.Code, d.Now.Supplier, purchase.StateOf(d.Was))
		})
}

func orHome(place string) string {
	if place == "" {
		return "the parts' homes"
	}
	return place
}

// hinted adds where to look where the order's state was not the one expected.
func hinted(err error) error {
	return frame.WithHint(err, "roundkit order list shows every order and its state")
}
