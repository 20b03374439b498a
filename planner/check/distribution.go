package check

import (
	"errors"
	"fmt"
	"math"

	"roundkit/planner/demand"
)

// maxDepth is how deep a distribution may lie inside others.
const maxDepth = 5

// A build makes a distribution once all inputs of the case have been read.
type build struct {
	make func(*budget) (demand.PMF, error)
	// panjer makes the compound with this count by Panjer's recursion; nil for a count
	// that the recursion does not fit.
	panjer func(size demand.PMF) (demand.PMF, error)
	// over makes the compound with this count in a way of its own; nil for the usual.
	over func(b *budget, size demand.PMF) (demand.PMF, error)
	// far answers a distribution too wide to be kept; nil for the others.
	far law
}

// A law answers what is asked of a distribution, kept entry by entry or not.
type law interface {
	Mean() float64
	SD() float64
	At(v int) float64
	CDF(v int) float64
	Loss(v int) float64
	Quantile(q float64) int
}

// plain is a build of a distribution that costs little.
func plain(make func() (demand.PMF, error)) build {
	return build{make: func(*budget) (demand.PMF, error) { return make() }}
}

// A shape is a distribution by its parameters: its name, what it is, and how its
// parameters are read.
type shape struct {
	name  string
	about string
	in    []Field
	read  func(in *input, depth int) build
}

// shapes are the distributions that may stand alone or inside another calculation.
func shapes() []shape {
	return []shape{
		{"poisson", "count of rare independent events", []Field{need("mean", "0 to 1e6; 0 is always 0")}, readPoisson},
		{"binomial", "how many of n independent jobs, each with chance p",
			[]Field{need("n", "whole, 0 to 1e6"), need("p", "chance")}, readBinomial},
		{"negative-binomial", "P(k) = C(r+k-1, k) p^r (1-p)^k: a Poisson count with a Gamma rate",
			[]Field{need("r", "above 0 to 1e6"), need("p", "0.0001 to 1")}, readNegativeBinomial},
		{"beta-binomial", "how many of n jobs that share one unknown chance, Beta(a, b)",
			[]Field{need("n", "whole, 0 to 100000"), need("a", "above 0"), need("b", "above 0")}, readBetaBinomial},
		{"poisson-binomial", "sum of independent yes/no, each with its own chance",
			[]Field{need("p", "list of chances")}, readPoissonBinomial},
		{"discrete", "P(0), P(1), ... as given", []Field{need("p", "list of chances, at least one, summing to 1 within 1e-9")}, readDiscrete},
		{"compound", "sum of count independent sizes; 0 when count is 0",
			[]Field{need("count", "distribution"), need("size", "distribution")}, readCompound},
		{"sum", "sum of independent distributions", []Field{need("of", "list of distributions, at least one")}, readSum},
	}
}

// distributionIn and distributionOut are the fields that every distribution shares.
func distributionIn() []Field {
	return []Field{may("x", "list of whole numbers"), may("q", "list of numbers above 0 and below 1")}
}

func distributionOut() []Field {
	return []Field{
		need("mean", "number"), need("sd", "number"),
		may("pmf", "at each x, P(D = x)"), may("cdf", "at each x, P(D <= x)"), may("loss", "at each x, E[(D - x)+]"),
		may("quantile", "at each q, the smallest value whose cdf is at least q - 1e-12"),
	}
}

func distributionCalcs() []Calc {
	var out []Calc
	for _, s := range shapes() {
		out = append(out, Calc{
			Name: s.name, About: s.about, In: append(s.in, distributionIn()...), Out: distributionOut(),
			run: func(in *input) (output, error) {
				made := s.read(in, 0)
				ask := readAsk(in)
				if err := in.ready(); err != nil {
					return nil, err
				}
				if made.far != nil {
					return ask.of(made.far), nil
				}
				return ask.answer(in.budget, made.make)
			},
		})
	}
	return out
}

// distribution reads a distribution inside another calculation, {"dist": name, ...}.
func (in *input) distribution(name string, depth int) build {
	return in.inside(name).distributionHere(depth + 1)
}

// distributions reads a list of distributions.
func (in *input) distributions(name string, depth int) []build {
	var out []build
	for _, d := range in.insides(name) {
		out = append(out, d.distributionHere(depth+1))
	}
	return out
}

func (in *input) distributionHere(depth int) build {
	if depth > maxDepth {
		in.refuse("dist", fmt.Sprintf("a distribution %d deep", depth), fmt.Sprintf("at most %d inside one another", maxDepth))
		return build{}
	}
	all := shapes()
	known := make([]string, len(all))
	for i, s := range all {
		known[i] = s.name
	}
	name := in.oneOf("dist", known...)
	for _, s := range all {
		if s.name == name {
			inner := s.read(in, depth)
			in.close()
			return build{panjer: inner.panjer, over: inner.over, make: func(b *budget) (demand.PMF, error) {
				d, err := inner.make(b)
				return d, in.at(err)
			}}
		}
	}
	return build{}
}

// located is an error that names its whole path already.
type located struct{ error }

// at names the object in which an error of the planner arose, once.
func (in *input) at(err error) error {
	if err == nil || in.path == "" || errors.As(err, &located{}) {
		return err
	}
	return located{fmt.Errorf("%s%w", in.path, err)}
}

func readPoisson(in *input, _ int) build {
	mean := in.number("mean", bound{least: 0, most: 1e6})
	return build{
		make:   func(*budget) (demand.PMF, error) { return demand.Poisson(mean) },
		panjer: func(size demand.PMF) (demand.PMF, error) { return demand.CompoundPoisson(mean, size) },
	}
}

