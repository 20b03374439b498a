package check

import "roundkit/planner/demand"

func historyCalcs() []Calc {
	return []Calc{
		{
			Name: "intermittent", About: "forecast of a series with many zeros (Croston, Syntetos-Boylan, Teunter-Syntetos-Babai)",
			In: []Field{
				need("method", "croston, sba or tsb"), need("series", "list of 0 or more, not empty"), need("size_weight", "0 to 1"),
				may("interval_weight", "0 to 1 (croston, sba)"), may("chance_weight", "0 to 1 (tsb)"),
			},
			Out: []Field{need("forecast", "after each period"), need("next", "the last of them")},
			run: runIntermittent,
		},
		{
			Name: "sample", About: "mean and standard deviation of a sample",
			In:  []Field{need("values", "list of numbers, two or more")},
			Out: []Field{need("n", "whole"), need("mean", "number"), need("sd", "with n - 1")},
			run: runSample,
		},
	}
}

func runIntermittent(in *input) (output, error) {
	method := demand.Method(in.oneOf("method", string(demand.Croston), string(demand.SBA), string(demand.TSB)))
	series, size := in.numbers("series", amount), in.number("size_weight", chance)
	weight := "interval_weight"
	if method == demand.TSB {
		weight = "chance_weight"
	}
	m := demand.Intermittent{Method: method, SizeWeight: size, IntervalWeight: in.number(weight, chance)}
	if n, ok := in.node.get("series"); ok && n.kind == list && len(series) == 0 {
		in.refuse("series", "an empty list", "at least one number")
	}
	if err := in.ready(); err != nil {
		return nil, err
	}
	forecast, err := m.Forecast(series)
	if err != nil {
		return nil, err
	}
	return output{"forecast": forecast, "next": forecast[len(forecast)-1]}, nil
}

func runSample(in *input) (output, error) {
	values := in.numbers("values", anyNumber)
	if err := in.ready(); err != nil {
		return nil, err
	}
	s, err := demand.Sample(values)
	if err != nil {
		return nil, err
	}
	return output{"n": s.N, "mean": s.Mean, "sd": s.SD}, nil
}
