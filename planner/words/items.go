package words

import (
	"math/big"
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/near"
	"roundkit/planner/units"
)

// item is one part of the line, with what it could be, and the amount it was given.
type item struct {
	from, to int
	which    []int
	without  bool // "no" stands before it
	amount   int  // the token of its amount; -1: none
}

// items reads parts with their amounts out of the words not yet understood.
func (r *reader) items(job bool) (used []ledger.Amount, not []string) {
	var all []item
	var loose [][2]int // amounts not bound by "=": the token, and how many items stand before it
	without := false
	for i := 0; i < len(r.toks); {
		t := r.toks[i]
		switch {
		case t.done || idle[t.word] && !t.amount():
			i++
		case t.bind:
			r.fault("found \"=\" without a part before it and an amount behind it")
			return nil, nil
		case t.word == "no" || t.word == "not" || t.word == "without":
			without = true
			i++
			continue
		case t.unit == "cSt" || isRate(t.unit) || t.plain() && i+1 < len(r.toks) && r.toks[i+1].bind: // "53=2": a rate
			it := item{from: i, to: i + 1, which: r.measured(t), without: without, amount: -1}
			without = false
			if len(it.which) == 0 {
				r.fault("found %q, expected the viscosity of an oil or the rate of a spring that is in the catalogue", t.text)
				return nil, nil
			}
			all = append(all, it)
			i++
			i = r.bound(i, &all[len(all)-1])
		case t.amount():
			if without {
				r.fault("found %q behind \"no\", expected a part", t.text)
				return nil, nil
			}
			loose = append(loose, [2]int{i, len(all)})
			i++
		case r.kitsCounted(i, all, loose):
			if i = r.kit(i, &all[len(all)-1]); len(r.faults) > 0 {
				return nil, nil
			}
		default:
			to := i
			for to < len(r.toks) && !r.toks[to].done && !r.toks[to].amount() && !r.toks[to].bind && !idle[r.toks[to].word] &&
				r.toks[to].word != "no" && r.toks[to].word != "not" && r.toks[to].word != "without" {
				to++
			}
			run := r.share(i, to)
			if len(r.faults) > 0 {
				return nil, nil
			}
			const first = 2 // of "no gloves oil=43g" the second has an amount
			if without && len(run) > 1 && (len(run) > first || to >= len(r.toks) || !r.toks[to].bind) {
				r.eitherNot(run)
				return nil, nil
			}
			run[0].without, without = without, false
			all = append(all, run...)
			i = r.bound(to, &all[len(all)-1])
		}
		if len(r.faults) > 0 {
			return nil, nil
		}
	}
	if without {
		r.fault("found \"no\" with nothing behind it, expected a part")
		return nil, nil
	}
	r.bindLoose(all, loose, job)
	if len(r.faults) > 0 {
		return nil, nil
	}
	return r.settle(all, job)
}

// eitherNot refuses "no" before two parts: it could be said of the first or of both.
func (r *reader) eitherNot(run []item) {
	var one, both []string
	for i, it := range run {
		text := r.text(it.from, it.to)
		both = append(both, "no "+text)
		if i == 0 {
			text = "no " + text
		}
		one = append(one, text)
	}
	from, to := run[0].from, run[len(run)-1].to
	var choices []Choice
	for _, way := range []string{strings.Join(both, " and "), strings.Join(one, " and ")} {
		choices = append(choices, Choice{way, way})
	}
	r.ask(from-1, to, choices, "found \"no %s\", which could be", r.text(from, to))
}

// bound takes "= amount" behind a part.
func (r *reader) bound(i int, it *item) int {
	if i >= len(r.toks) || !r.toks[i].bind {
		return i
	}
	if i+1 >= len(r.toks) || !r.toks[i+1].amount() {
		r.fault("found %q, expected an amount behind \"=\"", r.text(it.from, min(i+2, len(r.toks))))
		return i
	}
	it.amount = i + 1
	if next := i + 2; next < len(r.toks) && !r.toks[next].done && (r.toks[next].word == "kit" || r.toks[next].word == "kits") {
		return r.kit(next, it)
	}
	return i + 2
}

