package spend

import (
	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/spend"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// reconcile is "spend --reconcile": each part's money, in less out.
func reconcile(env *frame.Env, c *cli.Context, store *db.Store, ask db.SpendOptions, s *planner.Snapshot) error {
	all, err := store.Balances(c.Context, ask.SnapshotOptions, ask.Valued, s)
	if err != nil {
		return err
	}
	currency := homeOf(s)
	if c.Bool(string(frame.JSON)) {
		err = env.PrintJSON(answer.OfBalances(s.AsOf, currency, ask.Valued, all))
	} else {
		err = screen.Balances(env.Out, env.Look(), s.AsOf, currency, ask.Valued, all)
	}
	if err != nil {
		return err
	}
	for _, b := range all {
		if b.Apart() {
			return frame.ErrFailed
		}
	}
	return nil
}

// variance is "spend --variance": why what was used cost more or less than its standard.
func variance(env *frame.Env, c *cli.Context, store *db.Store, ask db.SpendOptions, s *planner.Snapshot, standard spend.Standard) error {
	done, err := store.Performed(c.Context, ask, s)
	if err != nil {
		return err
	}
	all, not, err := spend.Variances(s, done, standard)
	if err != nil {
		return err
	}
	if c.Bool(string(frame.JSON)) {
		return env.PrintJSON(answer.OfVariances(s.AsOf, homeOf(s), standard, all, not))
	}
	return screen.Variances(env.Out, env.Look(), s.AsOf, homeOf(s), standard, all, not)
}

func homeOf(s *planner.Snapshot) string {
	if len(s.Season) == 0 {
		return ""
	}
	return s.Season[0].Currency
}
