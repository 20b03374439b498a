package check

import (
	"roundkit/planner/demand"
)

// maxRounds is the most rounds of one need.
const maxRounds = 20

func needCalcs() []Calc {
	const services = "list of {jobs: [whole, one a round], lines} or {exposure: [0 or more, one a round], " +
		"rate: 0 or more or {alpha, beta}, wet_factor: 0 or more (1), lines}; " +
		"a line is {quantity}, {quantity, dry, wet} with chances or {a, b}, or {min, typical, max, allowance: 0 to 10 (0)}"
	return []Calc{
		{
			Name: "need", About: "what one part will be used over rounds, mixed over their weather",
			In: []Field{
				need("wet", "list of chances of rain, one a round, at most 20"), need("services", services),
				may("step", "grid in the part's unit, 0.001 to 1e6 (1)"), may("x", "list of 0 or more"), may("q", "list of numbers above 0 and below 1"),
			},
			Out: distributionOut(),
			run: runNeed,
		},
	}
}

func runNeed(in *input) (output, error) {
	n := readNeed(in, false)
	x, q := in.numbersOr("x", amount), in.numbersOr("q", between)
	if err := in.ready(); err != nil {
		return nil, err
	}
	if err := in.budget.spend("services", needWork(n, false)); err != nil {
		return nil, err
	}
	l, err := n.Distribution()
	if err != nil {
		return nil, err
	}
	if err := in.budget.spend("x", 3*float64(len(x))*float64(len(l.PMF.P))); err != nil {
		return nil, err
	}
	out := output{"mean": l.Mean(), "sd": l.SD()}
	if x != nil {
		pmf, cdf, loss := make([]float64, len(x)), make([]float64, len(x)), make([]float64, len(x))
		for i, at := range x {
			pmf[i], cdf[i], loss[i] = l.At(at), l.CDF(at), l.Loss(at)
		}
		out["pmf"], out["cdf"], out["loss"] = pmf, cdf, loss
	}
	if q != nil {
		quantile := make([]float64, len(q))
		for i, k := range l.PMF.Quantiles(q) {
			quantile[i] = float64(k) * l.Step
		}
		out["quantile"] = quantile
	}
	return out, nil
}

// readNeed reads wet, services and step; parts says whether every line names its part.
func readNeed(in *input, parts bool) demand.Need {
	n := demand.Need{Wet: in.numbers("wet", chance), Step: in.numberOr("step", bound{least: 0.001, most: 1e6}, 1)}
	if len(n.Wet) > maxRounds {
		w, _ := in.node.get("wet")
		in.refuse("wet", w.shown(), "at most 20 rounds")
	}
	for _, s := range in.insides("services") {
		n.Services = append(n.Services, readService(s, len(n.Wet), parts))
		s.close()
	}
	return n
}

func readService(in *input, rounds int, parts bool) demand.Service {
	var s demand.Service
	planned, unplanned := in.has("jobs"), in.has("exposure")
	switch {
	case planned && unplanned:
		in.refuse("jobs", "it with exposure", "one of them")
	case unplanned:
		s.Unplanned = &demand.Unplanned{
			Exposure: in.numbers("exposure", amount), Rate: readRate(in), WetFactor: in.numberOr("wet_factor", amount, 1),
		}
		in.sameLength("exposure", len(s.Unplanned.Exposure), rounds, "wet")
	default:
		if !planned {
			in.refuse("jobs", "nothing", "it (planned), or exposure (unplanned)")
		} else {
			s.Jobs = in.counts("jobs", count)
			in.sameLength("jobs", len(s.Jobs), rounds, "wet")
		}
	}
	for _, l := range in.insides("lines") {
		s.Lines = append(s.Lines, readLine(l, unplanned, parts))
		l.close()
	}
	return s
}

func readRate(in *input) demand.Rate {
	if n, ok := in.node.get("rate"); !ok || n.kind != object {
		return demand.Rate{Value: in.number("rate", amount)}
	}
	r := in.inside("rate")
	rate := demand.Rate{Alpha: r.number("alpha", above), Beta: r.number("beta", above)}
	r.close()
	return rate
}

func readLine(in *input, unplanned, parts bool) demand.Line {
	var l demand.Line
	if parts {
		l.Part = in.word("part")
	}
	if in.has("min") || in.has("max") || in.has("typical") || in.has("allowance") {
		return readRange(in, l)
	}
	l.Quantity = in.number("quantity", amount)
	if in.has("dry") || in.has("wet") {
		l.Kind = demand.Chanced
		l.Dry = readChance(in, "dry", unplanned)
		if in.has("wet") {
			wet := readChance(in, "wet", unplanned)
			l.Wet = &wet
		}
	}
	return l
}

func readRange(in *input, l demand.Line) demand.Line {
	l.Kind = demand.Ranged
	l.Min, l.Max = in.number("min", amount), in.number("max", amount)
	l.Allowance = in.numberOr("allowance", bound{least: 0, most: 10}, 0)
	top := "max"
	if in.has("typical") {
		typical := in.number("typical", amount)
		l.Typical = &typical
		top = "typical"
		if typical > l.Max {
			in.refuse("typical", numberText(typical), "at most max")
		}
		if typical < l.Min {
			in.refuse("typical", numberText(typical), "at least min")
		}
	}
	if l.Min > l.Max {
		in.refuse("min", numberText(l.Min), "at most "+top)
	}
	return l
}

// readChance reads a chance or, for a planned job, a belief about one.
func readChance(in *input, name string, unplanned bool) demand.Chance {
	n, ok := in.node.get(name)
	if !ok || n.kind != object {
		return demand.Chance{P: in.number(name, chance)}
	}
	if unplanned {
		in.asked[name] = true
		in.refuse(name, "an unknown chance in an unplanned job", "a number from 0 to 1")
		return demand.Chance{}
	}
	c := in.inside(name)
	belief := demand.Chance{A: c.number("a", above), B: c.number("b", above)}
	c.close()
	return belief
}
