// Package stock is the commands that say what is where.
package stock

import (
	"slices"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/act"
	"roundkit/planner/day"
	"roundkit/planner/stock"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// Command is "stock".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:      "stock",
		Usage:     "say what is where, in which bottle or lot, and whether it is still good",
		ArgsUsage: "[PART...]",
		Description: "Without a place it lists everything of ours and what is lent; with --at what is in that place\n" +
			"and below it. The book says it: a count or the scale says what is there.",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "expiring", Usage: "only what is past its date by `DATE`"},
			&cli.BoolFlag{Name: "open", Usage: "only opened bottles and tubs"},
			&cli.BoolFlag{Name: "lent", Usage: "only what is lent, with the day it is due back"},
			&cli.BoolFlag{Name: "reserved", Usage: "only what is packed for a trip or away with one (--trip: with that one)"},
			&cli.BoolFlag{Name: "below", Usage: "the parts below what the next trip (or --trip) needs"},
		}, frame.Flags(frame.At, frame.Trip, frame.Season, frame.AsOf, frame.Database, frame.JSON)...),
		Action: func(c *cli.Context) error { return list(env, c) },
		Subcommands: []*cli.Command{
			{Name: "history", Usage: "say who moved what of a part, when, for which job", ArgsUsage: "PART",
				Flags: append([]cli.Flag{
					&cli.StringFlag{Name: "lot", Usage: "only this `LOT`"}, &cli.StringFlag{Name: "tag", Usage: "only this `TAG`"},
					&cli.StringFlag{Name: "on", Usage: "only to, from or for this `ASSEMBLY`"},
				}, frame.Flags(frame.Season, frame.AsOf, frame.Database, frame.JSON)...),
				Action: func(c *cli.Context) error { return history(env, c) }},
			{Name: "springs", Usage: "show the board of every spring: bike, drawer, lent, label and measured rate",
				Flags:  frame.Flags(frame.Season, frame.AsOf, frame.Database, frame.JSON),
				Action: func(c *cli.Context) error { return springs(env, c) }},
		},
	}
}

func history(env *frame.Env, c *cli.Context) error {
	args, o, store, err := env.StoreFor(c, "PART")
	if err != nil {
		return err
	}
	defer store.Close()
	moved, unit, err := store.History(c.Context, args[0], db.SnapshotOptions{Season: o.Season, AsOf: o.AsOf})
	if err != nil {
		return err
	}
	lot, tag, on := c.String("lot"), c.String("tag"), c.String("on")
	moved = slices.DeleteFunc(moved, func(m stock.Moved) bool {
		return lot != "" && m.Lot != lot || tag != "" && m.Tag != tag || on != "" && m.Assembly != on && m.From != on && m.To != on
	})
	if o.JSON {
		return env.PrintJSON(answer.OfHistory(moved, unit))
	}
	part, err := store.Part(c.Context, o.Season, args[0])
	if err != nil {
		return err
	}
	when := "until now"
	if o.AsOf != nil {
		when = "until " + o.AsOf.String()
	}
	return screen.History(env.Out, env.Look(), part, moved, when)
}

func springs(env *frame.Env, c *cli.Context) error {
	_, o, season, err := env.SeasonFor(c)
	if err != nil {
		return err
	}
	rows, err := stock.Rows(season.Snapshot, stock.Options{})
	if err != nil {
		return err
	}
	if o.JSON {
		rows = slices.DeleteFunc(rows, func(r stock.Row) bool { return r.Part.Kind != "spring" })
		return env.PrintJSON(answer.OfStock(rows))
	}
	return screen.Springs(env.Out, env.Look(), season.Snapshot.Catalogue, rows, season.When(o))
}

func list(env *frame.Env, c *cli.Context) error {
	parts, o, err := frame.Given(c, "[PART...]")
	if err != nil {
		return err
	}
	ask := stock.Options{At: o.At, Parts: parts, Opened: c.Bool("open"), Lent: c.Bool("lent"), Reserved: c.Bool("reserved") || o.Trip != "", Trip: o.Trip}
	if c.IsSet("expiring") {
		on, err := day.Parse(c.String("expiring"))
		if err != nil {
			return frame.Usagef("option --expiring: %s", err)
		}
		last := on - 1 // the last good day of what is past its date on that one
		ask.GoodUntil = &last
	}
	season, err := env.OpenSeason(c.Context, o)
	if err != nil {
		return err
	}
	if c.Bool("below") {
		return below(env, season, o, parts)
	}
	rows, err := stock.Rows(season.Snapshot, ask)
	if err != nil {
		return err
	}
	if o.JSON {
		return env.PrintJSON(answer.OfStock(rows))
	}
	here := act.HereOn(season.Snapshot, season.Snapshot.AsOf)
	return screen.Stock(env.Out, env.Look(), rows, o.At, screen.Here{Says: here.String(), Holds: func(place string) bool { return here.Holds(season.Places, place) }}, season.When(o))
}
