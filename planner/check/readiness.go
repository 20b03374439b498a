package check

import (
	"fmt"

	"roundkit/planner/demand"
)

func readinessCalcs() []Calc {
	return []Calc{{
		Name: "readiness", About: "the chance that no part runs short: joint, product within each weather, product",
		In: []Field{
			need("wet", "list of chances of rain, one a round, at most 20"), need("services", "as of need, with a part in every line"),
			need("stock", "{part: 0 or more}, one for every part of a line"), may("step", "grid in the parts' unit, 0.001 to 1e6 (1)"),
		},
		Out: []Field{
			need("joint", "P(every part's need <= its stock), exact"),
			need("within_weather", "sum over weather patterns of their chance x product over parts"),
			need("product", "product over parts of P(need <= stock)"),
		},
		run: runReadiness,
	}}
}

func runReadiness(in *input) (output, error) {
	n := readNeed(in, true)
	stock := in.amounts("stock")
	if err := in.ready(); err != nil {
		return nil, err
	}
	if err := in.budget.spend("services", needWork(n, true)); err != nil {
		return nil, err
	}
	// Where the exact sum is too long the planner draws; a check wants no estimate, so
	// the draws are as few as may be and the answer is refused.
	r, err := n.Readiness(stock, demand.ReadyOptions{Draws: 2})
	if err != nil {
		return nil, err
	}
	if !r.Exact {
		return nil, fmt.Errorf("services: found more than %.0e combinations of weather and unplanned jobs, expected fewer: the joint chance would be an estimate", float64(demand.MaxReadyWork))
	}
	return output{"joint": r.Joint, "within_weather": r.Within, "product": r.Product}, nil
}

// amounts reads an object of amounts by name.
func (in *input) amounts(name string) map[string]float64 {
	inside := in.inside(name)
	out := map[string]float64{}
	if inside.node.dict != nil {
		for _, key := range inside.node.dict.names {
			out[key] = inside.number(key, amount)
		}
	}
	inside.close()
	return out
}
