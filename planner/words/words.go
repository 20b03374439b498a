// Package words answers: what does a line typed at the bench mean?
//
// Method: the line is cut into words and amounts. What can only be one thing is taken
// first: a note, a time, a verb, a place behind "to", "from" or "at", a code. Services,
// forks and places are then found by their words, and what is left must be parts with
// their amounts. A word fits a name by its whole code, by a piece of the code between its
// dashes, or by the beginning of a word of its name; several words fit what all of them
// fit. The parts that the service uses come before the rest of the catalogue. Every way to
// share the words among the parts and the amounts among their neighbours is tried; where
// more than one is left the line is not understood, and all readings are returned.
//
// Nothing is left over in silence: each word is understood, is one of a few that say
// nothing ("of", "and"), or is a fault. Source: common practice (from memory). Limits: at
// most 60 words of 500 bytes; a bare number is an amount, never a piece of a code.
package words

import (
	"fmt"
	"strings"
	"time"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// Kinds of things a line can record.
const (
	Job      = "job"
	Count    = "count"
	Weigh    = "weigh"
	Move     = "move"
	Receive  = "receive"
	Scrap    = "scrap"
	Lend     = "lend"
	LentBack = "lent-back"
	OpenKit  = "open-kit"
)

// Meaning is what a line says, in codes and base units. What does not belong to its kind
// is blank.
type Meaning struct {
	Kind              string
	Service, Assembly string
	Used              []ledger.Amount // a job's; what was counted; what was moved
	Not               []string        // usual parts that were not used
	Spring            string          // a part or a tag
	Place             string          // counted at; a kit opened from
	Case              string          // a case that is moved whole
	Tag               string
	GrossMG           units.Milligrams
	From, To          string
	Supplier          string
	Trip, Round       string
	DueOn             *day.Day
	At                time.Time // zero: now
	Person            string
	Note              string
}

// Fault is why a line is not understood: a word that means nothing, or more than one
// thing, or something that is missing. With choices it can be asked.
type Fault struct {
	Says    string
	Choices []Choice
	from    int // the words that a choice takes the place of
	to      int
}

// Choice is one thing that was perhaps meant.
type Choice struct {
	Put  string // the words that say it
	Says string
}

// Error is the fault as one line, with every meaning.
func (f Fault) Error() string {
	const shown = 8
	var all []string
	for i, c := range f.Choices {
		if i == shown {
			all = append(all, fmt.Sprintf("... (%d in all)", len(f.Choices)))
			break
		}
		all = append(all, c.Says)
	}
	if len(all) == 0 {
		return f.Says
	}
	return f.Says + ": " + strings.Join(all, ", or ")
}

// Reading is what was understood of a line. The meaning counts only without faults.
type Reading struct {
	Meaning
	Faults []Fault
	words  []string
}

// Understood reports whether all of the line is.
func (r Reading) Understood() bool { return len(r.Faults) == 0 }

// With returns the line with a choice put where its fault stands.
func (r Reading) With(f Fault, c Choice) string {
	from, to := min(f.from, len(r.words)), min(f.to, len(r.words))
	out := append([]string{}, r.words[:from]...)
	out = append(append(out, c.Put), r.words[to:]...)
	return strings.Join(out, " ")
}

// The most that is read: nobody types more at a bench.
const (
	maxBytes = 500
	maxWords = 60
)

// Read reads a line as of a moment.
func (b *Bench) Read(line string, now time.Time) Reading {
	r := &reader{b: b, now: now.In(b.zone), fitting: map[string]fits{}}
	r.out.Kind = Job
	if len(line) > maxBytes {
		r.fault("found a line of %d bytes, expected at most %d", len(line), maxBytes)
		return r.reading()
	}
	r.toks = lex(line)
	if len(r.toks) > maxWords {
		r.fault("found %d words, expected at most %d", len(r.toks), maxWords)
		return r.reading()
	}
	for _, step := range []func(){r.note, r.verb, r.due, r.when, r.person, r.places, r.codes} {
		if step(); len(r.faults) > 0 {
			return r.reading()
		}
	}
	if r.out.Kind == Job {
		r.job()
	} else {
		r.stores()
	}
	return r.reading()
}

// reader is one line being read.
type reader struct {
	b      *Bench
	now    time.Time
	toks   []tok
	out    Meaning
	faults []Fault
	scope  map[int]bool // parts that come first: the service's own, those that lie there
	single bool         // the line names one part

	fitting map[string]fits // the parts that a word fits, once looked up
}

func (r *reader) reading() Reading {
	words := make([]string, len(r.toks))
	for i, t := range r.toks {
		words[i] = t.text
	}
	return Reading{r.out, r.faults, words}
}

// match is what parts a word fits.
func (r *reader) match(text string) fits {
	m, ok := r.fitting[text]
	if !ok {
		m = r.b.parts.match(text)
		r.fitting[text] = m
	}
	return m
}

func (r *reader) fault(format string, args ...any) {
	r.faults = append(r.faults, Fault{Says: fmt.Sprintf(format, args...)})
}

// ask is a fault that choices can settle, in the place of words from..to.
func (r *reader) ask(from, to int, choices []Choice, format string, args ...any) {
	r.faults = append(r.faults, Fault{Says: fmt.Sprintf(format, args...), Choices: choices, from: from, to: to})
}

// text is what was typed from..to.
func (r *reader) text(from, to int) string {
	var out []string
	for _, t := range r.toks[from:to] {
		out = append(out, t.text)
	}
	return strings.Join(out, " ")
}

// planOf is the part of the season that a job is made from.
func planOf(s *planner.Snapshot) *planner.Book {
	return &planner.Book{Plan: s.Plan, Catalogue: s.Catalogue}
}
