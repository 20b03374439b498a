package need

import (
	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
	"roundkit/reports/screen"
)

// Explain is the command that gives the reasons of one part's forecast.
func Explain(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:      "explain",
		Usage:     "say why that much of a part is wanted: rounds, services, lines, weather",
		ArgsUsage: "PART",
		Flags:     options(),
		Action: func(c *cli.Context) error {
			args, err := frame.Arguments(c, "PART")
			if err != nil {
				return err
			}
			o, err := frame.ReadOptions(c)
			if err != nil {
				return err
			}
			ask, err := o.Asked()
			if err != nil {
				return err
			}
			ask.Alone = c.Bool("alone")
			season, err := env.OpenSeason(c.Context, o)
			if err != nil {
				return err
			}
			done := env.Working(c.Context, "working out the need")
			x, err := season.Explain(args[0], ask)
			done()
			if err != nil {
				return err
			}
			if o.JSON {
				return env.PrintJSON(answer.OfExplain(x))
			}
			return screen.Explain(env.Out, env.Look(), x, season.Clock)
		},
	}
}
