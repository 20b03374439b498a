// Package calendar is the commands that put a season into a calendar file and rounds out
// of one.
package calendar

import (
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/agenda"
	"roundkit/planner/order"
	"roundkit/reports/icalendar"
)

// Command is "calendar".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "calendar",
		Usage: "put the season's days into a calendar file, or rounds out of one",
		Subcommands: []*cli.Command{
			{
				Name: "save", Usage: "write rounds, pack and departure days and the last days to order, with alarms", ArgsUsage: "FILE.ics",
				Description: "Events keep their names: save and load the file again and the days move with the plan. An alarm rings at\n" +
					"nine on the working day before (Monday to Friday), and at nine of the day, or two hours before a cut-off.",
				Flags:  frame.Flags(frame.Season, frame.Confidence, frame.AsOf, frame.Replace, frame.Database),
				Action: func(c *cli.Context) error { return save(env, c) },
			},
			{
				Name: "load", Usage: "read the days of rounds from a calendar file", ArgsUsage: "FILE.ics",
				Description: "An event's title begins with the round's code (\"KAR, Karst\"). Known rounds get its days, others are\n" +
					"added as races; give them a trip in the workbook. Nothing is taken away.",
				Flags: append([]cli.Flag{&cli.BoolFlag{Name: "move-trips", Usage: "let a trip move with its rounds where they would leave it"}},
					frame.Flags(frame.Season, frame.Database, frame.DryRun)...),
				Action: func(c *cli.Context) error { return load(env, c) },
			},
		},
	}
}

func save(env *frame.Env, c *cli.Context) error {
	args, o, season, err := env.SeasonFor(c, "FILE.ics")
	if err != nil {
		return err
	}
	plan, err := order.Plan(season.Outlook, order.Options{Confidence: o.Confidence})
	if err != nil {
		return err
	}
	events := agenda.Of(season.Snapshot, season.Outlook.Calendar, plan)
	if err := env.WriteFile(args[0], func(w io.Writer) error { return icalendar.Write(w, events, env.Now()) }); err != nil {
		return err
	}
	fmt.Fprintf(env.Out, "%d events written to %s\n", len(events), args[0])
	return nil
}

func load(env *frame.Env, c *cli.Context) error {
	args, o, err := frame.Given(c, "FILE.ics")
	if err != nil {
		return err
	}
	file, err := os.Open(args[0])
	if err != nil {
		return err
	}
	defer func() { _ = file.Close() }()
	events, err := icalendar.Read(file)
	if err != nil {
		return fmt.Errorf("%s: %w", args[0], err)
	}
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	change := db.ChangeOptions{Season: o.Season, DryRun: o.DryRun}
	along := c.Bool("move-trips")
	changes, moves, err := store.RoundDays(c.Context, events, along, change)
	var off *db.OffTrip
	if errors.As(err, &off) {
		if !env.Asks() {
			return frame.WithHint(fmt.Errorf("%s: %w", args[0], err), "if the trip moves too: the same again with --move-trips")
		}
		env.Tell("%s", off.Error())
		if along, err = env.Sure(c.Context, "Move the trip too?"); err != nil {
			return err
		}
		if !along {
			return fmt.Errorf("%s: stopped, nothing was changed", args[0])
		}
		changes, moves, err = store.RoundDays(c.Context, events, true, change)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", args[0], err)
	}
	for _, ch := range changes {
		was := "new; a trip of its own until the workbook names one"
		if ch.Was != nil {
			was = fmt.Sprintf("before: %s to %s", ch.Was.FirstOn, ch.Was.LastOn)
		}
		fmt.Fprintf(env.Out, "%s: %s to %s (%s)\n", ch.Round.Code, ch.Round.FirstOn, ch.Round.LastOn, was)
	}
	for _, m := range moves {
		if along || m.Own {
			fmt.Fprintln(env.Out, m)
		}
	}
	dry := ""
	if o.DryRun {
		dry = "; dry run, nothing was changed"
	}
	fmt.Fprintf(env.Out, "%d of %d events change a round%s\n", len(changes), len(events), dry)
	return nil
}