// kitsCounted reports whether a word only says what the amount before it counts: "dmp40 2 kits".
func (r *reader) kitsCounted(i int, all []item, loose [][2]int) bool {
	if r.toks[i].word != "kit" && r.toks[i].word != "kits" || len(all) == 0 || len(loose) == 0 {
		return false
	}
	last, amount := all[len(all)-1], loose[len(loose)-1]
	ends := i+1 == len(r.toks) || r.toks[i+1].done || r.toks[i+1].amount()
	return ends && amount[0] == i-1 && last.to == i-1 && last.amount < 0
}

// kit takes the word behind an amount that says what is counted: "dmp40=2 kits".
func (r *reader) kit(i int, it *item) int {
	isKit := func(e int) bool { return r.b.s.Parts[e].Kind == "seal kit" }
	if kits := slices.DeleteFunc(slices.Clone(it.which), func(e int) bool { return !isKit(e) }); len(kits) > 0 {
		it.which = kits
		return i + 1
	}
	if len(it.which) > 0 {
		r.fault("found %q of %s, expected an amount in %s: it is no seal kit", r.text(i-1, i+1), r.b.parts.all[it.which[0]].code, r.b.s.Parts[it.which[0]].Unit)
	}
	return i
}

// measured are the oils of a viscosity or the springs of a rate.
func (r *reader) measured(t tok) (out []int) {
	if isRate(t.unit) || t.plain() {
		for _, s := range r.b.ofRate(t, r.b.s.Springs) {
			out = append(out, r.b.partAt(s.Part))
		}
		return out
	}
	want, err := rat(t.number)
	if err != nil {
		return nil
	}
	for _, l := range r.b.s.Liquids {
		if l.CSt40 != nil && l.CSt40.Rat().Cmp(want) == 0 {
			out = append(out, r.b.partAt(l.Part))
		}
	}
	return out
}

// fit returns the parts that some words could be: of the service's own first, but not in
// silence where a piece of another's code is typed whole.
func (r *reader) fit(words []string) []int {
	m := r.b.parts.run(words)
	if w, s := m.best(); s == exact {
		return w
	}
	var own, ownSegment []int
	for _, e := range m.atLeast(piece) {
		if r.scope[e] {
			own = append(own, e)
			if m[e] >= segment {
				ownSegment = append(ownSegment, e)
			}
		}
	}
	segments := m.atLeast(segment)
	switch {
	case len(ownSegment) > 0:
		return ownSegment
	case len(own) > 0:
		out := append(own, segments...)
		slices.Sort(out)
		return slices.Compact(out)
	case len(segments) > 0:
		return segments
	}
	return m.atLeast(piece)
}

