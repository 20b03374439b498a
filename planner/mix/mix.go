// Package mix answers: an oil is short, what can be made of the oils that are here?
//
// Method: the oils at a place, as many millilitres as the book has there and good on the
// day, are taken two and two; where the wanted viscosity at 40 C lies between them, the
// mix that reaches it follows by ASTM D7152. What is left of the wanted oil itself is used
// first, and the missing part is mixed; or it is stretched with one other oil, and then the
// answer says how far that is from what was wanted. Where both viscosities of all oils in a
// mix are known its line over temperature is drawn (ASTM D341 through the mix at 40 and at
// 100 C). Oils that do the same work come first: damper oils among themselves.
//
// Source: planner/oil. Limits: viscosity only; nothing is known of additives, base oil or
// seals, and for polymer-thickened oils the mix is an estimate. Mix only what the makers
// allow. The weight on a label is a name: only cSt are compared.
package mix

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"roundkit/planner/oil"
)

// ErrMix is what errors.Is finds when a mix is asked for that has no sense.
var ErrMix = errors.New("mix")

// Oil is an oil that is here.
type Oil struct {
	Part, Name string
	Label      string  // the weight on it: a name
	CSt40      float64 // cSt at 40 C
	CSt100     float64 // cSt at 100 C; 0 where it is not known
	ML         float64 // that are here and good
	PastML     float64 // that are here and past their date: named, never mixed
	OfDampers  bool    // some fork or shock has it as its damper oil
}

// Want is what is wanted: an oil of the catalogue (Part, with what it is), or a viscosity.
type Want struct {
	Part  string // "" for a viscosity alone
	CSt40 float64
	ML    float64
}

// Share is how much of one oil goes in.
type Share struct {
	Oil      Oil
	ML       float64
	Fraction float64 // of the whole
}

// Mix is one way to make it.
type Mix struct {
	Shares  []Share // the wanted oil first, then light to heavy
	CSt40   float64
	Off     float64 // (CSt40 - wanted)/wanted; 0 for an exact mix
	Enough  bool    // the bottles here hold it
	SameUse bool    // all of it does the work of the wanted oil
	Line    *oil.Line
	CSt100  float64    // 0 where an oil's is not known
	Index   *oil.Index // nil where it is not defined
}

// Answer is what can be made.
type Answer struct {
	Want    Want
	HaveML  float64 // of the wanted oil itself
	ShortML float64
	Oils    []Oil // that could take part, by viscosity
	Mixes   []Mix // best first
	// Thinnest and Thickest are the span of the other oils: outside it nothing can be made.
	Thinnest, Thickest float64
}

// offWorth is how far from the wanted viscosity a stretched oil is still worth showing:
// half of the step between neighbouring oils of a usual ladder (20 to 30 %, common
// practice).
const offWorth = 0.30

// most mixes that are worth reading.
const mostMixes = 6

