// Package need is the commands that say what the rounds will use, and why.
package need

import (
	"cmp"
	"fmt"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
	"roundkit/reports/answer"
	"roundkit/reports/term"
)

func options() []cli.Flag {
	return frame.Flags(frame.Rounds, frame.Trip, frame.Season, frame.Confidence, frame.At, frame.AsOf, frame.Database, frame.JSON)
}

// Forecast is the command that says what the rounds will use of every part.
func Forecast(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "forecast",
		Usage: "say what the rounds will use of each part, and what of it is short",
		Description: `Without a round, a trip or a season it is the trip under way, else the next one.
The confidence is of each part by itself; the readiness is of all jobs together.`,
		Flags: options(),
		Action: func(c *cli.Context) error {
			if _, err := frame.Arguments(c); err != nil {
				return err
			}
			o, err := frame.ReadOptions(c)
			if err != nil {
				return err
			}
			ask, err := o.Asked()
			if err != nil {
				return err
			}
			ask.Workers = runtime.NumCPU()
			season, err := env.OpenSeason(c.Context, o)
			if err != nil {
				return err
			}
			result, err := season.Forecast(ask)
			if err != nil {
				return err
			}
			ready, err := season.Ready(ask, forecast.ReadyOptions{})
			if err != nil {
				return err
			}
			if o.JSON {
				answered := answer.OfForecast(result)
				readiness := answer.OfReadiness(ready)
				answered.Readiness = &readiness
				return env.PrintJSON(answered)
			}
			return say(env, season, result, ready)
		},
	}
}

// say prints the forecast: what is short, for what it was asked, how sure, the parts.
func say(env *frame.Env, season frame.SeasonView, r forecast.Result, ready forecast.Readiness) error {
	look := env.Look()
	used := slices.DeleteFunc(slices.Clone(r.Parts), func(p forecast.Part) bool { return p.Mean == 0 && p.Short == 0 })
	slices.SortStableFunc(used, func(a, b forecast.Part) int { return cmp.Compare(sortKey(a), sortKey(b)) })
	lines := []string{shortLine(used, r.Confidence), askedLine(season, r)}
	if len(ready.Parts) > 0 {
		lines = append(lines, readyLine(ready))
	}
	for _, line := range lines {
		if err := look.Say(env.Out, line); err != nil {
			return err
		}
	}
	if len(used) == 0 {
		return nil
	}
	fmt.Fprintln(env.Out)
	if err := look.Print(env.Out, table(look, used, r.Confidence)); err != nil {
		return err
	}
	if left := len(r.Parts) - len(used); left > 0 {
		fmt.Fprintf(env.Out, "%d more parts: no need\n", left)
	}
	return notes(env, look, r.Notes)
}

// sortKey puts what is short first.
func sortKey(p forecast.Part) int {
	if p.Short > 0 {
		return 0
	}
	return 1
}

func shortLine(parts []forecast.Part, confidence float64) string {
	var short []string
	for _, p := range parts {
		if p.Short > 0 {
			short = append(short, p.Code+" "+units.Say(p.Short, p.Unit))
		}
	}
	at := " at " + term.Percent(confidence)
	switch len(short) {
	case 0:
		return "no part is short" + at
	case 1:
		return "1 part is short" + at + ": " + short[0]
	}
	return strconv.Itoa(len(short)) + " parts are short" + at + ": " + strings.Join(short, ", ")
}

// askedLine says of what and as of when.
func askedLine(season frame.SeasonView, r forecast.Result) string {
	var trips []string
	for _, t := range r.Horizon.Trips {
		trips = append(trips, t.Code)
	}
	words := "for " + strings.Join(r.Horizon.Codes(), ", ") + " (" + strings.Join(trips, ", ") + "), as of " + r.AsOf.String() + ", with what is "
	if r.At == "" {
		words += "anywhere of ours"
	} else {
		words += "at " + r.At
	}
	if season.Clock != "" {
		words += "; " + season.Clock
	}
	return words
}

func readyLine(ready forecast.Readiness) string {
	words := "readiness " + term.Percent(ready.All.Joint) + ": the chance that every job left can be done with what is on hand"
	if len(ready.Short) > 0 {
		words += "; " + term.Percent(ready.WithoutShort.Joint) + " but for the " + strconv.Itoa(len(ready.Short)) + " parts below the confidence"
	}
	return words + " (" + ready.All.Method() + ")"
}

func table(look term.Look, parts []forecast.Part, confidence float64) term.Table {
	t := term.Table{Columns: []term.Column{
		{Title: "part"}, {Title: "name", Wrap: true, Least: 22, Drop: 3}, {Title: "expected", Right: true}, {Title: "sd", Right: true, Drop: 4},
		{Title: "at " + term.Percent(confidence), Right: true}, {Title: "as", Drop: 2}, {Title: "on hand", Right: true},
		{Title: "on order", Right: true, Drop: 1}, {Title: "short", Right: true}, {Title: "cover", Right: true},
	}}
	for _, p := range parts {
		short := ""
		if p.Short > 0 {
			short = look.Warn(units.Say(p.Short, p.Unit))
		}
		t.Rows = append(t.Rows, []string{p.Code, p.Name, term.Mean(p.Mean, p.Unit), term.Mean(p.SD, p.Unit),
			units.Say(p.AtConfidence, p.Unit), containers(p), units.Say(p.OnHand, p.Unit), blankZero(p.OnOrder, p.Unit),
			short, term.PercentBut(p.RunShort)})
	}
	return t
}

// containers says an amount in what it is carried in, where that is more than a piece.
func containers(p forecast.Part) string {
	if p.Containers == nil || *p.Containers == 0 || p.CarriedIn == "" || (p.Contents != nil && p.Unit == units.PC && *p.Contents == 1) {
		return ""
	}
	return strconv.Itoa(*p.Containers) + " x " + p.CarriedIn
}

func blankZero(q units.Quantity, u units.Unit) string {
	if q == 0 {
		return ""
	}
	return units.Say(q, u)
}

func notes(env *frame.Env, look term.Look, all []string) error {
	for _, note := range all {
		if err := look.Say(env.Out, "note: "+note); err != nil {
			return err
		}
	}
	return nil
}
