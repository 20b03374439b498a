package words

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/near"
	"roundkit/planner/units"
)

// job reads a job's line: service, fork, spring, and what it used.
func (r *reader) job() {
	services, sFrom, sTo := r.services()
	forks, fFrom, fTo := r.forks()
	if len(r.faults) > 0 {
		return
	}
	if len(services) > 1 && len(forks) > 0 { // a shock is not swapped for a fork
		if narrowed := r.servicesOn(services, forks); len(narrowed) > 0 {
			services = narrowed
		}
	}
	switch {
	case len(services) == 0:
		at := r.unknown()
		if at < 0 {
			r.ask(0, 0, r.b.services.choices(allOf(&r.b.services)), "found no service, expected one")
			return
		}
		r.ask(at, at+1, nil, "%s", near.MissNamed("service", r.toks[at].text, r.b.services.near()))
		return
	case len(services) > 1:
		r.ask(sFrom, sTo, r.b.services.choices(services), "found %q, which could be", r.text(sFrom, sTo))
		return
	}
	service := r.b.s.Services[services[0]]
	r.out.Service = service.Code
	r.fork(service, forks, fFrom, fTo)
	if len(r.faults) > 0 {
		return
	}
	r.scope = map[int]bool{}
	own := ""
	for _, l := range r.b.s.ServiceLines {
		if l.Service != service.Code {
			continue
		}
		if l.OwnPart == "fork spring" || l.OwnPart == "shock spring" {
			own = l.OwnPart
		}
		part := l.Part
		if l.OwnPart == "damper oil" {
			part = r.assembly(r.out.Assembly).DamperOil
		}
		if e := r.b.partAt(part); e >= 0 && (l.OnSite == nil || !*l.OnSite) {
			r.scope[e] = true
		}
	}
	if own != "" {
		r.swap()
	} else if r.out.Spring != "" {
		r.fault("found the spring %s, expected none: %s swaps no spring", r.out.Spring, service.Code)
	}
	if len(r.faults) > 0 {
		return
	}
	r.jobItems()
}

// unknown is the first word that says nothing else: what was perhaps meant as the service.
func (r *reader) unknown() int {
	for i, t := range r.toks {
		if !t.done && !t.bind && !t.amount() && !idle[t.word] && len(r.match(t.text)) == 0 {
			return i
		}
	}
	return -1
}

func allOf(x *index) []int {
	out := make([]int, len(x.all))
	for i := range out {
		out[i] = i
	}
	return out
}

// services finds the service: by its code, else by the words around one that only services
// have ("rebuild", "swap").
func (r *reader) services() (which []int, from, to int) {
	for i, t := range r.toks {
		if t.done || t.amount() {
			continue
		}
		w, s := r.b.services.match(t.text).best()
		if s != exact {
			continue
		}
		if len(which) > 0 && which[0] != w[0] {
			r.fault("found both %s and %s, expected one service", r.b.services.all[which[0]].code, r.b.services.all[w[0]].code)
			return nil, 0, 0
		}
		which, from, to = w, i, i+1
		r.toks[i].done = true
	}
	if len(which) > 0 {
		return which, from, to
	}
	for i, t := range r.toks {
		if t.done || !r.b.onlyService[t.word] {
			continue
		}
		fit := r.b.services.match(t.text)
		from, to = i, i+1
		for from > 0 && r.joins(from-1, fit) {
			fit, from = meet(fit, r.b.services.match(r.toks[from-1].text)), from-1
		}
		for to < len(r.toks) && r.joins(to, fit) {
			fit, to = meet(fit, r.b.services.match(r.toks[to].text)), to+1
		}
		r.understood(from, to)
		return fit.atLeast(piece), from, to
	}
	return nil, 0, 0
}

func (r *reader) joins(i int, fit fits) bool {
	t := r.toks[i]
	return !t.done && !t.bind && !t.amount() && len(meet(fit, r.b.services.match(t.text))) > 0
}