// share cuts a run of words into parts: every way is tried, and if more than one names only
// single parts, or none does, the line could mean several things.
func (r *reader) share(from, to int) []item {
	const most = 8
	n := to - from
	if n > most {
		r.fault("found %q, expected amounts between the parts", r.text(from, to))
		return nil
	}
	words := make([]string, n)
	for i := range words {
		words[i] = r.toks[from+i].text
	}
	for i, w := range words {
		if len(r.match(w)) > 0 {
			continue
		}
		if meant := r.b.parts.nearest(w); len(meant) > 0 {
			r.ask(from+i, from+i+1, r.b.parts.choices(meant), "no part %s; did you mean", w)
			return nil
		}
		r.fault("%s", near.MissNamed("part", w, r.b.parts.near()))
		return nil
	}
	cache := map[[2]int][]int{}
	at := func(i, j int) []int {
		if w, ok := cache[[2]int{i, j}]; ok {
			return w
		}
		w := r.fit(words[i:j])
		cache[[2]int{i, j}] = w
		return w
	}
	var clear [][]item
	var open []item // the way of the fewest parts, where none is clear
	for mask := range 1 << (n - 1) {
		if mask > 0 && r.single {
			break // one part is all there can be
		}
		var way []item
		ok, unique := true, true
		start := 0
		for i := 1; i <= n && ok; i++ {
			if i < n && mask&(1<<(i-1)) == 0 {
				continue
			}
			w := at(start, i)
			ok, unique = len(w) > 0, unique && len(w) == 1
			way = append(way, item{from: from + start, to: from + i, which: w, amount: -1})
			start = i
		}
		switch {
		case !ok:
		case unique && !slices.ContainsFunc(clear, func(o []item) bool { return same(o, way) }):
			clear = append(clear, way)
		case !unique && (open == nil || len(way) < len(open)):
			open = way
		}
	}
	switch {
	case len(clear) == 1:
		return clear[0]
	case len(clear) > 1:
		var choices []Choice
		for _, way := range clear {
			var codes []string
			for _, it := range way {
				codes = append(codes, r.b.parts.all[it.which[0]].code)
			}
			choices = append(choices, Choice{strings.Join(codes, " and "), strings.Join(codes, " and ")})
		}
		r.ask(from, to, choices, "found %q, which could be", r.text(from, to))
		return nil
	case open == nil:
		r.fault("found %q, expected parts: no part is all of that", r.text(from, to))
	}
	return open
}

// same compares two ways to cut a run by the parts they name, in any order.
func same(a, b []item) bool {
	codes := func(way []item) (out []int) {
		for _, it := range way {
			out = append(out, it.which[0])
		}
		slices.Sort(out)
		return slices.Compact(out)
	}
	return slices.Equal(codes(a), codes(b))
}

// nearest are the things with the word or code that is nearest to what was typed.
func (x *index) nearest(typed string) (out []int) {
	texts := make([]string, 0, len(x.forms))
	for _, f := range x.forms {
		if n := len(texts); n == 0 || texts[n-1] != f.text {
			texts = append(texts, f.text)
		}
	}
	name, ok := near.Name(fold(typed), texts)
	if !ok {
		return nil
	}
	for e := range x.begins(name) {
		out = append(out, e)
	}
	slices.Sort(out)
	return out
}

// bindLoose gives each amount that stands alone to the part before it or behind it. Where
// more than one way gives every part what it may have, the line means two things.
func (r *reader) bindLoose(all []item, loose [][2]int, job bool) {
	type way []int // of each loose amount: its item
	var ways []way
	taken := make([]bool, len(all))
	for i, it := range all {
		taken[i] = it.amount >= 0 || it.without
	}
	const many = 2
	var try func(k int, w way)
	try = func(k int, w way) {
		if len(ways) >= many {
			return
		}
		if k == len(loose) {
			for i := range all {
				if !taken[i] && !r.alone(all[i], job) {
					return
				}
			}
			ways = append(ways, slices.Clone(w))
			return
		}
		for _, i := range []int{loose[k][1] - 1, loose[k][1]} {
			if i < 0 || i >= len(all) || taken[i] || !r.beside(loose[k][0], all[i]) || len(r.countable(all[i].which, r.toks[loose[k][0]])) == 0 {
				continue
			}
			taken[i] = true
			try(k+1, append(w, i))
			taken[i] = false
		}
	}
	try(0, nil)
	switch len(ways) {
	case 0:
		r.noWay(all, loose, job)
	case 1:
		for k, i := range ways[0] {
			all[i].amount = loose[k][0]
		}
	default:
		var choices []Choice
		first, last := len(r.toks), 0
		for _, l := range loose {
			first, last = min(first, l[0]), max(last, l[0]+1)
		}
		for _, it := range all {
			first, last = min(first, it.from), max(last, it.to, it.amount+1)
		}
		for _, w := range ways {
			for k, i := range w {
				all[i].amount = loose[k][0]
			}
			text := r.bindings(all)
			choices = append(choices, Choice{text, text})
			for _, i := range w {
				all[i].amount = -1
			}
		}
		if r.understoodBetween(first, last) {
			first = last // other words stand between: the choice cannot take their place
			for i := range choices {
				choices[i].Put = ""
			}
		}
		r.faults = append(r.faults, Fault{Says: "found " + quoted(r.text(first, last)) + ", which could be", Choices: choices, from: first, to: last})
	}
}

