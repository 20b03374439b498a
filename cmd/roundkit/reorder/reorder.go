// Package reorder is the command that says what to move and to order, and by when.
package reorder

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/forecast"
	"roundkit/planner/order"
	"roundkit/planner/purchase"
	"roundkit/reports/answer"
	"roundkit/reports/reorder"
	"roundkit/reports/screen"
)

// Command is "reorder".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "reorder",
		Usage: "say what to move and what to order, from whom, how much, by when; --out writes the sheets",
		Description: "Without a round or a trip it is the whole season. Moves come before buys. An order is due so long\n" +
			"before its trip is packed as the supplier takes in nineteen cases of twenty.",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "holding", Usage: "what keeping stock costs a year, as a `SHARE` of its price such as 0.1 or 10% (that is the usual)"},
			&cli.StringFlag{Name: "csv", Usage: "write one CSV a supplier into `FOLDER`, for their web shops"},
		}, frame.Flags(frame.Rounds, frame.Trip, frame.Season, frame.Confidence, frame.AsOf, frame.Database, frame.Out, frame.JSON)...),
		Action: func(c *cli.Context) error { return run(env, c) },
	}
}

func run(env *frame.Env, c *cli.Context) error {
	_, o, err := frame.Given(c)
	if err != nil {
		return err
	}
	if _, err := o.Asked(); err != nil {
		return err
	}
	holding, err := share(c)
	if err != nil {
		return err
	}
	season, err := env.OpenSeason(c.Context, o)
	if err != nil {
		return err
	}
	outlook, drafts := season.Outlook, purchase.AsPlaced(season.Snapshot)
	if len(drafts) > 0 {
		if outlook, err = forecast.New(season.Snapshot); err != nil {
			return err
		}
	}
	const bothCores = 2
	done := env.Working(c.Context, "working out what to order")
	plan, err := order.Plan(outlook, order.Options{Rounds: o.Rounds, Trip: o.Trip, Confidence: o.Confidence, Holding: holding, Workers: bothCores})
	done()
	if err != nil {
		return err
	}
	if said := purchase.SayWaiting(drafts); said != "" {
		plan.Notes = append([]string{said}, plan.Notes...)
	}
	if o.Out != "" {
		if err := env.WriteFile(o.Out, func(w io.Writer) error { return reorder.Write(w, season.Snapshot, plan) }); err != nil {
			return err
		}
	}
	if folder := c.String("csv"); folder != "" {
		if err := writeCSV(env, folder, plan); err != nil {
			return err
		}
	}
	if o.JSON {
		return env.PrintJSON(answer.OfReorder(plan))
	}
	if err := screen.Reorder(env.Out, env.Look(), plan, season.Clock, 0); err != nil {
		return err
	}
	if o.Out != "" {
		fmt.Fprintf(env.Out, "reorder sheets written to %s\n", o.Out)
	}
	return nil
}

// share reads --holding: a share of the price, or nil for the usual.
func share(c *cli.Context) (*float64, error) {
	if !c.IsSet("holding") {
		return nil, nil
	}
	text := strings.TrimSpace(c.String("holding"))
	number, percent := strings.CutSuffix(text, "%")
	value, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(number), ",", ".", 1), 64)
	if percent {
		value /= 100
	}
	if err != nil || math.IsNaN(value) || value < 0 || value > 10 {
		return nil, frame.Usagef("option --holding: found %q, expected a share from 0 to 10 such as 0.1 or 10%%", text)
	}
	return &value, nil
}

// writeCSV writes one file for each supplier that something is ordered from.
func writeCSV(env *frame.Env, folder string, plan order.Result) error {
	var files []frame.NamedFile
	written := map[string]bool{}
	for _, o := range plan.Orders {
		code := o.Supplier.Code
		if written[code] {
			continue
		}
		written[code] = true
		files = append(files, frame.NamedFile{Name: code + ".csv", Write: func(w io.Writer) error { return reorder.WriteCSV(w, plan, code) }})
	}
	return env.WriteFolder(folder, files)
}
