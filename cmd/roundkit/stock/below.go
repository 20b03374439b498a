package stock

import (
	"slices"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/forecast"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// below lists the parts of which less is had than the next trip needs at the confidence.
func below(env *frame.Env, season frame.SeasonView, o frame.Options, parts []string) error {
	for _, p := range parts {
		if _, err := season.Part(p); err != nil {
			return err
		}
	}
	res, err := season.Forecast(forecast.Options{Trip: o.Trip, At: o.At, Alone: true})
	if err != nil {
		return err
	}
	res.Parts = slices.DeleteFunc(res.Parts, func(p forecast.Part) bool {
		return p.Short <= 0 || len(parts) > 0 && !slices.Contains(parts, p.Code)
	})
	if o.JSON {
		return env.PrintJSON(answer.OfBelow(res))
	}
	return screen.Below(env.Out, env.Look(), res, season.Snapshot, season.When(o))
}