// servicesOn are the services done on the kind of all the forks named.
func (r *reader) servicesOn(services, forks []int) (out []int) {
	for _, v := range services {
		if slices.ContainsFunc(forks, func(a int) bool { return r.b.fits(r.b.s.Services[v], r.b.s.Assemblies[a]) }) {
			out = append(out, v)
		}
	}
	return out
}

// fits reports whether a service is done on that kind of thing.
func (b *Bench) fits(v planner.Service, a planner.Assembly) bool {
	return v.ModelKind == "" || b.kindOf[a.Model] == v.ModelKind
}

// end are the words that say which end of a bike, or which of a rider's bikes.
var end = map[string]bool{"fork": true, "forks": true, "shock": true, "bike": true, "front": true, "rear": true}

// forks finds what the words of the line leave of the forks, shocks and bikes: a code, a
// rider, a bike, with the words for one end beside them.
func (r *reader) forks() (which []int, from, to int) {
	var fit fits
	from = -1
	take := func(i int, m fits) {
		if from < 0 || i < from {
			from = i
		}
		to = max(to, i+1)
		r.toks[i].done = true
		if fit == nil {
			fit = m
			return
		}
		both := meet(fit, m)
		if len(both) == 0 {
			r.fault("found %q, expected one fork, shock or bike: no one is all of that", r.text(from, to))
		}
		fit = both
	}
	for i, t := range r.toks {
		if t.done || t.bind || t.amount() {
			continue
		}
		m := r.b.forks.match(t.text)
		_, s := m.best()
		word := fold(possessive(t.text))
		rider := r.b.riderWords[word] || len(word) > 2 && r.b.riderWords[strings.TrimSuffix(word, "s")] // "pims"
		begins := len([]rune(word)) > 2 && len(m) > 0 && len(r.match(t.text)) == 0
		if s != exact && !rider && !begins {
			continue
		}
		if p := r.match(t.text); s != exact && len(p) > 0 {
			whole, strength := p.best()
			if strength > piece || r.b.parts.has(word) {
				r.ask(i, i+1, append(r.b.forks.choices(m.atLeast(piece)), r.b.parts.choices(whole)...), "found %q, which could be", t.text)
				return nil, 0, 0
			}
		}
		if len(m) == 0 {
			m = r.b.forks.begins(strings.TrimSuffix(word, "s"))
		}
		take(i, m)
	}
	for grown := true; grown && from >= 0; { // the words beside them
		grown = false
		for i, t := range r.toks {
			near := i > 0 && r.toks[i-1].done && r.ofFork(i-1, from, to) || i+1 < len(r.toks) && r.toks[i+1].done && r.ofFork(i+1, from, to)
			if t.done || t.bind || t.amount() || !near || !end[t.word] && len([]rune(t.word)) > 1 || t.word == "x" {
				continue
			}
			m := r.b.forks.match(t.text)
			if len(m) == 0 {
				continue
			}
			take(i, m)
			grown = true
		}
	}
	return fit.atLeast(piece), max(from, 0), to
}

func (r *reader) ofFork(i, from, to int) bool { return i >= from && i < to }

// has reports whether a word stands whole in some name.
func (x *index) has(word string) bool {
	at, found := slices.BinarySearchFunc(x.forms, word, func(f form, w string) int { return strings.Compare(f.text, w) })
	return found && x.forms[at].text == word
}

