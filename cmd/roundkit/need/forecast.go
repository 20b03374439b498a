// Package need is the commands that say what the rounds will use, and why.
package need

import (
	"runtime"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/act"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

func options() []cli.Flag {
	alone := &cli.BoolFlag{Name: "alone", Usage: "leave out what the trips before use of the same stock"}
	return append([]cli.Flag{alone}, frame.Flags(frame.Rounds, frame.Trip, frame.Season, frame.Confidence, frame.At, frame.AsOf, frame.Database, frame.JSON)...)
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
			ask.Workers, ask.Alone = runtime.NumCPU(), c.Bool("alone")
			season, err := env.OpenSeason(c.Context, o)
			if err != nil {
				return err
			}
			done := env.Working(c.Context, "working out the need")
			defer done()
			result, err := season.Forecast(ask)
			if err != nil {
				return err
			}
			ready, err := season.Ready(ask, forecast.ReadyOptions{})
			done()
			if err != nil {
				return err
			}
			if o.JSON {
				answered := answer.OfForecast(result)
				readiness := answer.OfReadiness(ready)
				answered.Readiness = &readiness
				return env.PrintJSON(answered)
			}
			return screen.Forecast(env.Out, env.Look(), result, ready, hereShare(season, o.At), season.Clock)
		},
	}
}

// hereShare is how much of each part is where people are; nil where a place was named.
func hereShare(season frame.SeasonView, at string) *screen.HereShare {
	if at != "" {
		return nil
	}
	s := season.Snapshot
	here := act.HereOn(s, s.AsOf)
	share := map[string]units.Quantity{}
	for _, h := range s.Stock {
		if here.Holds(season.Places, h.Place) && season.GoodOn(h, s.AsOf) {
			share[h.Part] += h.Quantity
		}
	}
	return &screen.HereShare{Says: here.String(), Of: func(part string) units.Quantity { return share[part] }}
}