func quoted(text string) string { return "\"" + text + "\"" }

// understoodBetween reports whether words that are no part of the items stand among them.
func (r *reader) understoodBetween(first, last int) bool {
	for _, t := range r.toks[first:last] {
		if t.done {
			return true
		}
	}
	return false
}

// bindings writes items with "=", as they were typed.
func (r *reader) bindings(all []item) string {
	var out []string
	for _, it := range all {
		text := r.text(it.from, it.to)
		switch {
		case it.without:
			text = "no " + text
		case it.amount >= 0:
			text += "=" + strings.ReplaceAll(r.toks[it.amount].text, " ", "")
		}
		out = append(out, text)
	}
	return strings.Join(out, ", ")
}

// beside reports whether nothing else that counts stands between an amount and a part.
func (r *reader) beside(amount int, it item) bool {
	from, to := it.to, amount
	if amount < it.from {
		from, to = amount+1, it.from
	}
	for _, t := range r.toks[from:to] {
		if t.word != "of" && t.word != "the" {
			return false
		}
	}
	return true
}

// alone reports whether a part may stand without an amount: in a job what it is usually,
// or one piece.
func (r *reader) alone(it item, job bool) bool {
	return it.without || job && len(r.uncounted(it.which)) > 0
}

// uncounted are those of some parts that need no amount.
func (r *reader) uncounted(which []int) (out []int) {
	for _, e := range which {
		if r.scope[e] || r.b.s.Parts[e].Unit == units.PC {
			out = append(out, e)
		}
	}
	return out
}

// countable are those of some parts that an amount can be of.
func (r *reader) countable(which []int, t tok) (out []int) {
	for _, e := range which {
		if _, err := r.b.quantity(t, r.b.s.Parts[e]); err == nil {
			out = append(out, e)
		}
	}
	return out
}

// noWay says which amount or part stands alone.
func (r *reader) noWay(all []item, loose [][2]int, job bool) {
	for _, l := range loose {
		var why error
		beside := false
		for _, i := range []int{l[1] - 1, l[1]} {
			if i < 0 || i >= len(all) || !r.beside(l[0], all[i]) {
				continue
			}
			beside = true
			if len(r.countable(all[i].which, r.toks[l[0]])) == 0 && all[i].amount < 0 {
				_, why = r.b.quantity(r.toks[l[0]], r.b.s.Parts[all[i].which[0]])
			}
		}
		switch {
		case why != nil:
			r.fault("%s", why)
			return
		case !beside:
			r.fault("found %q, expected a part beside it", r.toks[l[0]].text)
			return
		}
	}
	for _, it := range all {
		if it.amount < 0 && !r.alone(it, job) {
			r.fault("found %q without an amount, expected how much", r.text(it.from, it.to))
			return
		}
	}
	r.fault("found more amounts than parts, expected one amount for each part")
}

