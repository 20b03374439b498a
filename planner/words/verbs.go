package words

import (
	"strings"

	"roundkit/planner/near"
)

// verbs are the words that say what is recorded; without one it is a job.
var verbs = map[string]string{
	"log": Job, "logged": Job, "job": Job, "did": Job,
	"count": Count, "counted": Count,
	"weigh": Weigh, "weighs": Weigh, "weighed": Weigh,
	"move": Move, "moved": Move,
	"receive": Receive, "received": Receive,
	"scrap": Scrap, "scrapped": Scrap,
	"lend": Lend, "lent": Lend, "back": LentBack, "lent-back": LentBack,
	"open": OpenKit, "opened": OpenKit, "open-kit": OpenKit,
}

// idle are the words that say nothing.
var idle = map[string]bool{"on": true, "for": true, "of": true, "the": true, "and": true, "with": true, "plus": true, "used": true, "now": true, "just": true, "today": true, "is": true}

// note takes all behind "note" as it stands.
func (r *reader) note() {
	for i, t := range r.toks {
		if t.word != "note" {
			continue
		}
		if r.out.Note = r.text(i+1, len(r.toks)); r.out.Note == "" {
			r.fault("found \"note\" with nothing behind it, expected words")
		}
		r.toks = r.toks[:i]
		return
	}
}

func (r *reader) verb() {
	said := ""
	for i, t := range r.toks {
		kind, ok := verbs[strings.ToLower(t.text)]
		if !ok {
			continue
		}
		r.toks[i].done = true
		switch {
		case said == "" || kind == said:
		case said == Lend && kind == LentBack || said == LentBack && kind == Lend:
			kind = LentBack
		case said == Job: // "log count ...": what it is follows
		case kind == Job:
			kind = said
		default:
			r.fault("found %s and %s in one line, expected one of them", said, kind)
			return
		}
		said = kind
	}
	if said != "" {
		r.out.Kind = said
	}
}

// person takes who is behind "by".
func (r *reader) person() {
	for i, t := range r.toks {
		if t.done || t.word != "by" {
			continue
		}
		if i+1 == len(r.toks) {
			r.fault("found \"by\" with nobody behind it, expected a person")
			return
		}
		to := i + 2
		fit := r.b.people.match(r.toks[i+1].text)
		if to < len(r.toks) && !r.toks[to].done && !r.toks[to].amount() {
			if two := r.b.people.run([]string{r.toks[i+1].text, r.toks[to].text}); len(two) > 0 {
				fit, to = two, to+1
			}
		}
		who, _ := fit.best()
		switch {
		case len(who) == 0:
			r.fault("%s", near.MissNamed("person", r.toks[i+1].text, r.b.people.near()))
		case len(who) > 1:
			r.ask(i+1, to, r.b.people.choices(who), "found %q, which could be", r.text(i+1, to))
		case r.out.Person != "":
			r.fault("found two people, expected who did it")
		}
		if len(r.faults) > 0 {
			return
		}
		r.out.Person = r.b.people.all[who[0]].code
		for ; to > i; to-- {
			r.toks[to-1].done = true
		}
	}
}

// choices offers some of the things.
func (x *index) choices(which []int) []Choice {
	var out []Choice
	for _, e := range which {
		out = append(out, Choice{x.all[e].code, x.all[e].says})
	}
	return out
}

// near is all of them by code and name, for a miss.
func (x *index) near() []near.Named {
	out := make([]near.Named, len(x.all))
	for i, n := range x.all {
		out[i].Code, out[i].Name = n.code, strings.TrimPrefix(strings.TrimPrefix(n.says, n.code), ", ")
	}
	return out
}

// places takes what stands behind "to", "from", "at" and "in": a place, by code or name;
// of a job the round; of what came in, the supplier.
func (r *reader) places() {
	for i, t := range r.toks {
		word := map[string]string{"to": "to", "into": "to", "from": "from", "at": "at", "in": "at"}[t.word]
		if t.done || word == "" {
			continue
		}
		from := i + 1
		for from < len(r.toks) && r.toks[from].word == "the" {
			from++
		}
		x, what := &r.b.places, "place"
		if r.out.Kind == Job {
			if word != "at" {
				r.fault("found %q, expected no place: what a job uses is taken where it is done", r.text(i, min(i+2, len(r.toks))))
				return
			}
			x, what = &r.b.rounds, "round"
		}
		which, to := r.longest(x, from)
		if len(which) == 0 && r.out.Kind == Receive && word == "from" {
			if which, to = r.longest(&r.b.suppliers, from); len(which) == 1 {
				r.out.Supplier = r.b.suppliers.all[which[0]].code
				r.understood(i, to)
				continue
			}
		}
		switch {
		case from == len(r.toks):
			r.fault("found %q with nothing behind it, expected a %s", t.text, what)
		case len(which) == 0:
			r.fault("%s", near.MissNamed(what, r.toks[from].text, x.near()))
		case len(which) > 1:
			r.ask(from, to, x.choices(which), "found %q, which could be", r.text(from, to))
		default:
			r.place(word, x.all[which[0]].code)
			r.understood(i, to)
		}
		if len(r.faults) > 0 {
			return
		}
	}
}

