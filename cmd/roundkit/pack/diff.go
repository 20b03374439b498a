package pack

import (
	"fmt"
	"os"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/load"
	"roundkit/planner/versus"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// savedEnding tells a saved answer from a trip.
const savedEnding = ".json"

func diffCommand(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:      "diff",
		Usage:     "say what is more, less, new and gone between two pack lists, in kilos and money",
		ArgsUsage: "A [B]",
		Description: "A and B are trips, or files ending in .json that pack --json wrote. \"pack diff TRIP --was FILE\" holds\n" +
			"a trip's list of today against one that was saved. Limits hold for the trips.",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "was", Usage: "the `FILE` with the earlier list, as pack --json wrote it"},
		}, append(limitFlags(), frame.Flags(frame.Season, frame.Confidence, frame.AsOf, frame.Database, frame.JSON)...)...),
		Action: func(c *cli.Context) error { return diff(env, c) },
	}
}

func diff(env *frame.Env, c *cli.Context) error {
	args, o, err := frame.Given(c, "A", "[B]")
	if err != nil {
		return err
	}
	switch was := strings.TrimSpace(c.String("was")); {
	case was != "" && len(args) == 2:
		return frame.Usagef("pack diff: found --was and %q, expected one of them", args[1])
	case was != "":
		args = []string{was, args[0]}
	case len(args) == 1:
		return frame.Usagef("pack diff: found only %q, expected two lists, or --was FILE", args[0])
	}
	ask := load.Options{Confidence: o.Confidence}
	if err := limits(env, c, &ask); err != nil {
		return err
	}
	season, err := env.OpenSeason(c.Context, o)
	if err != nil {
		return err
	}
	var lists [2]versus.List
	for i, name := range args {
		if saved := i == 0 && c.IsSet("was"); saved || strings.HasSuffix(name, savedEnding) {
			if lists[i], err = read(name, season); err != nil {
				return err
			}
			continue
		}
		ask.Trip = name
		plan, err := load.Plan(c.Context, season.Outlook, ask)
		if err != nil {
			return err
		}
		lists[i] = answer.PackedList(plan)
	}
	d, err := versus.Between(lists[0], lists[1])
	if err != nil {
		return err
	}
	if o.JSON {
		return env.PrintJSON(answer.OfPackDiff(d))
	}
	return screen.PackDiff(env.Out, env.Look(), d)
}

func read(path string, season frame.SeasonView) (versus.List, error) {
	file, err := os.Open(path)
	if err != nil {
		return versus.List{}, fmt.Errorf("pack diff: %w", err)
	}
	defer file.Close()
	list, err := answer.ReadPackedList(file, season.Snapshot.Parts)
	if err != nil {
		return versus.List{}, fmt.Errorf("%s: %w", path, err)
	}
	return list, nil
}
