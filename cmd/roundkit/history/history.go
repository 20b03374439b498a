// Package history is the command of parts whose jobs nobody plans: their use month by month is
// taken in, and what they will use is forecast from it.
package history

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/near"
	"roundkit/planner/series"
	"roundkit/planner/units"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

const columns = "FILE is a CSV with the columns part, period and quantity: a month such as 2026-03 or a week such as\n" +
	"2026-W09, and a whole number. Columns may be separated by semicolons.\n"

// Command is "history".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "history",
		Usage: "what parts used whose jobs nobody plans, and what they will use",
		Subcommands: []*cli.Command{
			{Name: "load", Usage: "read past use into the database, all or nothing", ArgsUsage: "FILE",
				Description: columns + "A quantity is in the part's unit (pc, ml or g). What is known stays: the same row again\n" +
					"changes nothing, another quantity for a known period is refused.",
				Flags:  frame.Flags(frame.Database, frame.DryRun, frame.JSON),
				Action: func(c *cli.Context) error { return load(env, c) }},
			{Name: "forecast", Usage: "forecast from a file, or without one from what was loaded", ArgsUsage: "[FILE]",
				Description: columns + "Every part is forecast from the last period in FILE on; a period that no row names is one without\n" +
					"use. --out writes part, origin, horizon, a quantile for each chance (p50, ...) and the forecast's\n" +
					"own chance of staying within it (w50, ...).",
				Flags: append([]cli.Flag{
					&cli.IntFlag{Name: "horizon", Value: 6, Usage: "each of `N` periods ahead"},
					&cli.StringSliceFlag{Name: "total", Usage: "the sum of `PERIODS` ahead such as 1-3 (may be repeated)"},
					&cli.StringFlag{Name: "quantiles", Value: "0.5,0.9,0.95,0.98", Usage: "`CHANCES` of enough"},
					&cli.StringFlag{Name: "method", Value: string(series.Mix), Usage: "another `METHOD` to compare with: belief, hurdle, tsb, sba, croston"},
				}, frame.Flags(frame.Database, frame.Out, frame.JSON)...),
				Action: func(c *cli.Context) error { return forecast(env, c) }},
		},
	}
}

func forecast(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "[FILE]")
	if err != nil {
		return err
	}
	o, err := frame.ReadOptions(c)
	if err != nil {
		return err
	}
	ask, err := asked(c)
	if err != nil {
		return err
	}
	var t *series.Table
	if len(args) == 1 {
		t, err = fromFile(args[0])
	} else {
		t, err = loaded(env, c, o)
	}
	if err != nil {
		return err
	}
	m, err := series.Fit(t, ask, nil)
	if err != nil {
		return err
	}
	if t.Filled > 0 {
		if err := env.Look().Say(env.Err, fmt.Sprintf("note: %d periods have no row and are taken as 0", t.Filled)); err != nil {
			return err
		}
	}
	if o.Out != "" {
		return write(env, o, t, m, ask)
	}
	var rows []series.Row
	if err := m.Forecast(t, ask, func(r series.Row) error { rows = append(rows, r); return nil }); err != nil {
		return err
	}
	if o.JSON {
		out := answer.HistoryForecast{Length: string(t.Length), Origin: t.Last.Name(t.Length), Method: string(m.Method()), Levels: ask.Levels}
		for _, r := range rows {
			out.Rows = append(out.Rows, answer.HistoryRow(r))
		}
		return env.PrintJSON(out)
	}
	ask.Method = m.Method()
	return screen.UseHistory(env.Out, env.Look(), t, ask, rows)
}

func write(env *frame.Env, o frame.Options, t *series.Table, m *series.Model, ask series.Options) error {
	rows := 0
	err := env.WriteFile(o.Out, func(w io.Writer) error {
		to, err := answer.NewHistoryCSV(w, t.Last.Name(t.Length), ask.Levels)
		if err != nil {
			return err
		}
		if err := m.Forecast(t, ask, func(r series.Row) error { rows++; return to.Row(r) }); err != nil {
			return err
		}
		return to.Close()
	})
	if err == nil && o.Out != "-" {
		fmt.Fprintf(env.Out, "%s: %s, %d rows, from %s on\n", o.Out, screen.Parts(len(t.Parts)), rows, t.Last.Name(t.Length))
	}
	return err
}

