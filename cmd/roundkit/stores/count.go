package stores

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/cmd/roundkit/order"
	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// differenceOf is what a count or a weighing found beyond the book, below 0 what was missing.
func differenceOf(done db.Recorded) (diff units.Quantity) {
	for _, e := range done.Entries {
		for _, m := range e.Moves {
			switch ledger.CountDifference {
			case m.From:
				diff += m.Quantity
			case m.To:
				diff -= m.Quantity
			}
		}
	}
	return diff
}

// small reports whether a difference is too little to ask about: less than 1 ml or 1 g, which
// is what stays on a syringe. Common practice.
func small(diff units.Quantity, u units.Unit) bool {
	return u != units.PC && max(diff, -diff) < units.Quantity(u.Base())
}

// differs says in words what a count or a weighing booked, or (dry) would book.
func differs(what, where string, diff units.Quantity, u units.Unit, dry bool) string {
	if where != "" {
		what += " at " + where
	}
	words := map[bool][2]string{false: {", booked as found", ", booked as missing"}, true: {"", ""}}[dry]
	switch {
	case diff > 0:
		return fmt.Sprintf("%s: %s more than the book%s", what, units.Say(diff, u), words[0])
	case diff < 0:
		return fmt.Sprintf("%s: %s less than the book%s", what, units.Say(-diff, u), words[1])
	}
	return what + ": as the book says"
}

func weigh(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "TAG", "GRAMS")
	if err != nil {
		return err
	}
	gross, err := units.ParseMass(frame.Grams(args[1]))
	if err != nil {
		return frame.Usagef("weigh: %s", err)
	}
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	done, err := frame.Doubted(c.Context, r, func(a db.Act) (db.Recorded, error) { return r.Store.Weigh(c.Context, a, args[0], gross) })
	if err != nil {
		return err
	}
	unit := units.ML
	for _, part := range done.Parts {
		unit = r.Parts[part].Unit
	}
	return r.Print(c.Context, differs(args[0], "", differenceOf(done), unit, r.Act.DryRun), done)
}

func openKit(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "KIT")
	if err != nil {
		return err
	}
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	done, err := r.Store.OpenKit(c.Context, r.Act, args[0], c.String("from"))
	if err != nil {
		return err
	}
	return r.Print(c.Context, args[0]+": one opened, its contents are loose parts now; nobody counts the rest as a kit", done)
}

func receive(env *frame.Env, c *cli.Context) error {
	if c.IsSet("order") {
		return receiveOrder(env, c)
	}
	texts, err := parts(c)
	if err != nil {
		return err
	}
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	in := db.Receipt{Act: r.Act, To: c.String("to"), Supplier: c.String("supplier")}
	came, err := amounts(r, c, texts)
	if err != nil {
		return err
	}
	if c.IsSet("cost") && len(came) > 1 {
		return frame.Usagef("option --cost: found it with %d parts, expected one: which cost what is not said", len(came))
	}
	if text := c.String("cost"); text != "" {
		amount, currency, _ := strings.Cut(strings.TrimSpace(text), " ")
		cost, err := decimal.NewFromString(strings.Replace(amount, ",", ".", 1))
		if err != nil || cost.IsNegative() {
			return frame.Usagef("option --cost: found %q, expected an amount such as 68.00 or \"68.00 GBP\"", text)
		}
		in.Cost, in.Currency = &cost, strings.ToUpper(strings.TrimSpace(currency))
	}
	if in.ExpiresOn, err = date(c, "expires"); err != nil {
		return err
	}
	ids, err := idsOf(r, len(came))
	if err != nil {
		return err
	}
	each, err := frame.Doubted(c.Context, r, func(a db.Act) ([]db.Recorded, error) {
		all := make([]db.Receipt, len(came))
		for i, p := range came {
			all[i] = in
			all[i].Act, all[i].Part, all[i].Quantity = a, p.Part, p.Quantity
			all[i].ID = ids[i]
		}
		if len(all) == 1 {
			return one(r.Store.Receive(c.Context, all[0]))
		}
		return r.Store.ReceiveAll(c.Context, all)
	})
	if err != nil {
		return err
	}
	return printAll(env, c, r, each, func(i int, _ *db.Recorded) (string, []string) {
		return came[i].Part + " " + units.Say(came[i].Quantity, r.Parts[came[i].Part].Unit) + ": received", nil
	})
}

// receiveOrder books in what came of an order: one part of it, or all that is open.
func receiveOrder(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "[PART]", "[QUANTITY]")
	if err != nil {
		return err
	}
	for _, name := range []string{"to", "supplier", "cost", "expires"} {
		if c.IsSet(name) {
			return frame.Usagef("option --%s: it does not go with --order, which knows it", name)
		}
	}
	const both = 2
	switch len(args) {
	case 0:
		return order.BookIn(env, c, c.String("order"), nil)
	case both:
		return order.BookIn(env, c, c.String("order"), []string{args[0] + "=" + args[1]})
	}
	return frame.Usagef("receive: found %q alone, expected PART QUANTITY, or neither for all that is open on the order", args[0])
}

// date reads an option that is a date; nil where it is not given.
func date(c *cli.Context, name string) (*day.Day, error) {
	text := c.String(name)
	if text == "" {
		return nil, nil
	}
	on, err := day.Parse(text)
	if err != nil {
		return nil, frame.Usagef("option --%s: %s", name, err)
	}
	return &on, nil
}

func tagNew(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "TAG", "PART")
	if err != nil {
		return err
	}
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	n := db.NewTag{Act: r.Act, At: c.String("from"), Tag: planner.Tag{Code: args[0], Part: args[1], SerialNumber: c.String("serial")}}
	if n.Tag.OpenedOn, err = date(c, "opened"); err != nil {
		return err
	}
	if text := c.String("tare"); text != "" {
		tare, err := units.ParseMass(frame.Grams(text))
		if err != nil {
			return frame.Usagef("option --tare: %s", err)
		}
		n.Tag.TareMG = &tare
	}
	if text := c.String("rate"); text != "" {
		rate, err := units.ParseRate(text)
		if err != nil {
			return frame.Usagef("option --rate: %s", err)
		}
		const digits = 4
		measured, err := decimal.NewFromString(units.FormatRat(rate.NPerMM(), digits))
		if err != nil {
			return err
		}
		n.Tag.MeasuredRateNPerMM = &measured
	}
	if text := c.String("quantity"); text != "" {
		if n.Quantity, err = r.Quantity(c.Context, args[1], text); err != nil {
			return err
		}
	}
	done, err := frame.Doubted(c.Context, r, func(a db.Act) (db.Recorded, error) {
		n.Act = a
		return r.Store.TagNew(c.Context, n)
	})
	if err != nil {
		return err
	}
	return r.Print(c.Context, args[0]+": labelled, one "+args[1], done)
}
