// Package book is the commands that take a season in and out as one workbook.
package book

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
)

// Command is "workbook".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "workbook",
		Usage: "take a season in and out as one spreadsheet, or start an empty one",
		Subcommands: []*cli.Command{
			{Name: "new", Usage: "write an empty workbook to fill in; its front sheet says how", ArgsUsage: "FILE",
				Action: func(c *cli.Context) error { return fresh(env, c) }},
			{Name: "load", Usage: "read a workbook (or a folder of CSV files) into the database, all or nothing", ArgsUsage: "FILE",
				Description: "Every fault is named at once, and nothing is written unless all is right. Loading the same\n" +
					"file again changes nothing. Before a load the database is backed up.",
				Flags:  frame.Flags(frame.Database, frame.DryRun, frame.JSON),
				Action: func(c *cli.Context) error { return load(env, c) }},
			{Name: "save", Usage: "write the season as a workbook, or into a folder of CSV files", ArgsUsage: "FILE|FOLDER/",
				Description: "A name that ends in / is a folder, made where there is none; so is a folder that is there.",
				Flags:       frame.Flags(frame.Season, frame.Replace, frame.Database),
				Action:      func(c *cli.Context) error { return save(env, c) }},
		},
	}
}

func fresh(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "FILE")
	if err != nil {
		return err
	}
	if _, err := os.Stat(args[0]); err == nil {
		return fmt.Errorf("%s: found a file there, expected a new name: an empty workbook never replaces a filled one", args[0])
	}
	if err := env.WriteFile(spreadsheet(args[0]), seasonfile.WriteNewSpreadsheet); err != nil {
		return err
	}
	fmt.Fprintf(env.Out, "%s written: fill in the seven sheets marked on its front sheet, then: roundkit workbook load %s\n", spreadsheet(args[0]), spreadsheet(args[0]))
	return nil
}

// spreadsheet adds the ending that spreadsheet programs look for.
func spreadsheet(path string) string {
	if filepath.Ext(path) == "" {
		return path + ".xlsx"
	}
	return path
}

// loadAnswer is `workbook load --json`.
type loadAnswer struct {
	Season   string   `json:"season"`
	DryRun   bool     `json:"dry_run"`
	Changes  []string `json:"changes"`
	Notes    []string `json:"notes"`
	Warnings []string `json:"warnings"`
	Entries  int      `json:"entries"`
	Backup   string   `json:"backup"`
}

func load(env *frame.Env, c *cli.Context) error {
	args, o, err := frame.Given(c, "FILE")
	if err != nil {
		return err
	}
	return Load(env, c, o, args[0], func() (workbook.Input, error) { return seasonfile.Read(args[0], seasonfile.Limits{}) })
}

// Load reads what a file says into the database, all or nothing, and tells what changed.
func Load(env *frame.Env, c *cli.Context, o frame.Options, file string, read func() (workbook.Input, error)) error {
	// a season is read once: less memory is worth a little more work (200,000 rows: 266 MB, not 315)
	defer debug.SetGCPercent(debug.SetGCPercent(50))
	progress := env.Progress(c.Context, "reading "+filepath.Base(file), 2)
	defer progress.Done()
	in, err := read()
	if err != nil {
		return err
	}
	progress.Step(1)
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	answer := loadAnswer{DryRun: o.DryRun}
	if !o.DryRun {
		if answer.Backup, err = store.SafetyCopy(c.Context, env.Backups(), "load", env.Now()); err != nil {
			return frame.WithHint(err, "nothing was loaded: a load is backed up first")
		}
	}
	report, err := store.Load(c.Context, in, db.LoadOptions{DryRun: o.DryRun})
	progress.Step(1)
	progress.Done()
	var faults workbook.Faults
	if errors.As(err, &faults) {
		return frame.WithHint(faultsError(faults), "nothing was loaded; mend these and load again")
	}
	if err != nil {
		return err
	}
	if !o.DryRun {
		env.Recorded("season " + report.Season)
	}
	answer.Season, answer.Entries = report.Season, report.Entries
	answer.Changes, answer.Notes, answer.Warnings = report.Changes.Lines(), report.Notes, report.Warnings
	if o.JSON {
		return env.PrintJSON(answer)
	}
	say(env, file, answer, report)
	return nil
}