// Propose says what can be made of the oils. It returns ErrMix for a wanted volume or
// viscosity out of range.
func Propose(want Want, oils []Oil) (Answer, error) {
	if !(want.ML > 0 && want.ML <= 1e6) {
		return Answer{}, fmt.Errorf("%w: found %v ml wanted, expected more than 0 and at most 1000 l", ErrMix, want.ML)
	}
	if _, err := oil.Blend([]oil.Share{{CSt: want.CSt40, Volume: 1}}); err != nil {
		return Answer{}, fmt.Errorf("%w: wanted: %w", ErrMix, err)
	}
	a := Answer{Want: want}
	var own *Oil
	var others []Oil
	damper := false
	for _, o := range oils {
		if o.Part == want.Part && want.Part != "" {
			own = &o
			a.HaveML, damper = o.ML, o.OfDampers
			continue
		}
		if o.CSt40 > 0 && o.ML > 0 {
			others = append(others, o)
		}
	}
	slices.SortStableFunc(others, func(x, y Oil) int { return cmp.Or(cmp.Compare(x.CSt40, y.CSt40), cmp.Compare(x.Part, y.Part)) })
	a.Oils = others
	a.ShortML = max(want.ML-a.HaveML, 0)
	if len(others) > 0 {
		a.Thinnest, a.Thickest = others[0].CSt40, others[len(others)-1].CSt40
	}
	if a.ShortML == 0 {
		return a, nil
	}
	sameUse := func(list ...Oil) bool {
		for _, o := range list {
			if o.OfDampers != damper && want.Part != "" {
				return false
			}
		}
		return true
	}
	var first []Share
	if own != nil && own.ML > 0 {
		first = []Share{{Oil: *own, ML: own.ML}}
	}
	for i, light := range others {
		if s := append(slices.Clone(first), Share{Oil: light, ML: a.ShortML}); true {
			m, err := finished(s, want)
			if err != nil {
				return Answer{}, err
			}
			m.SameUse = sameUse(light)
			if math.Abs(m.Off) <= offWorth {
				a.Mixes = append(a.Mixes, m)
			}
		}
		for _, heavy := range others[i+1:] {
			if want.CSt40 <= light.CSt40 || want.CSt40 >= heavy.CSt40 {
				continue
			}
			mixed, err := oil.BlendTo(oil.Target{Light: light.CSt40, Heavy: heavy.CSt40, Target: want.CSt40, Volume: a.ShortML})
			if err != nil {
				continue // viscosities too near one another to mix between
			}
			m, err := finished(append(slices.Clone(first), Share{Oil: light, ML: mixed.Light}, Share{Oil: heavy, ML: mixed.Heavy}), want)
			if err != nil {
				return Answer{}, err
			}
			m.SameUse = sameUse(light, heavy)
			a.Mixes = append(a.Mixes, m)
		}
	}
	slices.SortStableFunc(a.Mixes, func(x, y Mix) int {
		return cmp.Or(truth(x.Enough, y.Enough), truth(x.SameUse, y.SameUse), cmp.Compare(round(math.Abs(x.Off)), round(math.Abs(y.Off))), cmp.Compare(spread(x), spread(y)))
	})
	a.Mixes = a.Mixes[:min(len(a.Mixes), mostMixes)]
	return a, nil
}

func truth(x, y bool) int {
	switch {
	case x == y:
		return 0
	case x:
		return -1
	}
	return 1
}

// round makes mixes that miss by less than 0.1 % alike: the forms of the line are fits.
func round(off float64) float64 { return math.Round(off * 1000) }

// spread is how far apart the oils of a mix are: near ones behave more alike.
func spread(m Mix) float64 {
	low, high := math.Inf(1), 0.0
	for _, s := range m.Shares {
		low, high = min(low, s.Oil.CSt40), max(high, s.Oil.CSt40)
	}
	return high / low
}

// finished reckons what a mix is.
func finished(shares []Share, want Want) (Mix, error) {
	m := Mix{Shares: shares, Enough: true}
	var at40, at100 []oil.Share
	known, all := true, 0.0
	for _, s := range shares {
		all += s.ML
	}
	for i := range shares {
		s := &m.Shares[i]
		s.Fraction = s.ML / all
		m.Enough = m.Enough && s.ML <= s.Oil.ML*(1+1e-9)
		at40 = append(at40, oil.Share{CSt: s.Oil.CSt40, Volume: s.ML})
		at100 = append(at100, oil.Share{CSt: s.Oil.CSt100, Volume: s.ML})
		known = known && s.Oil.CSt100 > 0
	}
	var err error
	if m.CSt40, err = oil.Blend(at40); err != nil {
		return Mix{}, fmt.Errorf("%w: %w", ErrMix, err)
	}
	m.Off = m.CSt40/want.CSt40 - 1
	if !known {
		return m, nil
	}
	if m.CSt100, err = oil.Blend(at100); err != nil {
		return Mix{}, fmt.Errorf("%w: at 100 C: %w", ErrMix, err)
	}
	if line, err := oil.NewLine(oil.Point{C: 40, CSt: m.CSt40}, oil.Point{C: 100, CSt: m.CSt100}); err == nil {
		m.Line = &line
	}
	if index, err := oil.ViscosityIndex(m.CSt40, m.CSt100); err == nil {
		m.Index = &index
	}
	return m, nil
}
