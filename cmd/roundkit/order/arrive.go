package order

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner/ledger"
	"roundkit/planner/purchase"
)

func arrive(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "ORDER")
	if err != nil {
		return err
	}
	return BookIn(env, c, args[0], c.StringSlice("part"))
}

// BookIn books in what came of an order: the parts named, each PART=QUANTITY, else all that
// is open on it.
func BookIn(env *frame.Env, c *cli.Context, number string, parts []string) error {
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	a := db.Arrival{Act: r.Act, Order: number}
	for _, text := range parts {
		part, q, err := r.Amount(c.Context, text)
		if err != nil {
			return err
		}
		a.Came = append(a.Came, ledger.Amount{Part: part, Quantity: q})
	}
	done, o, err := r.Store.ArriveOrder(c.Context, a)
	if err != nil {
		return hinted(err)
	}
	said := fmt.Sprintf("%s from %s: booked in", o.Code, o.Supplier)
	var notes []string
	switch state := purchase.StateOf(o); {
	case r.Act.DryRun:
	case state == purchase.Here:
		said = fmt.Sprintf("%s from %s: here, all of it", o.Code, o.Supplier)
	case state == purchase.PartHere:
		said = fmt.Sprintf("%s from %s: part here; the rest is still on its way", o.Code, o.Supplier)
		if o.DueOn != nil {
			said += ", due " + o.DueOn.String()
		}
		notes = append(notes, "if the rest will not come: roundkit order call-off "+o.Code)
	}
	return r.Print(c.Context, said, done, notes...)
}