// fork settles which one it is; a whole code comes before a bike's.
func (r *reader) fork(service planner.Service, forks []int, from, to int) {
	var fitting []int
	for _, a := range forks {
		if r.b.fits(service, r.b.s.Assemblies[a]) {
			fitting = append(fitting, a)
		}
	}
	kind := service.ModelKind
	switch {
	case len(fitting) == 1:
		r.out.Assembly = r.b.forks.all[fitting[0]].code
	case len(forks) == 0 && kind == "":
	case len(forks) == 0:
		for e := range r.b.s.Assemblies {
			if r.b.fits(service, r.b.s.Assemblies[e]) {
				fitting = append(fitting, e)
			}
		}
		if at := r.unknown(); at >= 0 {
			r.ask(at, at+1, nil, "%s", near.MissNamed(kind, r.toks[at].text, r.b.forks.near()))
			return
		}
		r.ask(len(r.toks), len(r.toks), r.b.forks.choices(fitting), "found no %s, expected which one %s was done on", kind, service.Code)
	case len(fitting) == 0:
		r.fault("found %q, a %s, expected a %s: %s is done on one", r.text(from, to), r.b.kindOf[r.b.s.Assemblies[forks[0]].Model], kind, service.Code)
	default:
		r.ask(from, to, r.b.forks.choices(fitting), "found %q, which could be", r.text(from, to))
	}
}

func (r *reader) assembly(code string) planner.Assembly {
	for _, a := range r.b.s.Assemblies {
		if a.Code == code {
			return a
		}
	}
	return planner.Assembly{}
}

// swap settles which spring goes in: a label, a part, or a rate.
func (r *reader) swap() {
	model := r.assembly(r.out.Assembly).Model
	var fitting []planner.Spring
	for _, s := range r.b.s.Springs {
		if s.Model == model {
			fitting = append(fitting, s)
		}
	}
	offer := func(springs []planner.Spring) (out []Choice) {
		for _, s := range springs {
			out = append(out, Choice{s.Part, fmt.Sprintf("%s, %s %s", s.Part, s.Rate, s.RateUnit)})
		}
		return out
	}
	if r.out.Spring != "" {
		for _, t := range r.b.s.Tags {
			if t.Code == r.out.Spring && !slices.ContainsFunc(fitting, func(s planner.Spring) bool { return s.Part == t.Part }) {
				r.fault("found %s, a %s, expected a spring of %s", t.Code, t.Part, r.out.Assembly)
				return
			}
		}
	}
	for i := 0; i < len(r.toks); i++ {
		t := r.toks[i]
		if t.done {
			continue
		}
		if t.word == "spring" || t.word == "springs" || r.springWord(i) { // "spring 53", "spf 53"
			r.toks[i].done = true
			continue
		}
		var named []planner.Spring
		to := i + 1
		switch {
		case isRate(t.unit) || t.unit == "lb" || t.plain() && (i == 0 || !r.toks[i-1].bind):
			named = r.b.ofRate(t, fitting)
			if t.plain() && len(named) == 0 {
				continue // an amount
			}
			if len(named) == 0 {
				r.ask(i, to, offer(fitting), "found no spring of %s for %s, expected one of", t.text, r.out.Assembly)
				return
			}
			if t.plain() && r.besidePart(i) {
				r.ask(i, to, offer(named), "found %q beside a part, which could be an amount or a rate; with a unit it is clear", t.text)
				return
			}
		case t.amount() || t.bind:
			continue
		default:
			w, s := r.match(t.text).best()
			if s != exact || !r.spring(r.b.parts.all[w[0]].code) {
				continue
			}
			code := r.b.parts.all[w[0]].code
			for _, f := range fitting {
				if f.Part == code {
					named = append(named, f)
				}
			}
			if len(named) == 0 {
				r.ask(i, to, offer(fitting), "found %s, which does not fit %s, expected one of", code, r.out.Assembly)
				return
			}
		}
		switch {
		case len(named) > 1:
			r.ask(i, to, offer(named), "found %q, which could be", t.text)
			return
		case r.out.Spring != "" && r.out.Spring != named[0].Part && !strings.HasPrefix(r.out.Spring, named[0].Part+"#"):
			r.fault("found both %s and %s, expected one spring", r.out.Spring, named[0].Part)
			return
		case r.out.Spring == "":
			r.out.Spring = named[0].Part
		}
		r.toks[i].done = true
	}
	for i, t := range r.toks {
		if r.out.Spring != "" || t.done || !t.plain() || i > 0 && r.toks[i-1].bind || r.besidePart(i) {
			continue
		}
		if other := r.b.ofRate(t, r.b.s.Springs); len(other) > 0 {
			r.ask(i, i+1, offer(fitting), "found %s, which is %s and does not fit %s, expected one of", t.text, other[0].Part, r.out.Assembly)
		} else {
			r.ask(i, i+1, offer(fitting), "found %s, expected the rate of a spring that fits %s, one of", t.text, r.out.Assembly)
		}
		return
	}
	if r.out.Spring == "" {
		r.ask(len(r.toks), len(r.toks), offer(fitting), "found no spring, expected which one goes into %s", r.out.Assembly)
	}
}

