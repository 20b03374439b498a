package words

import (
	"cmp"
	"slices"
	"strings"
	"time"
	"unicode"

	"roundkit/planner"
)

// How well a word fits a name.
const (
	piece   = 1 // the beginning of a word of the name, or of the code
	segment = 2 // all between two dashes of the code
	exact   = 3 // the whole code
)

// named is one thing that a line can name.
type named struct {
	code, says string
}

// form is one way to write a piece of a name.
type form struct {
	text     string
	entry    int
	strength int8
}

// index finds the things of one kind by their words.
type index struct {
	all   []named
	forms []form // by text
}

func (x *index) add(code, says string, names ...string) int {
	at := len(x.all)
	x.all = append(x.all, named{code, says})
	x.word(at, code, exact)
	parts := pieces(code)
	if len(parts) > 1 {
		for _, p := range parts {
			x.word(at, p, segment)
		}
	}
	for _, name := range names {
		x.name(at, name)
	}
	return at
}

// name adds the words of a name; of a word with dashes its pieces too.
func (x *index) name(at int, name string) {
	for _, w := range strings.FieldsFunc(name, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune(",;()", r) }) {
		x.word(at, w, piece)
		if parts := pieces(w); len(parts) > 1 {
			for _, p := range parts {
				x.word(at, p, piece)
			}
		}
	}
}

func (x *index) word(at int, text string, strength int8) {
	if f := fold(text); f != "" {
		x.forms = append(x.forms, form{f, at, strength})
	}
}

func (x *index) sort() {
	slices.SortFunc(x.forms, func(a, b form) int {
		return cmp.Or(strings.Compare(a.text, b.text), cmp.Compare(a.entry, b.entry), cmp.Compare(b.strength, a.strength))
	})
}

// fits is how well each thing is fitted, by its number.
type fits map[int]int8

// match returns what a word fits. One letter fits only itself; with dashes its pieces may
// fit too; an s at the end may be one of several.
func (x *index) match(text string) fits {
	text = possessive(text)
	out := x.begins(fold(text))
	if parts := pieces(text); len(parts) > 1 {
		var both fits
		for i, p := range parts {
			if m := x.begins(fold(p)); i == 0 {
				both = m
			} else {
				both = meet(both, m)
			}
		}
		for e := range both {
			out[e] = max(out[e], piece)
		}
	}
	if len(out) == 0 {
		if f := fold(text); len(f) > 3 && strings.HasSuffix(f, "s") {
			return x.begins(f[:len(f)-1])
		}
	}
	return out
}

func (x *index) begins(word string) fits {
	out := fits{}
	if word == "" {
		return out
	}
	at, _ := slices.BinarySearchFunc(x.forms, word, func(f form, w string) int { return strings.Compare(f.text, w) })
	for ; at < len(x.forms) && strings.HasPrefix(x.forms[at].text, word); at++ {
		f := x.forms[at]
		switch {
		case f.text == word:
			out[f.entry] = max(out[f.entry], f.strength)
		case len([]rune(word)) > 1:
			out[f.entry] = max(out[f.entry], piece)
		}
	}
	return out
}

// run returns what several words fit together: one code typed apart, or what all fit.
func (x *index) run(words []string) fits {
	var out fits
	for i, w := range words {
		if m := x.match(w); i == 0 {
			out = m
		} else {
			out = meet(out, m)
		}
	}
	if len(words) > 1 {
		for e, s := range x.begins(fold(strings.Join(words, ""))) {
			if s == exact {
				out[e] = exact
			}
		}
	}
	return out
}

// meet is what both fit, as well as the worse of the two.
func meet(a, b fits) fits {
	out := fits{}
	for e, s := range a {
		if t, ok := b[e]; ok {
			out[e] = min(s, t)
		}
	}
	return out
}

// best returns the things fitted best, in their order.
func (f fits) best() (out []int, strength int8) {
	for e, s := range f {
		if s > strength {
			strength, out = s, out[:0]
		}
		if s == strength {
			out = append(out, e)
		}
	}
	slices.Sort(out)
	return out, strength
}

// atLeast returns the things fitted so well, in their order.
func (f fits) atLeast(strength int8) (out []int) {
	for e, s := range f {
		if s >= strength {
			out = append(out, e)
		}
	}
	slices.Sort(out)
	return out
}

// fold writes a word the one way that is compared: small letters and digits, a point
// between two digits, and the # of a label.
func fold(text string) string {
	rs := []rune(text)
	var out strings.Builder
	for i, r := range rs {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			out.WriteRune(unicode.ToLower(r))
		case r == '#':
			out.WriteRune(r)
		case (r == '.' || r == ',') && i > 0 && i+1 < len(rs) && unicode.IsDigit(rs[i-1]) && unicode.IsDigit(rs[i+1]):
			out.WriteRune('.')
		}
	}
	return out.String()
}

