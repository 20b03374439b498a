// Package demo is the command that shows the main job on the invented season: it loads it
// into a database of its own, says what the coming rounds will use and what to move and
// order, and writes every sheet.
package demo

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/forecast"
	"roundkit/planner/load"
	"roundkit/planner/order"
	"roundkit/planner/papers"
	"roundkit/planner/workbook"
	"roundkit/reports/labels"
	"roundkit/reports/packlist"
	"roundkit/reports/reorder"
	"roundkit/reports/screen"
	"roundkit/reports/seasonfile"
	"roundkit/testdata"
)

const (
	// Database is where the demo lives, never mixed with a team's own season.
	Database = "demo"
	// seasonCode names the invented season.
	seasonCode = "2027"
	// place is where the demo's mechanics stand: the truck at the round.
	place = "truck"
	// week is how far ahead orders are shown.
	week = 7
	// coming is the trip whose pack list is written: the next to be packed.
	coming = "TR-COM"
	flight = "TR-TES"
)

// Command is "demo".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "demo",
		Usage: "load the invented season into a database of its own and show the main job on it",
		Description: "The database is called " + Database + " and stays: look around in it with --db " + Database + ".\n" +
			"Sheets go to the folder out, or to the one named with --out.",
		Flags:  frame.Flags(frame.Out),
		Action: func(c *cli.Context) error { return run(env, c) },
	}
}

func run(env *frame.Env, c *cli.Context) error {
	_, o, err := frame.Given(c)
	if err != nil {
		return err
	}
	folder := "out"
	if o.Out != "" {
		folder = o.Out
	}
	o.Database, o.Season = Database, seasonCode
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("make the folder %s: %w", folder, err)
	}
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	if err := fill(c.Context, env, store); err != nil {
		return err
	}
	snapshot, err := store.Snapshot(c.Context, db.SnapshotOptions{Season: seasonCode})
	if err != nil {
		return err
	}
	outlook, err := forecast.New(snapshot)
	if err != nil {
		return err
	}
	d := shown{env: env, outlook: outlook, folder: folder}
	if err := d.forecast(); err != nil {
		return err
	}
	if err := d.orders(); err != nil {
		return err
	}
	for _, trip := range []string{coming, flight} {
		if err := d.pack(c.Context, trip); err != nil {
			return err
		}
	}
	if err := d.labels(); err != nil {
		return err
	}
	if err := d.season(c.Context, store); err != nil {
		return err
	}
	d.next()
	return nil
}

// fill loads the invented season, or keeps what an earlier run left, with all that was
// tried on it since.
func fill(ctx context.Context, env *frame.Env, store *db.Store) error {
	_, err := store.Book(ctx, seasonCode)
	if err == nil {
		fmt.Fprintf(env.Out, "The invented season is in the database %q already: kept as it is, nothing was loaded.\n\n", Database)
		return nil
	}
	if !errors.Is(err, db.ErrNotFound) {
		return err
	}
	files, err := fs.Sub(testdata.Demo, "demo")
	if err != nil {
		return err
	}
	in, err := seasonfile.ReadFolder(files, "demo", seasonfile.Limits{})
	if err != nil {
		return err
	}
	report, err := store.Load(ctx, in, db.LoadOptions{})
	if err != nil {
		return err
	}
	fmt.Fprintf(env.Out, "The invented season of the Copperwren Gravity Team is in the database %q: %d records of what happened so far.\n\n", Database, report.Entries)
	return nil
}

// shown prints and writes what the demo shows.
type shown struct {
	env     *frame.Env
	outlook *forecast.Outlook
	folder  string
	files   []string
}

func (d *shown) title(words string) { fmt.Fprintf(d.env.Out, "== %s\n", words) }

func (d *shown) forecast() error {
	ask := forecast.Options{At: place}
	result, err := d.outlook.Forecast(ask)
	if err != nil {
		return err
	}
	ready, err := d.outlook.Ready(ask, forecast.ReadyOptions{})
	if err != nil {
		return err
	}
	d.title("What is still planned on this trip will use")
	if err := screen.Forecast(d.env.Out, d.env.Look(), result, ready, nil, ""); err != nil {
		return err
	}
	fmt.Fprintln(d.env.Out)
	return nil
}

func (d *shown) orders() error {
	plan, err := order.Plan(d.outlook, order.Options{})
	if err != nil {
		return err
	}
	d.title("What to move and to order this week")
	if err := screen.Reorder(d.env.Out, d.env.Look(), plan, "", week); err != nil {
		return err
	}
	fmt.Fprintln(d.env.Out)
	return d.write("reorder.xlsx", func(w io.Writer) error { return reorder.Write(w, d.outlook.Snapshot, plan) })
}

func (d *shown) pack(ctx context.Context, trip string) error {
	plan, err := load.Plan(ctx, d.outlook, load.Options{Trip: trip, Seconds: d.env.Searches()})
	if err != nil {
		return err
	}
	lists, err := papers.For(d.outlook, plan)
	if err != nil {
		return err
	}
	return d.write("pack-"+trip+".xlsx", func(w io.Writer) error { return packlist.Write(w, plan, lists) })
}

func (d *shown) labels() error {
	s := d.outlook.Snapshot
	list, err := d.outlook.Places.Labels("", nil, s.Cases)
	if err != nil {
		return err
	}
	return d.write("labels.xlsx", func(w io.Writer) error { return labels.Write(w, list, s.Season[0].Team) })
}

func (d *shown) season(ctx context.Context, store *db.Store) error {
	book, err := store.Book(ctx, seasonCode)
	if err != nil {
		return err
	}
	zone, err := time.LoadLocation(book.Season[0].TimeZone)
	if err != nil {
		return err
	}
	return d.write("season.xlsx", func(w io.Writer) error { return seasonfile.WriteSpreadsheet(w, workbook.Format(book, zone)) })
}

func (d *shown) write(name string, write func(io.Writer) error) error {
	path := filepath.Join(d.folder, name)
	d.files = append(d.files, path)
	d.env.Replace = true // these are the demo's own
	return d.env.WriteFile(path, write)
}

// next says what to look at.
func (d *shown) next() {
	fmt.Fprintln(d.env.Out, "Written:")
	for _, f := range d.files {
		fmt.Fprintln(d.env.Out, "  "+f)
	}
	fmt.Fprint(d.env.Out, `Look at next:
  roundkit explain WIP-40 --db demo --at truck      why that many wipers
  roundkit job left --db demo --at truck            how many more of each service tonight
  roundkit stock --db demo --at truck               what is in the truck, bottle by bottle
  roundkit pack TR-TES --db demo                    what flies, in which case
  roundkit papers TR-TES --db demo                  which papers it needs, and what is blank on them
  roundkit oil blend --want OIL-D22 --db demo       what to mix when an oil is short
  roundkit workbook new my-season.xlsx              a workbook for your own season
`)
}
