package check

import (
	"encoding/json"

	"github.com/shopspring/decimal"

	"roundkit/planner/cost"
)

func costCalcs() []Calc {
	valuation := func(name, about string, value func([]cost.Move) (cost.Valuation, error)) Calc {
		return Calc{
			Name: name, About: about,
			In:  []Field{need("moves", "list of {in: above 0, unit_cost: 0 or more} or {out: above 0}")},
			Out: []Field{need("issues", "cost of each out"), need("quantity", "left"), need("value", "of what is left")},
			run: func(in *input) (output, error) {
				moves := readMoves(in)
				if err := in.ready(); err != nil {
					return nil, err
				}
				v, err := value(moves)
				if err != nil {
					return nil, err
				}
				issues := make([]json.Number, len(v.Issues))
				for i, issue := range v.Issues {
					issues[i] = exactly(issue)
				}
				return output{"issues": issues, "quantity": exactly(v.Quantity), "value": exactly(v.Value)}, nil
			},
		}
	}
	return []Calc{
		valuation("fifo", "cost of what went out, oldest first, and of what is left", cost.FIFO),
		valuation("weighted-average", "the same at the moving average", cost.WeightedAverage),
		{
			Name: "variance", About: "price and quantity variance; above 0 is unfavourable",
			In: []Field{
				need("actual_quantity", "0 or more"), need("actual_price", "0 or more"),
				need("standard_quantity", "0 or more"), need("standard_price", "0 or more"),
			},
			Out: []Field{
				need("price", "(actual - standard price) x actual quantity"),
				need("quantity", "(actual - standard quantity) x standard price"), need("total", "of both"),
			},
			run: func(in *input) (output, error) {
				actual := cost.Spend{Quantity: in.decimal("actual_quantity", amount), Price: in.decimal("actual_price", amount)}
				standard := cost.Spend{Quantity: in.decimal("standard_quantity", amount), Price: in.decimal("standard_price", amount)}
				if err := in.ready(); err != nil {
					return nil, err
				}
				v := cost.VarianceOf(actual, standard)
				return output{"price": exactly(v.Price), "quantity": exactly(v.Quantity), "total": exactly(v.Total)}, nil
			},
		},
	}
}

func readMoves(in *input) []cost.Move {
	var moves []cost.Move
	for _, m := range in.insides("moves") {
		var move cost.Move
		if m.has("out") && m.has("in") {
			m.refuse("in", "it with out", "one of them")
		}
		if m.has("out") { // then unit_cost is an unknown field
			move.Out = m.decimal("out", above)
		} else {
			move.In, move.UnitCost = m.decimal("in", above), m.decimal("unit_cost", amount)
		}
		m.close()
		moves = append(moves, move)
	}
	return moves
}

// exactly writes a decimal as a JSON number with all its digits.
func exactly(d decimal.Decimal) json.Number { return json.Number(d.String()) }
