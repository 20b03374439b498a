package words

import (
	"fmt"

	"roundkit/planner"
	"roundkit/planner/units"
)

func faultf(format string, args ...any) error { return fmt.Errorf(format, args...) }

// stores reads what is counted, weighed, moved, opened or lent.
func (r *reader) stores() {
	switch {
	case r.out.Kind == Weigh:
		r.weigh()
		return
	case r.out.Tag != "" || r.out.Case != "":
		r.oneThing()
	default:
		r.amounts()
	}
	if len(r.faults) > 0 {
		return
	}
	if r.out.DueOn != nil && r.out.Kind != Lend {
		r.fault("found a day that it is due, expected one only of what is lent")
		return
	}
	if r.out.Trip != "" && r.out.Kind != Move {
		r.fault("found a trip, expected one only of what is moved")
		return
	}
	r.missing()
}

// oneThing is a label or a case: it is moved whole, and nothing else stands in the line.
func (r *reader) oneThing() {
	if r.out.Tag != "" && r.out.Case != "" {
		r.fault("found both %s and %s, expected one of them", r.out.Tag, r.out.Case)
		return
	}
	if r.out.Case != "" && r.out.To == "" && r.leftOver() >= 0 {
		// "move fc-1 4 crw to ...": the case is where something comes from or goes to
		r.fault("found %s without \"to\" or \"from\", expected one of them", r.out.Case)
		return
	}
	if i := r.leftOver(); i >= 0 {
		r.fault("found %q beside %s, expected nothing: it goes whole", r.toks[i].text, r.out.Tag+r.out.Case)
	}
}

// leftOver is the first word not understood, -1 for none.
func (r *reader) leftOver() int {
	for i, t := range r.toks {
		if !t.done && !(idle[t.word] && !t.amount()) {
			return i
		}
	}
	return -1
}

// amounts reads parts with how many.
func (r *reader) amounts() {
	if r.single = r.out.Kind == OpenKit; r.single {
		r.kits()
		return
	}
	r.here()
	used, not := r.items(false)
	switch {
	case len(r.faults) > 0:
		return
	case len(not) > 0:
		r.fault("found \"no %s\", expected how much there is, such as %s=0", not[0], not[0])
	case len(used) == 0:
		r.fault("found no part, expected what to %s and how much", r.out.Kind)
	case len(used) > 1 && r.out.Trip != "":
		r.fault("found %s and %s for %s, expected one part: each takes a line of the list", used[0].Part, used[1].Part, r.out.Trip)
	}
	for _, u := range used {
		if r.out.Kind != Count && u.Quantity == 0 {
			r.fault("found none of %s, expected more than 0", u.Part)
		}
	}
	r.out.Used = used
}

// here puts the parts first that the book has where the line is about, or that are at home
// there.
func (r *reader) here() {
	at := r.out.Place + r.out.From
	if at == "" && r.out.Kind == Receive {
		return
	}
	r.scope = map[int]bool{}
	in := map[string]string{}
	ours := map[string]bool{}
	for _, p := range r.b.s.Places {
		in[p.Code], ours[p.Code] = p.In, p.Kind != "lent"
	}
	within := func(place string) bool {
		if at == "" {
			return ours[place] || r.out.Kind == LentBack
		}
		for steps := 0; place != "" && steps <= len(in); steps++ {
			if place == at {
				return true
			}
			place = in[place]
		}
		return false
	}
	for _, h := range r.b.s.Stock {
		if within(h.Place) {
			r.scope[r.b.partAt(h.Part)] = true
		}
	}
	for e, p := range r.b.s.Parts {
		if at != "" && (within(p.HomeInTruck) || within(p.HomeInWorkshop)) {
			r.scope[e] = true
		}
	}
}

