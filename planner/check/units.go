package check

import (
	"math/big"
	"strings"

	"roundkit/planner/units"
)

func unitCalcs() []Calc {
	return []Calc{{
		Name: "convert", About: "a value in another unit, exactly",
		In: []Field{
			need("value", "number"),
			need("from", "unit: "+strings.Join(units.Names(), ", ")),
			need("to", "unit of the same kind"),
		},
		Out: []Field{need("value", "number")},
		run: func(in *input) (output, error) {
			value, from, to := in.exact("value", anyNumber), in.word("from"), in.word("to")
			if err := in.ready(); err != nil {
				return nil, err
			}
			exact, ok := new(big.Rat).SetString(value)
			if !ok { // exact reads decimals only
				in.refuse("value", quoted(value), "a decimal number")
				return nil, in.faults.err()
			}
			converted, err := units.Convert(exact, from, to)
			if err != nil {
				return nil, err
			}
			nearest, _ := converted.Float64()
			return output{"value": nearest}, nil
		},
	}}
}
