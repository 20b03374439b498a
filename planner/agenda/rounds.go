package agenda

import (
	"fmt"
	"strings"

	"roundkit/planner"
	"roundkit/planner/day"
)

// longestCode is more than anybody types as a round's code (a workbook takes no longer one).
const longestCode = 64

// Dated is a round as a calendar file has it.
type Dated struct {
	Name    string // the event's: "round-KAR@2027" is ours
	Title   string // "KAR, Karst round": the code up to the first comma, colon or space
	FirstOn day.Day
	LastOn  day.Day
}

// Change is what a calendar file says of a round.
type Change struct {
	Round planner.Round // as it would stand
	Was   *planner.Round
}

// Rounds holds events against the rounds of a season: those whose days differ, and those
// that are new. Events of another kind of ours (packing, orders) are not rounds and are
// left out. It returns every fault at once.
func Rounds(season planner.Season, known []planner.Round, events []Dated) (changes []Change, faults []error) {
	seen := map[string]bool{}
	for i, e := range events {
		fault := func(format string, args ...any) {
			faults = append(faults, fmt.Errorf("event %d (%s): "+format, append([]any{i + 1, e.Title}, args...)...))
		}
		code, name := apart(e.Title)
		if own, of, ok := strings.Cut(e.Name, "@"); ok && of == season.Code {
			kind, rest, _ := strings.Cut(own, "-")
			if kind != "round" {
				continue
			}
			code = rest
		}
		switch {
		case code == "":
			fault("found no title, expected one that begins with the round's code")
			continue
		case len(code) > longestCode || !planner.Printable(code, false) || !planner.Printable(name, false):
			fault("found a code or a name of odd characters, or a code of more than %d, expected one such as KAR", longestCode)
			continue
		case seen[code]:
			fault("found round %s twice, expected it once", code)
			continue
		case e.LastOn < e.FirstOn:
			fault("found it to end on %s before it begins on %s", e.LastOn, e.FirstOn)
			continue
		case e.FirstOn < season.FirstOn || e.LastOn > season.LastOn:
			fault("found %s to %s, expected days of season %s, %s to %s", e.FirstOn, e.LastOn, season.Code, season.FirstOn, season.LastOn)
			continue
		}
		seen[code] = true
		c := Change{Round: planner.Round{Code: code, Name: name, Kind: "race"}}
		for _, r := range known {
			if r.Code == code {
				c = Change{Round: r, Was: &r}
			}
		}
		c.Round.FirstOn, c.Round.LastOn = e.FirstOn, e.LastOn
		if c.Was == nil || c.Was.FirstOn != e.FirstOn || c.Was.LastOn != e.LastOn {
			changes = append(changes, c)
		}
	}
	return changes, faults
}

// apart takes a title into a code and a name.
func apart(title string) (code, name string) {
	title = strings.TrimSpace(title)
	end := strings.IndexAny(title, ",: ")
	if end < 0 {
		return title, ""
	}
	return title[:end], strings.TrimLeft(title[end:], ",: ")
}
