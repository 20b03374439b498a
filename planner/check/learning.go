package check

import (
	"roundkit/planner/demand"
)

// exposures are bike-days, or whatever a rate is counted in.
var exposures = bound{least: 0, most: 1e15}

func learningCalcs() []Calc {
	return []Calc{
		{
			Name: "gamma-poisson", About: "an unknown rate learned from counts, and the count that comes next",
			In: append([]Field{
				need("alpha", "0 or more, of the prior"), need("beta", "0 or more, a rate"),
				need("counts", "list of whole numbers"), need("exposures", "list of 0 to 1e15, one for each of counts"),
				need("exposure", "0 to 1e15, of what comes next"), may("rate_q", "list of numbers above 0 and below 1"),
			}, distributionIn()...),
			Out: append([]Field{
				need("alpha", "of the posterior"), need("beta", "of the posterior"), need("rate_mean", "number"), need("rate_sd", "number"),
				may("rate_quantile", "at each rate_q"),
			}, distributionOut()...),
			run: runGammaPoisson,
		},
		{
			Name: "beta-binomial-update", About: "an unknown chance learned from trials, and how many of the next need the part",
			In: append([]Field{
				need("a", "0 or more, of the prior"), need("b", "0 or more"),
				need("trials", "whole, 0 to 1e6"), need("successes", "whole, at most trials"),
				need("next", "whole, 0 to 100000"), may("chance_q", "list of numbers above 0 and below 1"),
			}, distributionIn()...),
			Out: append([]Field{
				need("a", "of the posterior"), need("b", "of the posterior"), need("chance_mean", "number"), need("chance_sd", "number"),
				may("chance_quantile", "at each chance_q"),
			}, distributionOut()...),
			run: runBetaBinomialUpdate,
		},
	}
}

func runGammaPoisson(in *input) (output, error) {
	prior := demand.GammaBelief{Alpha: in.number("alpha", amount), Beta: in.number("beta", amount)}
	counts, seen := in.counts("counts", count), in.numbers("exposures", exposures)
	next := in.number("exposure", exposures)
	rateQ := in.numbersOr("rate_q", between)
	ask := readAsk(in)
	in.sameLength("exposures", len(seen), len(counts), "counts")
	if err := in.ready(); err != nil {
		return nil, err
	}
	belief, err := prior.Update(counts, seen)
	if err != nil {
		return nil, err
	}
	var out output
	p := belief.Beta / (belief.Beta + next)
	if far := farOff(demand.NegBinomialFar{R: belief.Alpha, P: p}); far != nil {
		out = ask.of(far)
	} else if out, err = ask.answer(in.budget, func(*budget) (demand.PMF, error) { return belief.Next(next) }); err != nil {
		return nil, err
	}
	out["alpha"], out["beta"] = belief.Alpha, belief.Beta
	out["rate_mean"], out["rate_sd"] = belief.Mean(), belief.SD()
	return out, out.quantiles("rate_quantile", rateQ, belief.Quantile)
}

func runBetaBinomialUpdate(in *input) (output, error) {
	prior := demand.BetaBelief{A: in.number("a", amount), B: in.number("b", amount)}
	trials, successes := in.count("trials", count), in.count("successes", count)
	next := in.count("next", from(0, 100_000))
	chanceQ := in.numbersOr("chance_q", between)
	ask := readAsk(in)
	if err := in.ready(); err != nil {
		return nil, err
	}
	belief, err := prior.Update(trials, successes)
	if err != nil {
		return nil, err
	}
	out, err := ask.answer(in.budget, func(*budget) (demand.PMF, error) { return belief.Next(next) })
	if err != nil {
		return nil, err
	}
	out["a"], out["b"] = belief.A, belief.B
	out["chance_mean"], out["chance_sd"] = belief.Mean(), belief.SD()
	return out, out.quantiles("chance_quantile", chanceQ, belief.Quantile)
}

// quantiles puts the quantile at each q into the output; no list of q, no field.
func (out output) quantiles(name string, q []float64, of func(q float64) (float64, error)) error {
	if q == nil {
		return nil
	}
	at := make([]float64, len(q))
	for i := range q {
		var err error
		if at[i], err = of(q[i]); err != nil {
			return named(name, err)
		}
	}
	out[name] = at
	return nil
}