func readBinomial(in *input, _ int) build {
	n, p := in.count("n", count), in.number("p", chance)
	return plain(func() (demand.PMF, error) { return demand.Binomial(n, p) })
}

func readNegativeBinomial(in *input, _ int) build {
	r, p := in.number("r", bound{least: 0, most: 1e6, openLow: true}), in.number("p", bound{least: 0.0001, most: 1})
	return build{
		far:    farOff(demand.NegBinomialFar{R: r, P: p}),
		make:   func(*budget) (demand.PMF, error) { return demand.NegBinomial(r, p) },
		panjer: func(size demand.PMF) (demand.PMF, error) { return demand.CompoundNegBinomial(r, p, size) },
	}
}

// farOff returns a negative binomial that is too wide to be kept, nil for another.
func farOff(d demand.NegBinomialFar) law {
	if sd := d.SD(); spread(math.Inf(1), sd*sd) > maxWidth {
		return d
	}
	return nil
}

func readBetaBinomial(in *input, _ int) build {
	n, a, b := in.count("n", from(0, 100_000)), in.number("a", above), in.number("b", above)
	return plain(func() (demand.PMF, error) { return demand.BetaBinomial(n, a, b) })
}

func readPoissonBinomial(in *input, _ int) build {
	p := in.numbers("p", chance)
	return build{make: func(b *budget) (demand.PMF, error) {
		if err := b.spend("p", float64(len(p))*spread(float64(len(p)), float64(len(p))/4)); err != nil {
			return demand.PMF{}, err
		}
		return demand.PoissonBinomial(p)
	}}
}

func readDiscrete(in *input, _ int) build {
	p := in.numbers("p", chance)
	return plain(func() (demand.PMF, error) { return demand.Discrete(p) })
}

func readCompound(in *input, depth int) build {
	number, size := in.distribution("count", depth), in.distribution("size", depth)
	return build{
		make: func(b *budget) (demand.PMF, error) {
			f, err := size.make(b)
			if err != nil {
				return demand.PMF{}, err
			}
			return number.compound(b, f)
		},
		// As a count itself: so many sizes for each of a number of things is, for each of
		// the things, so many sizes. That way round the recursion fits at every level.
		over: func(b *budget, f demand.PMF) (demand.PMF, error) {
			each, err := size.compound(b, f)
			if err != nil {
				return demand.PMF{}, err
			}
			return number.compound(b, each)
		},
	}
}

// compound returns the sum of so many sizes, by the planner's cheaper method.
func (number build) compound(b *budget, f demand.PMF) (demand.PMF, error) {
	if number.over != nil {
		return number.over(b, f)
	}
	n, err := number.make(b)
	if err != nil {
		return demand.PMF{}, err
	}
	halves, panjer := compoundWork(n, f), panjerWork(n, f)
	if number.panjer != nil && panjer < halves {
		if err := b.spend("count", panjer); err != nil {
			return demand.PMF{}, err
		}
		return number.panjer(f)
	}
	if err := b.spend("count", halves); err != nil {
		return demand.PMF{}, err
	}
	return demand.Compound(n, f)
}

func readSum(in *input, depth int) build {
	of := in.distributions("of", depth)
	if n, ok := in.node.get("of"); ok && n.kind == list && len(of) == 0 {
		in.refuse("of", "an empty list", "at least one distribution")
	}
	return build{make: func(b *budget) (demand.PMF, error) {
		terms := make([]demand.PMF, len(of))
		var width float64
		for i, term := range of {
			var err error
			if terms[i], err = term.make(b); err != nil {
				return demand.PMF{}, err
			}
			if err := b.spend("of", convolveWork(width, float64(len(terms[i].P)))); err != nil {
				return demand.PMF{}, err
			}
			width += float64(len(terms[i].P))
		}
		return demand.Sum(terms...)
	}}
}

// An ask is what is wanted of a distribution.
type ask struct {
	x []int
	q []float64
}

func readAsk(in *input) ask { return ask{in.countsOr("x", anyWhole), in.numbersOr("q", between)} }

// answer makes the distribution and gives its mean and standard deviation, and what was
// asked.
func (a ask) answer(b *budget, make func(*budget) (demand.PMF, error)) (output, error) {
	d, err := make(b)
	if err != nil {
		return nil, err
	}
	if err := b.spend("x", 3*float64(len(a.x))*float64(len(d.P))); err != nil {
		return nil, err
	}
	out := ask{x: a.x}.of(d)
	if a.q != nil {
		out["quantile"] = d.Quantiles(a.q) // all in one pass
	}
	return out, nil
}

// of gives what was asked of a law.
func (a ask) of(d law) output {
	out := output{"mean": d.Mean(), "sd": d.SD()}
	if a.x != nil {
		pmf, cdf, loss := floats(a.x), floats(a.x), floats(a.x)
		for i, x := range a.x {
			pmf[i], cdf[i], loss[i] = d.At(x), d.CDF(x), d.Loss(x)
		}
		out["pmf"], out["cdf"], out["loss"] = pmf, cdf, loss
	}
	if a.q != nil {
		quantile := make([]int, len(a.q))
		for i, q := range a.q {
			quantile[i] = d.Quantile(q)
		}
		out["quantile"] = quantile
	}
	return out
}

func floats(x []int) []float64 { return make([]float64, len(x)) }
