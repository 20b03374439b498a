package order

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/near"
	"roundkit/planner/purchase"
	"roundkit/reports/reorder"
)

// sheet writes the orders named, or every draft, as they are sent.
func sheet(env *frame.Env, c *cli.Context) error {
	args, o, err := frame.Given(c, "[ORDER...]")
	if err != nil {
		return err
	}
	folder := c.String("csv")
	if o.Out == "" && folder == "" {
		return frame.Usagef("order sheet: found neither --out nor --csv, expected a file or a folder to write to")
	}
	season, err := env.OpenSeason(c.Context, o)
	if err != nil {
		return err
	}
	orders, err := named(season.Snapshot.Orders, args)
	if err != nil {
		return err
	}
	var files []frame.NamedFile
	for _, one := range orders { // all can be sent before any is written
		if _, err := purchase.AsOrdered(season.Snapshot, one); err != nil {
			return fmt.Errorf("%w: %w", db.ErrRefused, err)
		}
		files = append(files, frame.NamedFile{Name: one.Code + ".csv", Write: func(w io.Writer) error { return reorder.WriteSentCSV(w, season.Snapshot, one) }})
	}
	var written []string
	if o.Out != "" {
		if err := env.WriteFile(o.Out, func(w io.Writer) error { return reorder.WriteSent(w, season.Snapshot, orders) }); err != nil {
			return err
		}
		written = append(written, o.Out)
	}
	if folder != "" {
		if err := env.WriteFolder(folder, files); err != nil {
			return err
		}
		written = append(written, folder)
	}
	var codes []string
	for _, one := range orders {
		codes = append(codes, one.Code)
	}
	look := env.Look()
	if err := look.Say(env.Out, fmt.Sprintf("%s: written to %s", strings.Join(codes, ", "), strings.Join(written, " and "))); err != nil {
		return err
	}
	return look.Say(env.Out, "when one is sent: roundkit order place "+codes[0])
}

// named are the orders of some numbers, or every draft.
func named(all []planner.Order, codes []string) (out []planner.Order, err error) {
	var known []string
	for _, o := range purchase.Sorted(all) {
		known = append(known, o.Code)
		if len(codes) == 0 && purchase.StateOf(o) == purchase.Drafted || slices.Contains(codes, o.Code) {
			out = append(out, o)
		}
	}
	for _, code := range codes {
		if !slices.Contains(known, code) {
			return nil, fmt.Errorf("%w: %w", db.ErrRefused, near.Miss("order", code, known))
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%w: found no draft, expected one, or the number of an order", db.ErrRefused)
	}
	return out, nil
}