func (r *reader) understood(from, to int) {
	for ; from < to; from++ {
		r.toks[from].done = true
	}
}

// longest returns what the most words from i on fit together.
func (r *reader) longest(x *index, i int) (which []int, to int) {
	const most = 4
	var run []string
	for j := i; j < len(r.toks) && j < i+most && !r.toks[j].done && !r.toks[j].bind && !r.toks[j].amount(); j++ {
		run = append(run, r.toks[j].text)
		if w, _ := x.run(run).best(); len(w) > 0 {
			which, to = w, j+1
		}
	}
	return which, to
}

// place puts a place where the line has it.
func (r *reader) place(word, code string) {
	at := map[string]*string{"to": &r.out.To, "from": &r.out.From}[word]
	switch {
	case r.out.Kind == Job:
		at = &r.out.Round
	case word == "at" && (r.out.Kind == Count || r.out.Kind == OpenKit), word == "from" && r.out.Kind == OpenKit:
		at = &r.out.Place
	case word == "at" && r.out.Kind == Scrap:
		at = &r.out.From
	case word == "at" && r.out.Kind == Receive:
		at = &r.out.To
	}
	switch {
	case at == nil:
		r.fault("found %s %s, expected \"to\" or \"from\" before a place", word, code)
	case at == &r.out.To && (r.out.Kind == Count || r.out.Kind == Weigh || r.out.Kind == Scrap || r.out.Kind == OpenKit),
		at == &r.out.From && (r.out.Kind == Count || r.out.Kind == Weigh || r.out.Kind == Receive):
		r.fault("found %s %s, expected no such place to %s", word, code, r.out.Kind)
	case *at != "" && *at != code:
		r.fault("found both %s and %s, expected one place", *at, code)
	default:
		*at = code
	}
}

// codes takes whole codes that stand alone: a place, a tag, a trip.
func (r *reader) codes() {
	for i, t := range r.toks {
		if t.done || t.amount() || t.bind || t.word == "" {
			continue
		}
		if _, s := r.match(t.text).best(); s == exact {
			continue
		}
		if tag, s := r.b.tags.match(t.text).best(); s == exact {
			r.tag(i, r.b.tags.all[tag[0]].code)
			continue
		}
		if trip, s := r.b.trips.match(t.text).best(); s == exact && r.out.Kind == Move {
			r.out.Trip = r.b.trips.all[trip[0]].code
			r.toks[i].done = true
			continue
		}
		if r.out.Kind == Job || r.out.Kind == Weigh {
			continue
		}
		at, s := r.b.places.match(t.text).best()
		if len(at) != 1 || s != exact && (s != segment || len(r.match(t.text)) > 0) {
			continue
		}
		code := r.b.places.all[at[0]].code
		kind := ""
		for _, p := range r.b.s.Places {
			if p.Code == code {
				kind = p.Kind
			}
		}
		switch {
		case r.out.Kind == Move && kind == "case" && r.out.Case == "":
			r.out.Case = code
		case r.out.Kind == Count || r.out.Kind == OpenKit:
			r.place("at", code)
		case r.out.Kind == Scrap || r.out.Kind == LentBack && kind == "lent":
			r.place("from", code)
		case r.out.Kind == Receive || r.out.Kind == LentBack || r.out.Kind == Lend && kind == "lent":
			r.place("to", code)
		default:
			r.ask(i, i+1, []Choice{{"to " + code, "to " + code}, {"from " + code, "from " + code}}, "found %s alone, which could be", code)
		}
		r.toks[i].done = true
	}
}

func (r *reader) tag(i int, code string) {
	at := &r.out.Tag
	if r.out.Kind == Job {
		at = &r.out.Spring
		for _, t := range r.b.s.Tags {
			if t.Code == code && !r.spring(t.Part) {
				r.fault("found %s, expected no label but a spring's: a job takes the bottle that is open", code)
			}
		}
	}
	switch {
	case *at != "" && *at != code:
		r.fault("found both %s and %s, expected one label", *at, code)
	case r.out.Kind == Count || r.out.Kind == Receive || r.out.Kind == OpenKit:
		r.fault("found the label %s, expected a part to %s", code, r.out.Kind)
	}
	*at = code
	r.toks[i].done = true
}

func (r *reader) spring(part string) bool {
	for _, s := range r.b.s.Springs {
		if s.Part == part {
			return true
		}
	}
	return false
}
