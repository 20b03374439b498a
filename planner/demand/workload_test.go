package demand

// The benchmark's season: parts x rounds x 10 terms, made by a small generator that
// testdata/bench/season.py repeats number by number. Invented, in the shape of a
// team's use: bands changed by inspection (binomial), small parts (Poisson), crash
// parts (compound Poisson), some in pairs or fours.

type splitmix uint64

// next is Steele, Lea and Flood's SplitMix64 (2014), top 53 bits as a fraction.
func (s *splitmix) next() float64 {
	*s += 0x9e3779b97f4a7c15
	z := uint64(*s)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return float64((z^z>>31)>>11) / (1 << 53)
}

const (
	seasonParts  = 500
	seasonRounds = 30
	tripTerms    = 10
)

// seasonTerms returns the terms of each round of one part.
func seasonTerms(part int) [][]term {
	rng := splitmix(part + 1)
	rounds := make([][]term, seasonRounds)
	for r := range rounds {
		for k := range tripTerms {
			t := term{times: 1}
			switch u := rng.next(); {
			case u > 0.9:
				t.times = 4
			case u > 0.6:
				t.times = 2
			}
			switch k % 3 {
			case 0:
				t.n, t.p = 2+int(rng.next()*15), 0.02+0.5*rng.next()
			case 1:
				t.mean = 0.05 + 2*rng.next()
			default:
				t.mean = 0.02 + 0.6*rng.next()
				a, b, c := rng.next(), rng.next(), rng.next()
				t.sizes = []float64{a / (a + b + c), b / (a + b + c), c / (a + b + c)}
			}
			rounds[r] = append(rounds[r], t)
		}
	}
	return rounds
}

func season(parts int) [][][]term {
	out := make([][][]term, parts)
	for i := range out {
		out[i] = seasonTerms(i)
	}
	return out
}

// term is one independent use within a trip: times pieces for each of a count. The count is
// Binomial(n, p) if n is above 0; else Poisson(mean), where with sizes each event brings
// 1, 2, ... with chances sizes[0], sizes[1], ...
type term struct {
	times int
	n     int
	p     float64
	mean  float64
	sizes []float64
}

// need makes the term's distribution the way the forecast does.
func (t term) need() (PMF, error) {
	count, err := Poisson(t.mean)
	switch {
	case t.n > 0:
		count, err = Binomial(t.n, t.p)
	case t.sizes != nil && err == nil:
		count, err = Compound(count, PMF{From: 1, P: t.sizes})
	}
	if err != nil {
		return PMF{}, err
	}
	return count.Times(t.times)
}

// tripNeed is the sum of a trip's terms.
func tripNeed(terms []term) (PMF, error) {
	of := make([]PMF, len(terms))
	for i, t := range terms {
		var err error
		if of[i], err = t.need(); err != nil {
			return PMF{}, err
		}
	}
	return Sum(of...)
}
