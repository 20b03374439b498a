package demand

import (
	"math"
	"math/rand/v2"
	"sort"
)

// sum adds the joint chance over every weather state and count.
func (s *shop) sum() (joint float64, err error) {
	for _, st := range s.states {
		j, err := s.joint(st, s.allCounts)
		if err != nil {
			return 0, err
		}
		joint += st.weight * j
	}
	return min(joint, 1), nil
}

// within adds over every state the product of the parts' chances in it.
func (s *shop) within() (float64, error) {
	total := 0.0
	for _, st := range s.states {
		product := st.weight
		for i := range s.parts {
			f, err := s.enough(i, st)
			if err != nil {
				return 0, err
			}
			product *= f
		}
		total += product
	}
	return min(total, 1), nil
}

// drawSalt sets the stream of the draws apart from others of the same seed.
const drawSalt = 0x9e3779b97f4a7c15

// draw averages the joint chance over drawn weather and counts. Within each draw
// the product over the parts is exact, so the error is that of what is shared only.
func (s *shop) draw(draws int, seed uint64) (joint, stdErr float64, err error) {
	rng := rand.New(rand.NewPCG(seed, drawSalt))
	cum := make([]float64, len(s.states))
	total := 0.0
	for i, st := range s.states {
		total += st.weight
		cum[i] = total
	}
	one := func(service int, st state) ([]jobCount, error) {
		c, err := s.countIn(service, st)
		if err != nil {
			return nil, err
		}
		n := c.count.From + sort.SearchFloat64s(c.cum[:len(c.cum)-1], rng.Float64())
		wet := 0
		if s.minds(service) {
			split, err := Binomial(n, c.wetPart)
			if err != nil {
				return nil, err
			}
			wet = split.Quantile(rng.Float64())
		}
		return []jobCount{{n - wet, wet, 1}}, nil
	}
	mean, squares := 0.0, 0.0
	for i := range draws {
		k := sort.SearchFloat64s(cum[:len(cum)-1], rng.Float64()*total)
		j, err := s.joint(s.states[k], one)
		if err != nil {
			return 0, 0, err
		}
		dev := j - mean
		mean += dev / float64(i+1)
		squares += dev * (j - mean)
	}
	n := float64(draws)
	return mean, math.Sqrt(squares / (n - 1) / n), nil
}

// joint returns the chance that every part is enough in a state.
func (s *shop) joint(st state, counts countsOf) (float64, error) {
	product := 1.0
	for i, p := range s.parts {
		if len(p.tied) == 0 {
			f, err := s.enough(i, st)
			if err != nil {
				return 0, err
			}
			product *= f
		}
	}
	for _, g := range s.groups {
		work := make([]PMF, len(g.parts))
		for k, i := range g.parts {
			var err error
			if work[k], err = s.ownNeed(i, st); err != nil {
				return 0, err
			}
		}
		f, err := s.over(g, 0, st, counts, work)
		if err != nil {
			return 0, err
		}
		product *= f
	}
	return product, nil
}
