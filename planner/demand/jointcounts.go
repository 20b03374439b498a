package demand

import "math"

// jobCount is a number of unplanned jobs in dry and in wet rounds, with its chance.
type jobCount struct {
	dry, wet int
	weight   float64
}

// countsOf tells which counts of a service a state is summed over.
type countsOf func(service int, st state) ([]jobCount, error)

// leastCount: counts with at most this chance are left out of a joint readiness.
const leastCount = 1e-15

// countKey is what a service's count hangs on.
type countKey struct {
	service int
	wet     float64
}

// serviceCount is the count of a service's jobs in a state of the weather.
type serviceCount struct {
	count   PMF
	cum     []float64  // of count
	wetPart float64    // the chance that a job is in a wet round
	all     []jobCount // every count that matters, made when first asked for
}

// countIn returns the count of a service in a state.
func (s *shop) countIn(service int, st state) (serviceCount, error) {
	u := s.need.Services[service].Unplanned
	key := countKey{service, st.pattern.wetOf(u.Exposure)}
	if c, ok := s.counts[key]; ok {
		return c, nil
	}
	dry := (^st.pattern).wetOf(u.Exposure)
	wet := key.wet * u.WetFactor
	exposure := dry + wet
	c := serviceCount{}
	if exposure > 0 {
		c.wetPart = wet / exposure
	}
	var err error
	if u.Rate.Known() {
		c.count, err = Poisson(u.Rate.Value * exposure)
	} else {
		c.count, err = negBinomial(u.Rate.Alpha, exposure/(u.Rate.Beta+exposure))
	}
	c.cum = c.count.Cumulative()
	s.counts[key] = c
	return c, err
}

// allCounts returns every count of a service in a state that matters.
func (s *shop) allCounts(service int, st state) ([]jobCount, error) {
	c, err := s.countIn(service, st)
	if err != nil || c.all != nil {
		return c.all, err
	}
	wetPart := c.wetPart
	if !s.minds(service) {
		wetPart = 0
	}
	for i, p := range c.count.probs() {
		n := c.count.From + i
		split, err := Binomial(n, wetPart)
		if err != nil {
			return nil, err
		}
		for j, q := range split.P {
			if p*q > leastCount*1e-3 {
				wet := split.From + j
				c.all = append(c.all, jobCount{n - wet, wet, p * q})
			}
		}
	}
	s.counts[countKey{service, st.pattern.wetOf(s.need.Services[service].Unplanned.Exposure)}] = c
	return c.all, nil
}

// minds tells whether a job of the service takes other amounts in the wet.
func (s *shop) minds(service int) bool {
	for _, l := range s.need.Services[service].Lines {
		if l.Kind == Chanced && l.wet() != l.Dry {
			return true
		}
	}
	return false
}

// work estimates the products that sum makes.
func (s *shop) work() float64 {
	total := 0.0
	for _, g := range s.groups {
		pairs := 1.0
		for _, i := range g.services {
			u := s.need.Services[i].Unplanned
			e := 0.0
			for _, x := range u.Exposure {
				e += x * max(1, u.WetFactor)
			}
			mean := u.Rate.Mean() * e
			variance := mean
			if !u.Rate.Known() {
				variance *= 1 + e/u.Rate.Beta
			}
			n := 8 + mean + 8*math.Sqrt(variance)
			if s.minds(i) {
				n *= n / 2
			}
			pairs *= n
		}
		total += pairs * float64(len(g.parts)) * 4
	}
	return (total + float64(len(s.parts))) * float64(len(s.states))
}

// over sums over the counts of the group's services from level on. work holds what
// each part needs so far, up to its stock.
func (s *shop) over(g group, level int, st state, counts countsOf, work []PMF) (float64, error) {
	if level == len(g.services) {
		return 1, nil
	}
	service := g.services[level]
	list, err := counts(service, st)
	if err != nil {
		return 0, err
	}
	next := make([]PMF, len(work))
	total := 0.0
	for _, c := range list {
		product := c.weight
		copy(next, work)
		for k, i := range g.parts {
			p := s.parts[i]
			t := p.tiedTo(service)
			if t == nil || product == 0 {
				continue
			}
			use, err := t.jobs(c, p.stock)
			if err != nil {
				return 0, err
			}
			if g.last[k] == level { // all of this part's shares are in
				product *= bothWithin(work[k], use, p.stock)
				continue
			}
			if next[k], err = Convolve(work[k], use); err != nil {
				return 0, err
			}
			next[k] = next[k].upTo(p.stock)
		}
		if product == 0 {
			continue
		}
		rest, err := s.over(g, level+1, st, counts, next)
		if err != nil {
			return 0, err
		}
		total += product * rest
	}
	return total, nil
}

// tiedTo returns the part's share of a service, or nil.
func (p *readyPart) tiedTo(service int) *tied {
	for i := range p.tied {
		if p.tied[i].service == service {
			return &p.tied[i]
		}
	}
	return nil
}

// jobs returns what the part needs for a count of jobs, up to a stock.
func (t *tied) jobs(c jobCount, stock int) (PMF, error) {
	key := [2]int{c.dry, c.wet}
	if d, ok := t.sums[key]; ok {
		return d, nil
	}
	var d, e PMF
	var err error
	if d, err = Power(t.drySize, c.dry); err != nil {
		return PMF{}, err
	}
	if e, err = Power(t.wetSize, c.wet); err != nil {
		return PMF{}, err
	}
	if d, err = Convolve(d.upTo(stock), e.upTo(stock)); err != nil {
		return PMF{}, err
	}
	d = d.upTo(stock)
	t.sums[key] = d
	return d, nil
}

// bothWithin returns P(A + B <= stock).
func bothWithin(a, b PMF, stock int) float64 {
	if len(a.P) > len(b.P) {
		a, b = b, a
	}
	total, upTo, k := 0.0, 0.0, 0
	for i := len(a.P) - 1; i >= 0; i-- { // b's cdf grows as a's value falls
		for ; k < len(b.P) && b.From+k <= stock-a.From-i; k++ {
			upTo += b.P[k]
		}
		total += a.P[i] * upTo
	}
	return min(total, 1)
}
