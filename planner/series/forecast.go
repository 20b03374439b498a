package series

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"roundkit/planner/demand"
)

// Method is how a history is forecast.
type Method string

// The methods. Mix is the default, by this rule, written before the forecast is made and using
// nothing later than its origin: half belief and half hurdle; the belief alone where the file has
// too few forecasts with or without a use (leastEvents) to fit a hurdle to. It was the lowest of
// all measured on three files of real part histories (DEVELOPERS.md), and where the two differ,
// the mean of them was nearer than either.
const (
	Mix     Method = "mix"
	Belief  Method = "belief"
	Hurdle  Method = "hurdle"
	TSB     Method = "tsb"
	SBA     Method = "sba"
	Croston Method = "croston"
)

// Methods lists them, the default first.
func Methods() []Method { return []Method{Mix, Belief, Hurdle, TSB, SBA, Croston} }

// Span is a total of periods ahead, both ends in it.
type Span struct{ From, To int }

// ParseSpan reads a span such as 1-3.
func ParseSpan(text string) (s Span, err error) {
	from, to, ok := strings.Cut(strings.TrimSpace(text), "-")
	if ok {
		s.From, err = strconv.Atoi(from)
		if err == nil {
			s.To, err = strconv.Atoi(to)
		}
	}
	if !ok || err != nil || s.From < 1 || s.To <= s.From || s.To > MostAhead {
		return Span{}, fmt.Errorf("found %q, expected two periods ahead such as 1-3, at most %d", text, MostAhead)
	}
	return s, nil
}

func (s Span) String() string { return fmt.Sprintf("%d-%d", s.From, s.To) }

func (s Span) periods() int { return s.To - s.From + 1 }

// MostAhead is how many periods ahead are forecast at most.
const MostAhead = 120

// Options say what is asked.
type Options struct {
	Horizon int // each of so many periods ahead
	Totals  []Span
	Levels  []float64 // chances, each above 0 and below 1
	Method  Method    // empty: the default
}

// Row is what one part will use in one period ahead, or a total of some.
type Row struct {
	Part      string
	Horizon   string // "2", "1-3"
	Quantiles []int64
	Within    []float64 // the forecast's own chance of staying within each quantile
}

// Model is what was fitted to a file, at its origin.
type Model struct {
	method Method
	totals map[int]*fitted // by how many periods are summed
}

// Method is how the model forecasts: the belief alone where a mix was asked for and the file has
// too little for a hurdle.
func (m *Model) Method() Method {
	for _, f := range m.totals {
		if (m.method == Mix || m.method == Hurdle) && !f.hurdle.good {
			return Belief
		}
	}
	return m.method
}

type fitted struct {
	belief belief
	shape  shape
	hurdle *hurdle
	lump   float64
}

// smoothers are the methods that give a mean only.
var smoothers = map[Method]demand.Method{TSB: demand.TSB, SBA: demand.SBA, Croston: demand.Croston}

// beliefParts is how many parts the belief is fitted to, evenly spaced.
const beliefParts = 600

// Fit fits what the options need to the table. from is an earlier model of the same method to
// start the search at, or nil.
func Fit(t *Table, o Options, from *Model) (*Model, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	m := &Model{method: o.Method, totals: map[int]*fitted{}}
	if m.method == "" {
		m.method = Mix
	}
	for _, l := range o.lengths() {
		f := &fitted{}
		m.totals[l] = f
		if s, ok := smoothers[m.method]; ok {
			f.lump = lumps(t.Parts, l, s)
			continue
		}
		last := &fitted{belief: usualBelief(t.mean())}
		if from != nil && from.totals[l] != nil {
			last = from.totals[l]
		}
		if m.method != Belief {
			f.hurdle = fitHurdle(t, l, last.hurdle)
		}
		if m.method != Hurdle || !f.hurdle.good {
			some := t.some(beliefParts)
			f.belief = fitBelief(some, l, usualBelief(t.mean()), last.belief)
			f.shape = fitShape(some, l, f.belief)
		}
	}
	return m, nil
}

func (o Options) lengths() (all []int) {
	if o.Horizon > 0 {
		all = append(all, 1)
	}
	for _, s := range o.Totals {
		all = append(all, s.periods())
	}
	slices.Sort(all)
	return slices.Compact(all)
}

func (o Options) check() error {
	if o.Horizon < 0 || o.Horizon > MostAhead || o.Horizon == 0 && len(o.Totals) == 0 {
		return fmt.Errorf("horizon: found %d, expected 1 to %d periods", o.Horizon, MostAhead)
	}
	if len(o.Levels) == 0 {
		return errors.New("quantiles: found none, expected at least one such as 0.95")
	}
	for _, p := range o.Levels {
		if !(p > 0 && p < 1) {
			return fmt.Errorf("quantiles: found %v, expected chances above 0 and below 1", p)
		}
	}
	if o.Method != "" && !slices.Contains(Methods(), o.Method) {
		return fmt.Errorf("method: found %q, expected one of %v", o.Method, Methods())
	}
	return nil
}

// Forecast calls each with every row, part by part.
func (m *Model) Forecast(t *Table, o Options, each func(Row) error) error {
	const atOnce = 2_000 // parts whose rows are held
	for rest := t.Parts; len(rest) > 0; {
		some := rest[:min(atOnce, len(rest))]
		rest = rest[len(some):]
		for _, rows := range eachChunk(some, func(parts []Part) (rows []Row) {
			for _, p := range parts {
				rows = m.part(rows, p, o)
			}
			return rows
		}) {
			for _, r := range rows {
				if err := each(r); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func (m *Model) part(rows []Row, p Part, o Options) []Row {
	answers := map[int]Row{}
	for _, l := range o.lengths() {
		d := m.totals[l].ahead(m.method, p.Used, l)
		r := Row{Part: p.Code, Quantiles: make([]int64, len(o.Levels)), Within: make([]float64, len(o.Levels))}
		for i, level := range o.Levels {
			r.Quantiles[i], r.Within[i] = d.quantile(level, 0)
		}
		answers[l] = r
	}
	for h := 1; h <= o.Horizon; h++ {
		r := answers[1]
		r.Horizon = strconv.Itoa(h)
		rows = append(rows, r)
	}
	for _, s := range o.Totals {
		r := answers[s.periods()]
		r.Horizon = s.String()
		rows = append(rows, r)
	}
	return rows
}

// ahead is the distribution of the sum of l periods to come.
func (f *fitted) ahead(method Method, used []int32, l int) *mixture {
	d := &mixture{}
	if s, ok := smoothers[method]; ok {
		means := smoothed(s, used)
		d.negBinomial(around(float64(l)*means[len(means)-1], f.lump), 0, 1)
		return d
	}
	half := 0.5
	switch {
	case f.hurdle == nil || !f.hurdle.good:
		half = 1
	case method == Hurdle:
		half = 0
	}
	if half > 0 {
		var h seen
		omega := f.belief.omega()
		for _, y := range used {
			h.add(omega, y)
		}
		values, weights := f.shape.own(used, l)
		nb := half
		if len(values) > 0 {
			total := f.shape.c
			for _, w := range weights {
				total += w
			}
			for i, v := range values {
				d.point(v, half*weights[i]/total)
			}
			nb = half * f.shape.c / total
		}
		d.negBinomial(f.belief.next(h, float64(l)), 0, nb)
	}
	if half < 1 {
		k := f.hurdle.start
		for _, y := range used {
			k.add(y)
		}
		any, beyond := f.hurdle.next(&k)
		d.point(0, (1-half)*(1-any))
		d.negBinomial(beyond, 1, (1-half)*any)
	}
	d.ready()
	return d
}