// asked reads what is to be forecast; all that is wrong is told at once.
func asked(c *cli.Context) (o series.Options, err error) {
	var faults []string
	wrong := func(name string, err error) { faults = append(faults, fmt.Sprintf("option --%s: %s", name, err)) }
	if o.Horizon = c.Int("horizon"); o.Horizon < 1 || o.Horizon > series.MostAhead {
		wrong("horizon", fmt.Errorf("found %d, expected 1 to %d periods", o.Horizon, series.MostAhead))
	}
	for _, text := range c.StringSlice("total") {
		s, err := series.ParseSpan(text)
		if err != nil {
			wrong("total", err)
		} else if !slices.Contains(o.Totals, s) {
			o.Totals = append(o.Totals, s)
		}
	}
	for text := range strings.SplitSeq(c.String("quantiles"), ",") {
		p, err := frame.ParseChance(text)
		if err != nil {
			wrong("quantiles", err)
		} else if !slices.Contains(o.Levels, p) {
			o.Levels = append(o.Levels, p)
		}
	}
	if o.Method = series.Method(strings.ToLower(c.String("method"))); !slices.Contains(series.Methods(), o.Method) {
		wrong("method", fmt.Errorf("found %q, expected mix, belief, hurdle, tsb, sba or croston", c.String("method")))
	}
	if len(faults) > 0 {
		return o, frame.Usagef("%s", strings.Join(faults, "; "))
	}
	return o, nil
}

func open(path string) (*os.File, error) {
	f, err := os.Open(path)
	if err != nil {
		var inner *os.PathError
		if errors.As(err, &inner) {
			err = inner.Err
		}
		return nil, fmt.Errorf("%s: %w, expected a CSV file with part, period, quantity", path, err)
	}
	return f, nil
}

func fromFile(path string) (*series.Table, error) {
	f, err := open(path)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }() // only read
	return series.Read(filepath.Base(path), f)
}

// loaded is what the database keeps, in the parts' units.
func loaded(env *frame.Env, c *cli.Context, o frame.Options) (*series.Table, error) {
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	unit, _, err := parts(c, store)
	if err != nil {
		return nil, err
	}
	rows, err := store.UseHistory(c.Context)
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return nil, errors.New("no history is loaded; expected one: roundkit history load FILE")
	}
	var b series.Builder
	for i, r := range rows {
		if err := b.Add(r.Part, r.Period, r.Quantity/unit[r.Part].Base(), i+1); err != nil {
			return nil, fmt.Errorf("the history of %s: %w", r.Part, err)
		}
	}
	return b.Table()
}

// parts are the units of the catalogue's parts, and their codes.
func parts(c *cli.Context, store *db.Store) (unit map[string]units.Unit, codes []string, err error) {
	s, err := store.Snapshot(c.Context, db.SnapshotOptions{})
	if err != nil {
		return nil, nil, err
	}
	unit = map[string]units.Unit{}
	for _, p := range s.Parts {
		unit[p.Code] = p.Unit
		codes = append(codes, p.Code)
	}
	return unit, codes, nil
}

func load(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "FILE")
	if err != nil {
		return err
	}
	o, err := frame.ReadOptions(c)
	if err != nil {
		return err
	}
	f, err := open(args[0])
	if err != nil {
		return err
	}
	defer func() { _ = f.Close() }() // only read
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	unit, codes, err := parts(c, store)
	if err != nil {
		return err
	}
	name := filepath.Base(args[0])
	var b series.Builder
	var rows []db.PeriodUse
	lines := map[db.PeriodUse]int{} // by part and period
	err = series.EachRow(name, f, func(code, period string, used int64, line int) error {
		u, ok := unit[code]
		if !ok {
			return fmt.Errorf("column part: %w", near.Miss("part", code, codes))
		}
		if err := b.Add(code, period, used, line); err != nil {
			return err
		}
		rows = append(rows, db.PeriodUse{Part: code, Period: period, Quantity: used * u.Base()})
		lines[db.PeriodUse{Part: code, Period: period}] = line
		return nil
	})
	if err != nil {
		return err
	}
	t, err := b.Table()
	if err != nil {
		return series.InFile(name, err)
	}
	added, err := store.AddUseHistory(c.Context, rows, o.DryRun)
	var other *db.OtherHistoryError
	if errors.As(err, &other) {
		k := other.Known
		return fmt.Errorf("%s, line %d, column quantity: %s %s is known with %s, expected the same: history does not change (%d such rows)",
			name, lines[db.PeriodUse{Part: k.Part, Period: k.Period}], k.Part, k.Period, units.Say(units.Quantity(k.Quantity), unit[k.Part]), other.Count)
	}
	if err != nil {
		return err
	}
	if o.JSON {
		return env.PrintJSON(struct {
			Parts int `json:"parts"`
			Rows  int `json:"rows"`
			Added int `json:"added"`
		}{len(t.Parts), len(rows), added})
	}
	looked := ""
	if o.DryRun {
		looked = " (only looked: nothing is written)"
	} else if added > 0 {
		env.Recorded("history of " + screen.Parts(len(t.Parts)))
	}
	fmt.Fprintf(env.Out, "%s: %s to %s, %d periods, %d of them new%s\n", name, screen.Parts(len(t.Parts)), t.Last.Name(t.Length), len(rows), added, looked)
	return nil
}
