package load

import (
	"math/rand/v2"
	"slices"

	"roundkit/planner/demand"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
)

// springBlock is the springs of one model. A rider who wants one rate does not want the
// other, so their needs hang together; springs hang on the track and not on the weather.
type springBlock struct {
	rates   []int // parts
	rounds  []wish
	breaks  []demand.PMF // of each rate, over the trip
	most    []int        // the most wanted of each rate at once
	atMost  []float64    // P(no rate is wanted more often than the levels), by mixed index
	tooMany bool         // more outcomes than are worth a table
}

// wish is what one round may want at once.
type wish struct {
	riders []choices
	joint  []outcome
}

// choices are what one rider may want, each with its chance; the rest wants nothing.
type choices struct {
	rider string
	of    []outcome
}

// outcome is so many of each rate, with its chance.
type outcome struct {
	chance float64
	count  []int
}

// maxOutcomes is the most outcomes of a round, and the most levels of a model, that are
// enumerated.
const maxOutcomes = 200_000

// springBlocks gathers the riders' choices of every model with springs.
func (p *packing) springBlocks() ([]*springBlock, error) {
	var out []*springBlock
	of := map[string]*springBlock{}
	for _, sp := range p.o.Snapshot.Springs {
		i, ok := p.at[sp.Part]
		if !ok {
			continue
		}
		if of[sp.Model] == nil {
			of[sp.Model] = &springBlock{}
			out = append(out, of[sp.Model])
		}
		of[sp.Model].rates = append(of[sp.Model].rates, i)
	}
	for _, b := range out {
		if err := p.fillSprings(b); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (p *packing) fillSprings(b *springBlock) error {
	b.breaks = make([]demand.PMF, len(b.rates))
	for k, i := range b.rates {
		x, err := p.o.Explain(p.parts[i].Code, forecast.Options{Trip: p.trip.Code, Confidence: p.res.Confidence, Alone: true})
		if err != nil {
			return err
		}
		breaks := 0.0
		for r, sr := range x.Springs {
			if r == len(b.rounds) {
				b.rounds = append(b.rounds, wish{})
			}
			breaks += sr.Breaks
			for _, rider := range sr.Riders {
				b.rounds[r].wants(rider, k, len(b.rates))
			}
		}
		if b.breaks[k], err = demand.Poisson(breaks); err != nil {
			return err
		}
	}
	b.most = make([]int, len(b.rates))
	size := 1
	for r := range b.rounds {
		b.rounds[r].joint = joint(b.rounds[r].riders, len(b.rates))
		if b.rounds[r].joint == nil {
			b.tooMany = true
			return nil
		}
		for _, o := range b.rounds[r].joint {
			for k, n := range o.count {
				b.most[k] = max(b.most[k], n)
			}
		}
	}
	for _, n := range b.most {
		if size *= n + 1; size > maxOutcomes {
			b.tooMany = true
			return nil
		}
	}
	b.tabulate(size)
	return nil
}

// wants adds a rider's choice of one rate. Keeping what is fitted is one choice over all
// rates, so its counts are filled in rate by rate.
func (w *wish) wants(r forecast.SpringRider, rate, rates int) {
	at := slices.IndexFunc(w.riders, func(c choices) bool { return c.rider == r.Rider })
	if at < 0 {
		at = len(w.riders)
		// the first choice is to keep what is fitted
		w.riders = append(w.riders, choices{rider: r.Rider, of: []outcome{{chance: r.Keeps, count: make([]int, rates)}}})
	}
	c := &w.riders[at]
	c.of[0].count[rate] = r.Fitted
	if r.Chance > 0 {
		o := outcome{chance: r.Chance, count: make([]int, rates)}
		o.count[rate] = r.Bikes
		c.of = append(c.of, o)
	}
}

// joint returns what all riders of a round want at once; nil: too many outcomes.
func joint(riders []choices, rates int) []outcome {
	all := []outcome{{chance: 1, count: make([]int, rates)}}
	for _, r := range riders {
		rest := 1.0
		for _, o := range r.of {
			rest -= o.chance
		}
		options := r.of
		if rest > 1e-12 {
			options = append(slices.Clone(options), outcome{chance: rest, count: make([]int, rates)})
		}
		seen := map[string]int{}
		var next []outcome
		for _, a := range all {
			for _, o := range options {
				if o.chance <= 0 {
					continue
				}
				sum := outcome{chance: a.chance * o.chance, count: make([]int, rates)}
				key := make([]byte, 0, 2*rates)
				for k := range sum.count {
					sum.count[k] = a.count[k] + o.count[k]
					key = append(key, byte(sum.count[k]), byte(sum.count[k]>>8))
				}
				if n, ok := seen[string(key)]; ok {
					next[n].chance += sum.chance
					continue
				}
				seen[string(key)] = len(next)
				next = append(next, sum)
			}
		}
		if all = next; len(all) > maxOutcomes {
			return nil
		}
	}
	return all
}

// tabulate fills atMost: the product over the rounds of the chance that the round wants
// no more than the levels.
func (b *springBlock) tabulate(size int) {
	b.atMost = make([]float64, size)
	for i := range b.atMost {
		b.atMost[i] = 1
	}
	for _, r := range b.rounds {
		round := make([]float64, size)
		for _, o := range r.joint {
			round[b.index(o.count)] += o.chance
		}
		stride := 1
		for k := range b.most { // sum along each axis: the chance of at most the levels
			for i := range round {
				if i/stride%(b.most[k]+1) > 0 {
					round[i] += round[i-stride]
				}
			}
			stride *= b.most[k] + 1
		}
		for i := range b.atMost {
			b.atMost[i] *= min(round[i], 1)
		}
	}
}

func (b *springBlock) index(count []int) int {
	at, stride := 0, 1
	for k, n := range count {
		at += n * stride
		stride *= b.most[k] + 1
	}
	return at
}

func (b *springBlock) members() []int { return b.rates }

// chance sums over how many break of each rate; what is then left must be as many as are
// wanted at once.
func (b *springBlock) chance(_ view, have []units.Quantity, skip []bool) float64 {
	weight := make([][]float64, len(b.rates)) // of each level
	for k, i := range b.rates {
		w := make([]float64, b.most[k]+1)
		weight[k] = w
		stock := int(have[i])
		if skip[i] {
			w[b.most[k]] = 1
			continue
		}
		for level := range w {
			if stock >= level {
				w[level] = b.breaks[k].At(stock - level)
			}
		}
		if stock >= b.most[k] {
			w[b.most[k]] = b.breaks[k].CDF(stock - b.most[k])
		}
	}
	table, size := b.atMost, len(b.atMost)
	for k := len(b.rates) - 1; k >= 0; k-- { // fold the last axis in
		size /= b.most[k] + 1
		folded := make([]float64, size)
		for level, w := range weight[k] {
			if w == 0 {
				continue
			}
			for i := range folded {
				folded[i] += w * table[level*size+i]
			}
		}
		table = folded
	}
	return min(table[0], 1)
}

func (b *springBlock) drawn(need []float64, have []units.Quantity, skip []bool) bool {
	for _, i := range b.rates {
		if !skip[i] && !enoughOf(need[i], float64(have[i])) {
			return false
		}
	}
	return true
}

// draw adds what one drawn trip wants of each rate.
func (b *springBlock) draw(rng *rand.Rand, need []float64) {
	most := make([]int, len(b.rates))
	for _, r := range b.rounds {
		wanted := make([]int, len(b.rates))
		for _, rider := range r.riders {
			u := rng.Float64()
			for _, o := range rider.of {
				if u -= o.chance; u < 0 {
					for k, n := range o.count {
						wanted[k] += n
					}
					break
				}
			}
		}
		for k, n := range wanted {
			most[k] = max(most[k], n)
		}
	}
	for k, i := range b.rates {
		need[i] += float64(most[k] + drawFrom(rng, b.breaks[k]))
	}
}

// drawFrom draws from a distribution.
func drawFrom(rng *rand.Rand, d demand.PMF) int {
	u := rng.Float64()
	for i, p := range d.P {
		if u -= p; u < 0 {
			return d.From + i
		}
	}
	return d.Max()
}