// springWord reports whether a word fits springs only, and a number stands behind it.
func (r *reader) springWord(i int) bool {
	m := r.match(r.toks[i].text)
	if _, s := m.best(); s == 0 || s == exact || i+1 >= len(r.toks) || !r.toks[i+1].plain() || r.toks[i].amount() {
		return false
	}
	for e := range m {
		if !r.spring(r.b.parts.all[e].code) {
			return false
		}
	}
	return true
}

// besidePart reports whether a word next to a number names a part.
func (r *reader) besidePart(i int) bool {
	for _, j := range []int{i - 1, i + 1} {
		if j >= 0 && j < len(r.toks) && !r.toks[j].done && !r.toks[j].amount() && !idle[r.toks[j].word] && len(r.match(r.toks[j].text)) > 0 {
			return true
		}
	}
	return false
}

// ofRate are the springs whose rate, in the unit typed and rounded as typed, is the number.
func (b *Bench) ofRate(t tok, springs []planner.Spring) (out []planner.Spring) {
	digits := strings.Replace(t.number, ",", ".", 1)
	want, err := rat(digits)
	if err != nil {
		return nil
	}
	_, decimals, _ := strings.Cut(digits, ".")
	for _, s := range springs {
		unit := map[string]string{"N/mm": "N/mm", "kgf/mm": "kgf/mm", "lb/in": "lbf/in"}[t.unit]
		if unit == "" { // a bare number, or "lb": the rate as it stands on the spring
			if s.Rate.Rat().Cmp(want) == 0 && (t.unit == "" || s.RateUnit == "lb/in") {
				out = append(out, s)
			}
			continue
		}
		rate, err := units.ParseRate(s.Rate.String() + " " + s.RateUnit)
		if err != nil {
			continue
		}
		if in, err := rate.In(unit); err == nil {
			shown, ok := new(big.Rat).SetString(units.FormatRat(in, len(decimals)))
			if ok && shown.Cmp(want) == 0 {
				out = append(out, s)
			}
		}
	}
	return out
}

// jobItems reads what the job used and did not use.
func (r *reader) jobItems() {
	used, not := r.items(true)
	if len(r.faults) > 0 {
		return
	}
	usual := map[string]bool{}
	rows, err := ledger.JobParts(planOf(r.b.s), r.out.Service, r.out.Assembly, nil, nil)
	if err != nil {
		r.fault("%s", strings.ReplaceAll(err.Error(), "\n", "; "))
		return
	}
	for _, p := range rows {
		usual[p.Part] = true
	}
	for _, u := range used {
		if u.Quantity == 0 {
			if usual[u.Part] {
				not = append(not, u.Part)
			}
			continue
		}
		r.out.Used = append(r.out.Used, u)
	}
	for _, n := range not {
		if !usual[n] && !r.scope[r.b.partAt(n)] {
			r.fault("found no %s, expected a part that %s uses", n, r.out.Service)
			continue
		}
		if usual[n] {
			r.out.Not = append(r.out.Not, n)
		}
	}
}

// partAt is a part's place in the catalogue, -1 for none.
func (b *Bench) partAt(code string) int {
	if code == "" {
		return -1
	}
	w, s := b.parts.begins(fold(code)).best()
	if s != exact {
		return -1
	}
	for _, e := range w {
		if b.parts.all[e].code == code {
			return e
		}
	}
	return -1
}
