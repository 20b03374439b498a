// Package record answers: what did one command record, in words?
//
// One command may make several entries (a count of many parts, a trip that came back): they
// are one record to people, taken back and put back together. It is told as a title, who did
// what where and when, and lines, what went from where to where. It decides nothing.
package record

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// Record is what one command recorded, in the order in which it did.
type Record struct {
	ID      uuid.UUID // of its first entry
	Entries []Entry
}

// Entry is one of its entries.
type Entry struct {
	ID        uuid.UUID
	Code      string // of a workbook
	Kind      string // job, count, move, ...; plan and order change the plan and an order
	Person    string
	At        time.Time // in the season's zone
	Reference string
	Notes     string
	UndoneBy  uuid.UUID // the undo; nil: it stands
	Redoes    uuid.UUID // it puts back what this undo took back; nil: it does not

	Round, Service, Assembly string // of a job

	Place, Part   string // what was counted
	Counted, Book units.Quantity
	KnownBook     bool

	Tag     string // what was weighed
	GrossMG units.Milligrams

	Case, In string // a place that now stands inside another; In may be blank
	Change   *Change
	Moves    []Move
}

// Change is one figure or word of the plan or of an order, before and after.
type Change struct {
	What     string // jobs, weather, trip, order, line, rate
	Subject  string // the round, the trip, the order, the line's part, the unplanned service
	Service  string // of jobs, of a line
	Assembly string // likewise
	Was, Now string // a number of jobs, dry or wet, a day, a state, numbers of a line
}

// Move is what went from where to where.
type Move struct {
	Part, Tag, From, To string
	Quantity            units.Quantity
}

// First is the entry that the record is named after.
func (r Record) First() Entry { return r.Entries[0] }

const minute = "2006-01-02 15:04"

// Title says in one line what was done, when and by whom.
func (r Record) Title() string {
	e := r.First()
	said := r.what() + ", " + e.At.Format(minute)
	if e.Person != "" {
		said += ", by " + e.Person
	}
	return said
}

func (r Record) what() string {
	e := r.First()
	for _, x := range r.Entries {
		if x.Kind == "return" {
			return "what came back from " + x.Reference
		}
	}
	switch e.Kind {
	case "job":
		said := e.Service
		if e.Assembly != "" {
			said += " on " + e.Assembly
		}
		if e.Round != "" {
			said += " at " + e.Round
		}
		return said
	case "count":
		if e.Place == "" { // why a count differed
			return "the reason of a difference: " + e.Notes
		}
		var places []string
		for _, x := range r.Entries {
			if x.Place != "" && !slices.Contains(places, x.Place) {
				places = append(places, x.Place)
			}
		}
		if len(r.Entries) > 1 {
			return fmt.Sprintf("the count of %d parts at %s", r.counts(), strings.Join(places, ", "))
		}
		return fmt.Sprintf("the count of %s at %s", e.Part, e.Place)
	case "weighing":
		return "the weighing of " + e.Tag
	case "receipt":
		if e.Reference != "" {
			return "what came of " + e.Reference
		}
		return "what was received"
	case "pack":
		return "what was packed for " + e.Reference
	case "move":
		if e.Case != "" {
			return "the move of " + e.Case
		}
		return "the move"
	case "lend":
		return "what was lent"
	case "lent back":
		return "what came back from being lent"
	case "open kit":
		return "the opening of a kit"
	case "tag":
		return "the label put on"
	case "scrap":
		return "what was thrown away"
	case "plan":
		if e.Change != nil && e.Change.What == "charge" {
			return "the charge"
		}
		return "the change of the plan"
	case "order":
		return "the step of an order"
	}
	return "the " + e.Kind
}

func (r Record) counts() (n int) {
	for _, e := range r.Entries {
		if e.Place != "" {
			n++
		}
	}
	return n
}

// Lines say what it did, one thing a line.
func (r Record) Lines(parts map[string]planner.Part) (lines []string) {
	say := func(q units.Quantity, part string) string { return units.Say(q, parts[part].Unit) }
	for _, e := range r.Entries {
		if e.Change != nil {
			lines = append(lines, e.Change.String())
		}
		switch {
		case e.Place != "":
			line := fmt.Sprintf("%s at %s: %s counted", e.Part, e.Place, say(e.Counted, e.Part))
			if e.KnownBook {
				line += differs(e.Counted-e.Book, func(q units.Quantity) string { return say(q, e.Part) })
			}
			lines = append(lines, line)
			continue
		case e.GrossMG != 0:
			lines = append(lines, fmt.Sprintf("%s: %s g with its bottle", e.Tag, units.Format(units.Quantity(e.GrossMG), units.G)))
		case e.Case != "" && e.In != "":
			lines = append(lines, e.Case+" into "+e.In+", with all that is in it")
		case e.Case != "":
			lines = append(lines, e.Case+" stands on its own")
		}
		for _, m := range e.Moves {
			lines = append(lines, m.words(say(m.Quantity, m.Part)))
		}
	}
	return lines
}

func differs(diff units.Quantity, say func(units.Quantity) string) string {
	switch {
	case diff > 0:
		return ", " + say(diff) + " more than the book"
	case diff < 0:
		return ", " + say(-diff) + " less than the book"
	}
	return ", as the book"
}

// words tell a move: what was used, thrown away, found, and what went between two places.
func (m Move) words(quantity string) string {
	said := quantity + " " + m.Part
	if m.Tag != "" {
		said += " (" + m.Tag + ")"
	}
	switch m.From {
	case ledger.CountDifference:
		said += ", found"
	case ledger.Supplier, ledger.Opening, ledger.OpenedKit, ledger.Relabelled:
	default:
		said += " from " + m.From
	}
	switch m.To {
	case ledger.Used:
		return said + ", used"
	case ledger.CountDifference:
		return said + ", missing"
	case ledger.Scrap:
		return said + ", thrown away"
	case ledger.Supplier, ledger.Opening, ledger.OpenedKit, ledger.Relabelled:
		return said
	}
	return said + " into " + m.To
}

// String tells a change: what it concerns, what it was and what it is.
func (c Change) String() string {
	switch c.What {
	case "jobs":
		on := ""
		if c.Assembly != "" {
			on = " on " + c.Assembly
		}
		was, _ := strconv.Atoi(c.Was)
		now, _ := strconv.Atoi(c.Now)
		return fmt.Sprintf("%s: %+d %s%s, %d planned then", c.Subject, now-was, c.Service, on, now)
	case "weather":
		return fmt.Sprintf("%s: %s, before %s", c.Subject, c.Now, cmp.Or(c.Was, "not known"))
	case "line":
		return fmt.Sprintf("%s of %s: %s, before %s", c.Subject, c.Service, c.Now, c.Was)
	case "charge":
		return cmp.Or(c.Now, c.Was+": taken back")
	case "trip":
		return fmt.Sprintf("%s: back on %s, before %s", c.Subject, c.Now, c.Was)
	}
	if c.What == "order" && c.Was == "called off" && c.Now == "drafted" { // a draft, or one that is put back
		return c.Subject + ": drafted"
	}
	return fmt.Sprintf("%s: %s, before %s", c.Subject, c.Now, c.Was)
}

// InOneLine is the title and as many lines as fit into one.
func (r Record) InOneLine(parts map[string]planner.Part) string {
	const most = 3
	lines := r.Lines(parts)
	said := r.Title()
	if len(lines) == 0 {
		return said
	}
	if len(lines) > most {
		return fmt.Sprintf("%s: %s and %d more", said, strings.Join(lines[:most], "; "), len(lines)-most)
	}
	return said + ": " + strings.Join(lines, "; ")
}
