// Package labels is the command that writes labels for cases and drawers.
package labels

import (
	"errors"
	"fmt"
	"io"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/place"
	"roundkit/reports/labels"
	"roundkit/reports/screen"
)

// Command is "labels".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:      "labels",
		Usage:     "write labels for cases and drawers, to print on A4 and cut: code, name, place and a QR code of them",
		ArgsUsage: "[PLACE...]",
		Description: "Without a place it is every case and drawer; with --at those in that place. --out names the\n" +
			"spreadsheet; without it the labels are listed.",
		Flags:  frame.Flags(frame.At, frame.Season, frame.Database, frame.Out, frame.JSON),
		Action: func(c *cli.Context) error { return run(env, c) },
	}
}

// row is one label of `labels --json`.
type row struct {
	Place string `json:"place"`
	Name  string `json:"name"`
	In    string `json:"in"`
	Mind  string `json:"mind"`
	QR    string `json:"qr"`
}

func run(env *frame.Env, c *cli.Context) error {
	only, o, season, err := env.SeasonFor(c, "[PLACE...]")
	if err != nil {
		return err
	}
	list, err := season.Places.Labels(o.At, only, season.Snapshot.Cases)
	if err != nil {
		return err
	}
	if len(list) == 0 {
		return errors.New("labels: found no case or drawer there, expected at least one; name the places to label")
	}
	if o.Out != "" {
		team := ""
		if s := season.Snapshot.Season; len(s) > 0 {
			team = s[0].Team
		}
		if err := env.WriteFile(o.Out, func(w io.Writer) error { return labels.Write(w, list, team) }); err != nil {
			return err
		}
	}
	if o.JSON {
		rows := make([]row, len(list))
		for i, l := range list {
			rows[i] = row{Place: l.Code, Name: l.Name, In: l.In, Mind: l.Mind, QR: labels.Text(l)}
		}
		return env.PrintJSON(rows)
	}
	if o.Out != "" {
		return printed(env, list, o.Out)
	}
	return screen.Labels(env.Out, env.Look(), list)
}

func printed(env *frame.Env, list []place.Label, file string) error {
	_, err := fmt.Fprintf(env.Out, "%d labels written to %s: print on A4 at 100 %%, cut along the lines\n", len(list), file)
	return err
}