// faultsError is every fault, a line each, below how many there are.
func faultsError(faults workbook.Faults) error {
	noun := "faults"
	if len(faults) == 1 {
		noun = "fault"
	}
	return fmt.Errorf("%d %s in the workbook:\n%s", len(faults), noun, strings.Join(faults.Lines(), "\n"))
}

func say(env *frame.Env, file string, a loadAnswer, report db.LoadReport) {
	switch {
	case len(a.Changes) == 0:
		fmt.Fprintf(env.Out, "%s: season %s already is what the file says; nothing changed\n", file, a.Season)
	case a.DryRun:
		fmt.Fprintf(env.Out, "%s: season %s would change in %d ways (dry run, nothing was written)\n", file, a.Season, len(report.Changes))
	default:
		fmt.Fprintf(env.Out, "%s: season %s loaded, %d rows changed, %d records posted\n", file, a.Season, len(report.Changes), a.Entries)
	}
	told := a.Changes
	if !a.DryRun { // what was written is told by sheet; row by row is what a dry run is for
		told = bySheet(report.Changes)
	}
	for _, lines := range [][]string{told, a.Notes, a.Warnings} {
		for _, line := range lines {
			fmt.Fprintln(env.Out, "  "+line)
		}
	}
	if !report.ClockAt.IsZero() {
		fmt.Fprintln(env.Out, "  the season's records lie ahead of this computer's clock: its season clock now stands at the last of them")
	}
	if a.Backup != "" {
		fmt.Fprintln(env.Out, "  backed up before: "+a.Backup)
	}
}

// bySheet counts what was written, a line for the few sheets or many.
func bySheet(changes workbook.Changes) []string {
	var parts []string
	for _, s := range workbook.Sheets() {
		added, changed, removed := changes.Count(s.Name)
		for _, c := range []struct {
			n    int
			word string
		}{{added, "added"}, {changed, "changed"}, {removed, "removed"}} {
			if c.n > 0 {
				parts = append(parts, fmt.Sprintf("%s %d %s", s.Name, c.n, c.word))
			}
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return []string{strings.Join(parts, ", ")}
}

func save(env *frame.Env, c *cli.Context) error {
	args, o, store, err := env.StoreFor(c, "FILE")
	if err != nil {
		return err
	}
	defer store.Close()
	n, err := Save(env, c, store, o.Season, args[0])
	if err != nil {
		return err
	}
	name := spreadsheet(args[0])
	if info, err := os.Stat(args[0]); err == nil && info.IsDir() {
		name = args[0]
	}
	fmt.Fprintf(env.Out, "%s written: %d rows\n", name, n)
	return nil
}

// Save writes a season to a spreadsheet, or as CSV files to a folder: one that is there, or a
// path that ends in a slash.
func Save(env *frame.Env, c *cli.Context, store *db.Store, season, path string) (rows int, err error) {
	book, err := store.Book(c.Context, season)
	if err != nil {
		return 0, err
	}
	zone, err := time.LoadLocation(book.Season[0].TimeZone)
	if err != nil {
		return 0, fmt.Errorf("season %s: time zone: %w", book.Season[0].Code, err)
	}
	sheets := workbook.Format(book, zone)
	for _, s := range sheets {
		rows += len(s.Rows)
	}
	info, err := os.Stat(path)
	if err == nil && info.IsDir() || err != nil && strings.HasSuffix(path, string(os.PathSeparator)) {
		files := make([]frame.NamedFile, len(sheets))
		for i, s := range sheets {
			files[i] = frame.NamedFile{Name: s.Name + ".csv", Write: func(w io.Writer) error { return seasonfile.WriteCSV(w, s) }}
		}
		return rows, env.WriteFolder(path, files)
	}
	return rows, env.WriteFile(spreadsheet(path), func(w io.Writer) error { return seasonfile.WriteSpreadsheet(w, sheets) })
}