func pieces(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == '-' || r == '/' || r == '_' })
}

// possessive takes the 's off "pim's".
func possessive(text string) string {
	for _, end := range []string{"'s", "’s", "'", "’"} {
		if t, ok := strings.CutSuffix(strings.ToLower(text), end); ok {
			return t
		}
	}
	return text
}

// Bench is a season made ready for lines. It is never changed.
type Bench struct {
	s    *planner.Snapshot
	zone *time.Location

	parts, services, forks, places, people, tags, suppliers, trips, rounds index

	kindOf      map[string]string // of a model
	serviceAt   map[string]int
	onlyService map[string]bool // words that some service's name has and no other name
	riderWords  map[string]bool // folded names and codes of riders
}

// New makes a season ready.
func New(s *planner.Snapshot) *Bench {
	b := &Bench{s: s, zone: s.Zone, kindOf: map[string]string{}, serviceAt: map[string]int{}, onlyService: map[string]bool{}, riderWords: map[string]bool{}}
	if b.zone == nil {
		b.zone = time.UTC
	}
	label := map[string]string{}
	for _, l := range s.Liquids {
		label[l.Part] = l.LabelWeight
	}
	b.parts.all = make([]named, 0, len(s.Parts))
	b.parts.forms = make([]form, 0, 8*len(s.Parts))
	for _, p := range s.Parts {
		b.parts.add(p.Code, p.Code+", "+p.Name, p.Name, p.Kind)
		if w := label[p.Code]; strings.ContainsFunc(w, unicode.IsLetter) {
			b.parts.name(len(b.parts.all)-1, w)
		}
	}
	for _, m := range s.Models {
		b.kindOf[m.Code] = m.Kind
	}
	b.addForks()
	for i, v := range s.Services {
		b.services.add(v.Code, v.Code+", "+v.Name, v.Name)
		b.serviceAt[v.Code] = i
	}
	for _, p := range s.Places {
		if p.Kind != "outside" {
			b.places.add(p.Code, p.Code+", "+p.Name, p.Name)
		}
	}
	for _, p := range s.People {
		b.people.add(p.Code, p.Code+", "+p.Name, p.Name)
	}
	for _, t := range s.Tags {
		b.tags.all = append(b.tags.all, named{t.Code, t.Code + " of " + t.Part})
		b.tags.word(len(b.tags.all)-1, t.Code, exact)
	}
	for _, x := range s.Suppliers {
		b.suppliers.add(x.Code, x.Code+", "+x.Name, x.Name)
	}
	for _, x := range s.Trips {
		b.trips.add(x.Code, x.Code+", "+x.Name)
	}
	for _, x := range s.Rounds {
		b.rounds.add(x.Code, x.Code+", "+x.Name)
	}
	for _, x := range []*index{&b.parts, &b.forks, &b.services, &b.places, &b.people, &b.tags, &b.suppliers, &b.trips, &b.rounds} {
		x.sort()
	}
	for _, v := range s.Services {
		for _, w := range strings.Fields(v.Name) {
			f := fold(w)
			if strings.ContainsFunc(f, unicode.IsLetter) && !b.parts.has(f) && !b.forks.has(f) {
				b.onlyService[f] = true
			}
		}
	}
	return b
}

// addForks adds forks, shocks and bikes: by code, by rider, by bike, by kind and by end.
func (b *Bench) addForks() {
	riders := map[string]planner.Rider{}
	for _, r := range b.s.Riders {
		riders[r.Code] = r
		b.riderWords[fold(r.Code)] = true
		for _, w := range strings.Fields(r.Name) {
			b.riderWords[fold(w)] = true
		}
	}
	for _, a := range b.s.Assemblies {
		kind := b.kindOf[a.Model]
		at := b.forks.add(a.Code, b.fork(a, riders[a.Rider]))
		b.forks.name(at, riders[a.Rider].Name)
		b.forks.word(at, a.Rider, piece)
		b.forks.name(at, a.OnBike) // the bike, and its pieces: "po-a", "a"
		b.forks.name(at, kind)
		b.forks.name(at, map[string]string{"fork": "front", "shock": "rear"}[kind])
	}
}

// fork says which fork it is: "F07, fork of Pim Okarro on PO-A".
func (b *Bench) fork(a planner.Assembly, rider planner.Rider) string {
	says := a.Code + ", " + b.kindOf[a.Model]
	if rider.Name != "" {
		says += " of " + rider.Name
	}
	if a.OnBike != "" {
		says += " on " + a.OnBike
	}
	return says
}
