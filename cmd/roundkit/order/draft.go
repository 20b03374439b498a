package order

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/forecast"
	"roundkit/planner/order"
	"roundkit/planner/purchase"
)

// mostDays is longer than a season ahead.
const mostDays = 1000

func draft(env *frame.Env, c *cli.Context) error {
	_, o, err := frame.Given(c)
	if err != nil {
		return err
	}
	if _, err := o.Asked(); err != nil {
		return err
	}
	within := mostDays
	if text := c.String("within"); c.IsSet("within") {
		if within, err = strconv.Atoi(strings.TrimSpace(text)); err != nil || within < 0 || within > mostDays {
			return frame.Usagef("option --within: found %q, expected a number of days from 0 to %d", text, mostDays)
		}
	}
	change, err := env.Change(o)
	if err != nil {
		return err
	}
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	const tries = 3 // somebody else may draft while this plans
	var (
		snap    *planner.Snapshot
		drafted []string
		drafts  []purchase.Draft
	)
	for range tries {
		if snap, drafted, drafts, err = tryDraft(c, o, store, change, within); !errors.Is(err, db.ErrConflict) {
			break
		}
	}
	if err != nil {
		return err
	}
	var orders []planner.Order
	for _, d := range drafts {
		orders = append(orders, d.Order)
		snap.OrderLines = append(snap.OrderLines, d.Lines...)
	}
	page, err := pageOf(snap, orders, "")
	if err != nil {
		return err
	}
	if o.JSON {
		return env.PrintJSON(answersOf(page))
	}
	head := fmt.Sprintf("%d drafted", len(drafts))
	switch {
	case len(drafts) == 0 && len(drafted) > 0:
		head = "nothing to draft beyond " + strings.Join(drafted, ", ")
	case len(drafts) == 0:
		head = "nothing to draft: nothing must be ordered"
	case len(drafted) > 0:
		head += ", beyond " + strings.Join(drafted, ", ")
	}
	if o.DryRun {
		head += "; dry run, nothing was changed"
	}
	look := env.Look()
	if err := look.Say(env.Out, head); err != nil || len(drafts) == 0 {
		return err
	}
	fmt.Fprintln(env.Out)
	if err := page.Table(env.Out, look); err != nil || o.DryRun {
		return err
	}
	if err := look.Say(env.Out, "when one is sent: roundkit order place "+drafts[0].Order.Code); err != nil {
		return err
	}
	return env.SayTakeBack(change)
}

// tryDraft plans what must be ordered beyond what is drafted, and drafts it. ErrConflict: the
// orders changed meanwhile.
func tryDraft(c *cli.Context, o frame.Options, store *db.Store, change db.ChangeOptions, within int) (snap *planner.Snapshot, drafted []string, drafts []purchase.Draft, err error) {
	if snap, err = store.Snapshot(c.Context, db.SnapshotOptions{Season: o.Season}); err != nil {
		return nil, nil, nil, err
	}
	if err := knownSupplier(snap, c.String("supplier")); err != nil {
		return nil, nil, nil, err
	}
	seen, err := db.SeenOrders(snap)
	if err != nil {
		return nil, nil, nil, err
	}
	for _, w := range purchase.AsPlaced(snap) {
		drafted = append(drafted, w.Code)
	}
	outlook, err := forecast.New(snap)
	if err != nil {
		return nil, nil, nil, err
	}
	const bothCores = 2
	plan, err := order.Plan(outlook, order.Options{Rounds: o.Rounds, Trip: o.Trip, Confidence: o.Confidence, Workers: bothCores})
	if err != nil {
		return nil, nil, nil, err
	}
	wanted := slices.DeleteFunc(plan.Orders, func(x order.Order) bool {
		return c.String("supplier") != "" && x.Supplier.Code != c.String("supplier") || !x.Late && int(x.OrderBy-snap.AsOf) > within
	})
	drafts, err = store.DraftOrders(c.Context, purchase.Drafts(wanted), seen, change)
	return snap, drafted, drafts, err
}
