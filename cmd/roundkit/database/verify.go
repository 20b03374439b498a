package database

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
)

// verifyCommand is "db verify".
func verifyCommand(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "verify",
		Usage: "check that the books are sound: balances, lots, places, tags, closed months, money",
		Flags: frame.Flags(frame.Database, frame.JSON),
		Action: func(c *cli.Context) error {
			return verify(env, c)
		},
	}
}

// checkedRow is the answer for machines.
type checkedRow struct {
	Check  string   `json:"check"`
	Sound  bool     `json:"sound"`
	Faults []string `json:"faults"`
}

func verify(env *frame.Env, c *cli.Context) error {
	_, _, store, err := env.StoreFor(c)
	if err != nil {
		return err
	}
	defer store.Close()
	progress := env.Progress(c.Context, "verifying", db.VerifySteps)
	defer progress.Done()
	all, err := store.VerifyStepwise(c.Context, func() { progress.Step(1) })
	progress.Done()
	if err != nil {
		return err
	}
	rows, faults := []checkedRow{}, 0
	for _, v := range all {
		rows = append(rows, checkedRow{v.What, len(v.Faults) == 0, append([]string{}, v.Faults...)})
		faults += len(v.Faults)
	}
	if c.Bool(string(frame.JSON)) {
		if err := env.PrintJSON(rows); err != nil {
			return err
		}
	} else {
		sayVerified(env, rows, faults)
	}
	if faults > 0 {
		return frame.ErrFailed
	}
	return nil
}

func sayVerified(env *frame.Env, rows []checkedRow, faults int) {
	if faults == 0 {
		fmt.Fprintf(env.Out, "sound: %d checks\n", len(rows))
	} else {
		fmt.Fprintf(env.Out, "not sound: %d faults\n", faults)
	}
	for _, r := range rows {
		word := "yes"
		if !r.Sound {
			word = "NO "
		}
		fmt.Fprintf(env.Out, "  %s  %s\n", word, r.Check)
		for _, f := range r.Faults {
			fmt.Fprintf(env.Out, "       %s\n", f)
		}
	}
}