// settle turns items into amounts; what could still be several parts is asked.
func (r *reader) settle(all []item, job bool) (used []ledger.Amount, not []string) {
	seen := map[int]bool{}
	for _, it := range all {
		which := it.which
		to := it.to
		if it.amount >= 0 {
			t := r.toks[it.amount]
			if which = r.countable(it.which, t); len(which) == 0 {
				_, err := r.b.quantity(t, r.b.s.Parts[it.which[0]])
				r.fault("%s", err)
				return nil, nil
			}
		} else if job && !it.without {
			which = r.uncounted(which)
		}
		if len(which) > 1 {
			r.ask(it.from, to, r.b.parts.choices(which), "found %q, which could be", r.text(it.from, it.to))
			return nil, nil
		}
		p := r.b.s.Parts[which[0]]
		if seen[which[0]] {
			r.fault("found %s twice, expected one amount of it", p.Code)
			return nil, nil
		}
		seen[which[0]] = true
		switch {
		case it.without && it.amount >= 0:
			r.fault("found both \"no\" and an amount of %s, expected one of them", p.Code)
			return nil, nil
		case it.without:
			not = append(not, p.Code)
		case it.amount >= 0:
			q, err := r.b.quantity(r.toks[it.amount], p)
			if err != nil {
				r.fault("%s", err)
				return nil, nil
			}
			used = append(used, ledger.Amount{Part: p.Code, Quantity: q})
		default:
			used = append(used, ledger.Amount{Part: p.Code, Quantity: r.usual(p)})
		}
		r.understood(it.from, it.to)
	}
	return used, not
}

// usual is what the service takes of a part that is named without an amount, else one.
func (r *reader) usual(p planner.Part) units.Quantity {
	if rows, err := ledger.JobParts(planOf(r.b.s), r.out.Service, r.out.Assembly, nil, nil); err == nil {
		for _, row := range rows {
			if row.Part == p.Code {
				return *row.Quantity
			}
		}
	}
	for _, l := range ledger.Chances(r.b.s.ServiceLines, r.out.Service) {
		if l.Part == p.Code {
			return *l.Quantity
		}
	}
	return 1
}

// quantity reads an amount of a part: in its unit, in grams of a liquid through its
// density, or in the bottles it comes in.
func (b *Bench) quantity(t tok, p planner.Part) (units.Quantity, error) {
	text := strings.TrimSpace(t.number + " " + t.unit)
	switch t.unit {
	case "bottle", "can", "tub", "tube":
		n, err := rat(t.number)
		if err != nil || p.Contents == nil || !strings.Contains(p.CarriedIn, t.unit) {
			return 0, faultf("%s: found %q, expected an amount in %s: it comes in %s", p.Code, t.text, p.Unit, orNothing(p.CarriedIn))
		}
		return whole(n.Mul(n, new(big.Rat).SetInt64(int64(*p.Contents))), p, t)
	case "mg", "g", "kg":
		if p.Unit != units.ML {
			break
		}
		density := b.density(p.Code)
		if density == nil {
			return 0, faultf("%s: found %q, expected ml: its density is not known", p.Code, t.text)
		}
		mass, err := units.ParseMass(text)
		if err != nil {
			return 0, faultf("%s: %s", p.Code, err)
		}
		// mg over g/ml is mg over mg/ul
		q, _ := new(big.Rat).SetString(units.FormatRat(new(big.Rat).Quo(new(big.Rat).SetInt64(int64(mass)), density), 0))
		return whole(q, p, t)
	case "h", "min", "lb", "cSt", "N/mm", "kgf/mm", "lb/in":
		return 0, faultf("%s: found %q, expected an amount in %s", p.Code, t.text, p.Unit)
	}
	q, err := units.ParseQuantity(text, p.Unit)
	if err != nil {
		return 0, faultf("%s: %s", p.Code, err)
	}
	return q, nil
}

func whole(n *big.Rat, p planner.Part, t tok) (units.Quantity, error) {
	if !n.IsInt() || n.Sign() < 0 || n.Cmp(new(big.Rat).SetInt64(int64(units.MaxQuantity))) > 0 {
		return 0, faultf("%s: found %q, expected an amount in %s", p.Code, t.text, p.Unit)
	}
	return units.Quantity(n.Num().Int64()), nil
}

func (b *Bench) density(part string) *big.Rat {
	for _, l := range b.s.Liquids {
		if l.Part == part && l.DensityGML != nil && l.DensityGML.IsPositive() {
			return l.DensityGML.Rat()
		}
	}
	return nil
}

func orNothing(text string) string {
	if text == "" {
		return "no container that is known"
	}
	return text
}