// kits reads the kit that was opened: one of those that have contents.
func (r *reader) kits() {
	r.scope = map[int]bool{}
	for _, k := range r.b.s.KitContents {
		if e := r.b.partAt(k.Kit); e >= 0 {
			r.scope[e] = true
		}
	}
	for i, t := range r.toks {
		if !t.done && t.plain() && t.number == "1" {
			r.toks[i].done = true
		}
	}
	used, not := r.items(true)
	switch {
	case len(r.faults) > 0:
		return
	case len(used) != 1 || len(not) > 0:
		r.ask(len(r.toks), len(r.toks), r.b.parts.choices(fits(nil).of(r.scope)), "found no kit, expected which one was opened")
	case used[0].Quantity != 1:
		r.fault("found more than one %s, expected one: a line each", used[0].Part)
	}
	r.out.Used = used
}

// of lists the numbers of a set in order.
func (fits) of(set map[int]bool) []int {
	f := fits{}
	for e := range set {
		f[e] = piece
	}
	return f.atLeast(piece)
}

// missing asks for the place that the record cannot do without.
func (r *reader) missing() {
	end := len(r.toks)
	ask := func(before, says string, lent bool) {
		var out []Choice
		for _, p := range r.b.s.Places {
			if p.Kind != "outside" && (p.Kind == "lent") == lent {
				out = append(out, Choice{before + p.Code, p.Code + ", " + p.Name})
			}
		}
		r.ask(end, end, out, "%s", says)
	}
	switch {
	case r.out.Kind == Count && r.out.Place == "":
		ask("at ", "found no place, expected where it was counted", false)
	case r.out.Kind == Move && r.out.To == "":
		ask("to ", "found no place, expected where it goes to", false)
	case r.out.Kind == Lend && r.out.To == "":
		ask("to ", "found nobody, expected to whom it is lent", true)
	}
}

// weigh reads a bottle and what the scale says.
func (r *reader) weigh() {
	mass := -1
	for i, t := range r.toks {
		if t.done || !t.amount() {
			continue
		}
		if mass >= 0 {
			r.fault("found two amounts, %s and %s, expected what the scale says", r.toks[mass].text, t.text)
			return
		}
		mass = i
	}
	if mass < 0 {
		r.fault("found no mass, expected what the scale says in grams, such as 450")
		return
	}
	t := r.toks[mass]
	text := t.number + " " + t.unit
	if t.unit == "" {
		text = t.number + " g"
	}
	gross, err := units.ParseMass(text)
	if err != nil {
		r.fault("%s", err)
		return
	}
	r.out.GrossMG = gross
	r.toks[mass].done = true
	for i, t := range r.toks {
		r.toks[i].done = t.done || t.bind
	}
	if r.out.Tag == "" {
		r.bottle()
	}
	if i := r.leftOver(); len(r.faults) == 0 && i >= 0 {
		r.fault("found %q beside %s, expected nothing else", r.toks[i].text, r.out.Tag)
	}
}

// bottle finds the labelled bottle by its part, among those that hold something.
func (r *reader) bottle() {
	from := r.leftOver()
	if from < 0 {
		r.fault("found no bottle, expected its label or its oil")
		return
	}
	to := from
	var run []string
	for ; to < len(r.toks) && !r.toks[to].done && !r.toks[to].amount(); to++ {
		run = append(run, r.toks[to].text)
	}
	parts := map[string]bool{}
	for _, e := range r.fit(run) {
		parts[r.b.s.Parts[e].Code] = true
	}
	held := map[string]planner.Holding{}
	for _, h := range r.b.s.Stock {
		held[h.Tag] = h
	}
	var bottles []Choice
	for _, t := range r.b.s.Tags {
		if h, ok := held[t.Code]; ok && parts[t.Part] && t.TareMG != nil {
			bottles = append(bottles, Choice{t.Code, t.Code + " of " + t.Part + " in " + h.Place})
		}
	}
	switch len(bottles) {
	case 0:
		r.fault("found %q, expected the label of a bottle, or an oil of which a labelled one is here", r.text(from, to))
	case 1:
		r.out.Tag = bottles[0].Put
		r.understood(from, to)
	default:
		r.ask(from, to, bottles, "found %q, which could be", r.text(from, to))
	}
}
