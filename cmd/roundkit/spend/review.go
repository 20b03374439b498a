package spend

import (
	"io"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/forecast"
	"roundkit/planner/left"
	"roundkit/planner/spend"
	"roundkit/reports/review"
)

// writeReview writes the season's review: every view, and what each figure comes from.
func writeReview(env *frame.Env, c *cli.Context, store *db.Store, ask db.SpendOptions, outlook *forecast.Outlook, path string) error {
	snapshot := outlook.Snapshot
	r := &review.Review{Parts: map[string]planner.Part{}, Balances: map[spend.Formula][]spend.Balance{}}
	var charges []spend.Charge
	if len(snapshot.Season) > 0 {
		r.Team, r.Season = snapshot.Season[0].Team, snapshot.Season[0].Name
	}
	for _, p := range snapshot.Parts {
		r.Parts[p.Code] = p
	}
	for _, view := range spend.Views() {
		ask.View = view
		facts, err := store.Spend(c.Context, ask, snapshot)
		if err != nil {
			return err
		}
		result, err := spend.Of(outlook, view, facts)
		if err != nil {
			return err
		}
		r.Views = append(r.Views, result)
		charges = facts.Charges
	}
	var err error
	var costs []spend.Cost
	if r.Traces, costs, err = store.Traces(c.Context, ask.SnapshotOptions, snapshot); err != nil {
		return err
	}
	wanted := map[string]bool{}
	for part, left := range r.Views[0].Expected {
		wanted[part] = left.Sign() > 0
	}
	r.Dead = spend.DeadStock(snapshot, costs, r.Traces, wanted)
	r.Purchases, r.Charges = spend.Purchases(snapshot, costs), spend.ChargeLines(snapshot, charges)
	for _, f := range spend.Formulas() {
		if r.Balances[f], err = store.Balances(c.Context, ask.SnapshotOptions, f, snapshot); err != nil {
			return err
		}
	}
	done, err := store.Performed(c.Context, ask, snapshot)
	if err != nil {
		return err
	}
	if r.Variances, r.NoVariance, err = spend.Variances(snapshot, done, spend.ListPrice); err != nil {
		return err
	}
	if r.Next, err = left.At(outlook, ""); err != nil {
		return err
	}
	return env.WriteFile(path, func(w io.Writer) error { return review.Write(w, r) })
}
