package oil

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/act"
	"roundkit/planner/units"
	"roundkit/reports/screen"
	"roundkit/reports/term"
)

// mixed records a blend.
func mixed(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "LABEL", "OIL", "BOTTLE=AMOUNT...")
	if err != nil {
		return err
	}
	r, err := env.Record(c)
	if err != nil {
		return err
	}
	defer r.Store.Close()
	b := db.NewBlend{Act: r.Act, Tag: planner.Tag{Code: args[0], Part: args[1]}, At: c.String("to")}
	if text := c.String("tare"); text != "" {
		tare, err := units.ParseMass(frame.Grams(text))
		if err != nil {
			return frame.Usagef("option --tare: %s", err)
		}
		b.Tag.TareMG = &tare
	}
	snap, err := r.Store.Snapshot(c.Context, db.SnapshotOptions{Season: r.Act.Season})
	if err != nil {
		return err
	}
	partOf := map[string]string{}
	for _, t := range snap.Tags {
		partOf[t.Code] = t.Part
	}
	const named = 2
	for _, text := range args[named:] {
		tag, amount, ok := strings.Cut(text, "=")
		if !ok {
			return frame.Usagef("oil mixed: found %q, expected BOTTLE=AMOUNT such as B-104=120ml or B-104=110g", text)
		}
		p := act.Poured{Tag: strings.TrimSpace(tag)}
		if part := partOf[p.Tag]; part != "" { // else the store says which tags there are
			if p.Quantity, err = r.Quantity(c.Context, part, amount); err != nil {
				return err
			}
		}
		b.From = append(b.From, p)
	}
	var cst float64
	done, err := frame.Doubted(c.Context, r, func(a db.Act) (done db.Recorded, err error) {
		b.Act = a
		done, cst, err = r.Store.Blend(c.Context, b)
		return done, err
	})
	if err != nil {
		return err
	}
	said := fmt.Sprintf("%s: a bottle of %s, mixed", b.Tag.Code, b.Tag.Part)
	if cst > 0 {
		said += fmt.Sprintf(" (%s cSt at 40 C by its volumes)", term.Number(cst, 2))
	}
	return r.Print(c.Context, said, done, screen.OilCautions[0])
}
