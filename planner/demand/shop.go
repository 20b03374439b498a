package demand

// shop holds what a joint readiness is summed over.
type shop struct {
	need   Need
	parts  []*readyPart
	states []state
	// For each part, which axes move it, and what was worked out for their keys.
	axesOf [][]int
	own    []map[stateKey]PMF // need but for the tied shares, up to the stock
	alone  []map[stateKey]float64
	groups []group
	counts map[countKey]serviceCount
}

// group is a set of unplanned services tied to one another through parts that they
// share, and the parts they touch. Groups are independent given the weather.
type group struct {
	services []int
	parts    []int
	last     []int // for each of parts, the last of services that touches it
}

func newShop(n Need, parts []*readyPart) (*shop, error) {
	s := &shop{need: n, parts: parts, counts: map[countKey]serviceCount{}}
	var open []share
	for i, p := range parts {
		for _, sh := range p.shares() {
			sh.part = i
			if sh.random(n.Wet) {
				open = append(open, sh)
			}
		}
		s.own = append(s.own, map[stateKey]PMF{})
		s.alone = append(s.alone, map[stateKey]float64{})
	}
	// The count of a tied service hangs on the weather even where one part does not
	// feel it, so its own amounts are an axis as well.
	for _, i := range s.tiedServices() {
		sh := share{amounts: n.Services[i].Unplanned.Exposure, part: -1, weather: true}
		if sh.random(n.Wet) {
			open = append(open, sh)
		}
	}
	axes := axesOf(n.Wet, open)
	s.axesOf = make([][]int, len(parts))
	for a, ax := range axes {
		for _, sh := range ax.shares {
			if sh.part >= 0 && !contains(s.axesOf[sh.part], a) {
				s.axesOf[sh.part] = append(s.axesOf[sh.part], a)
			}
		}
	}
	var err error
	if s.states, err = reach(n.Wet, axes, MaxStates); err != nil {
		return nil, err
	}
	s.groups = s.grouped()
	return s, nil
}

func contains(list []int, x int) bool {
	for _, y := range list {
		if x == y {
			return true
		}
	}
	return false
}

// tiedServices returns the services that tie parts together, in order.
func (s *shop) tiedServices() []int {
	var out []int
	for i := range s.need.Services {
		for _, p := range s.parts {
			for _, t := range p.tied {
				if t.service == i && !contains(out, i) {
					out = append(out, i)
				}
			}
		}
	}
	return out
}

// grouped joins services that share a part.
func (s *shop) grouped() []group {
	head := map[int]int{} // service -> a service of the same group
	var find func(i int) int
	find = func(i int) int {
		if head[i] != i {
			head[i] = find(head[i])
		}
		return head[i]
	}
	services := s.tiedServices()
	for _, i := range services {
		head[i] = i
	}
	for _, p := range s.parts {
		for _, t := range p.tied {
			head[find(t.service)] = find(p.tied[0].service)
		}
	}
	var out []group
	for _, root := range services {
		if find(root) != root {
			continue
		}
		g := group{}
		for _, i := range services {
			if find(i) == root {
				g.services = append(g.services, i)
			}
		}
		for i, p := range s.parts {
			last := -1
			for _, t := range p.tied {
				for k, j := range g.services {
					if j == t.service {
						last = max(last, k)
					}
				}
			}
			if last >= 0 {
				g.parts, g.last = append(g.parts, i), append(g.last, last)
			}
		}
		out = append(out, g)
	}
	return out
}

// keyOf keeps of a state what moves the part.
func (s *shop) keyOf(part int, st state) stateKey {
	var k stateKey
	for _, a := range s.axesOf[part] {
		k[a] = st.key[a]
	}
	return k
}

// ownNeed returns what the part needs but for the tied shares, up to its stock.
func (s *shop) ownNeed(part int, st state) (PMF, error) {
	key := s.keyOf(part, st)
	if d, ok := s.own[part][key]; ok {
		return d, nil
	}
	p := s.parts[part]
	total := Point(0)
	for _, sh := range p.own {
		d, err := sh.given(st.pattern.wetOf(sh.amounts))
		if err != nil {
			return PMF{}, err
		}
		if total, err = Convolve(total, d.upTo(p.stock)); err != nil {
			return PMF{}, err
		}
		total = total.upTo(p.stock)
	}
	s.own[part][key] = total
	return total, nil
}

// upTo keeps the values of at most v; an empty remainder is a single 0 entry.
func (d PMF) upTo(v int) PMF {
	p := d.probs()
	switch keep := v - d.From + 1; {
	case keep <= 0:
		return PMF{From: d.From, P: []float64{0}}
	case keep < len(p):
		return PMF{From: d.From, P: p[:keep]}
	}
	return PMF{From: d.From, P: p}
}

// enough returns P(the part's need <= stock) in a state, tied shares by their
// marginals.
func (s *shop) enough(part int, st state) (float64, error) {
	key := s.keyOf(part, st)
	if f, ok := s.alone[part][key]; ok {
		return f, nil
	}
	total, err := s.ownNeed(part, st)
	if err != nil {
		return 0, err
	}
	p := s.parts[part]
	for _, t := range p.tied {
		d, err := t.share.given(st.pattern.wetOf(t.share.amounts))
		if err != nil {
			return 0, err
		}
		if total, err = Convolve(total, d.upTo(p.stock)); err != nil {
			return 0, err
		}
		total = total.upTo(p.stock)
	}
	f := total.sum()
	s.alone[part][key] = f
	return f, nil
}

// sum returns the sum of the entries, for what has been cut off at the stock.
func (d PMF) sum() float64 {
	total := 0.0
	for _, p := range d.probs() {
		total += p
	}
	return min(total, 1)
}
