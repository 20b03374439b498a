// Package rate is the command that takes exchange rates in, and says which hold.
package rate

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/book"
	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
	"roundkit/reports/term"
)

// sheet is that of the season workbook which holds the same rates.
const sheet = "exchange-rates"

// short are the headings that people use for its columns.
var short = map[string]string{"day": "from day", "date": "from day", "rate": "rate to home currency"}

// Command is "rate".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "rate",
		Usage: "take exchange rates in, and say which holds on a day",
		Subcommands: []*cli.Command{
			{Name: "load", Usage: "read a CSV file of exchange rates into the database, all or nothing", ArgsUsage: "FILE",
				Description: "Its columns are day, currency and rate: home currency for one of the currency, from that day on\n" +
					"until the next (a workbook's sheet exchange-rates does as well, and holds the same rates). A rate\n" +
					"that is there is replaced, the others stay; one that a closed month was reckoned with stands.",
				Flags:  frame.Flags(frame.Database, frame.DryRun, frame.JSON),
				Action: func(c *cli.Context) error { return load(env, c) }},
			{Name: "list", Usage: "say which rates are known, and which hold",
				Flags:  frame.Flags(frame.Season, frame.AsOf, frame.Database, frame.JSON),
				Action: func(c *cli.Context) error { return list(env, c) }},
		},
	}
}

func load(env *frame.Env, c *cli.Context) error {
	args, o, err := frame.Given(c, "FILE")
	if err != nil {
		return err
	}
	return book.Load(env, c, o, args[0], func() (workbook.Input, error) {
		return seasonfile.ReadCSVSheet(args[0], sheet, short, seasonfile.Limits{})
	})
}

// row is one rate for machines. Holds says whether it is that of the day asked about.
type row struct {
	Currency string  `json:"currency"`
	FromOn   day.Day `json:"from_on"`
	Rate     string  `json:"rate"`
	Holds    bool    `json:"holds"`
	Notes    string  `json:"notes"`
}

func list(env *frame.Env, c *cli.Context) error {
	_, o, store, err := env.StoreFor(c)
	if err != nil {
		return err
	}
	defer store.Close()
	s, err := store.Snapshot(c.Context, db.SnapshotOptions{Season: o.Season, AsOf: o.AsOf})
	if err != nil {
		return err
	}
	rows := rowsOf(s.Rates, s.AsOf)
	if o.JSON {
		return env.PrintJSON(rows)
	}
	home := ""
	if len(s.Season) > 0 {
		home = s.Season[0].Currency
	}
	if err := env.Look().Say(env.Out, fmt.Sprintf("%s for one of each currency; marked: the rate of %s", home, s.AsOf)); err != nil {
		return err
	}
	t := term.Table{Columns: []term.Column{{Title: "currency"}, {Title: "from"}, {Title: "rate", Right: true}, {Title: ""}, {Title: "notes", Wrap: true}}}
	for _, r := range rows {
		mark := ""
		if r.Holds {
			mark = "holds"
		}
		t.Rows = append(t.Rows, []string{r.Currency, r.FromOn.String(), r.Rate, mark, r.Notes})
	}
	return env.Look().Print(env.Out, t)
}

// rowsOf marks of each currency the last rate that is not after the day.
func rowsOf(rates []planner.ExchangeRate, on day.Day) []row {
	holds := map[string]int{}
	for i, r := range rates {
		if at, ok := holds[r.Currency]; r.FromOn <= on && (!ok || rates[at].FromOn < r.FromOn) {
			holds[r.Currency] = i
		}
	}
	rows := []row{}
	for i, r := range rates {
		at, ok := holds[r.Currency]
		rows = append(rows, row{r.Currency, r.FromOn, r.Rate.String(), ok && at == i, r.Notes})
	}
	return rows
}
