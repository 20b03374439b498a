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
func seasonTerms(part int) [][]Term {
	rng := splitmix(part + 1)
	rounds := make([][]Term, seasonRounds)
	for r := range rounds {
		for k := range tripTerms {
			t := Term{Times: 1}
			switch u := rng.next(); {
			case u > 0.9:
				t.Times = 4
			case u > 0.6:
				t.Times = 2
			}
			switch k % 3 {
			case 0:
				t.N, t.P = 2+int(rng.next()*15), 0.02+0.5*rng.next()
			case 1:
				t.Mean = 0.05 + 2*rng.next()
			default:
				t.Mean = 0.02 + 0.6*rng.next()
				a, b, c := rng.next(), rng.next(), rng.next()
				t.Sizes = []float64{a / (a + b + c), b / (a + b + c), c / (a + b + c)}
			}
			rounds[r] = append(rounds[r], t)
		}
	}
	return rounds
}

func season(parts int) [][][]Term {
	out := make([][][]Term, parts)
	for i := range out {
		out[i] = seasonTerms(i)
	}
	return out
}

// dense returns a term as a plain vector from 0, up to a dropped tail of cut.
func (t Term) dense(cut float64) []float64 {
	var r Running
	r.Quick = cut > CutTail
	if err := r.Add([]Term{t}); err != nil {
		panic(err)
	}
	out := make([]float64, r.trip.from, r.trip.from+len(r.trip.p))
	return append(out, r.trip.p...)
}
