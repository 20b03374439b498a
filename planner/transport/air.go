package transport

import (
	"cmp"
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/day"
)

// Flagged is a part that does not simply fly.
type Flagged struct {
	Part, Name string
	UN         string
	Aboard     bool // it is packed
	Verdict    Flight
	Why        string
	Where      []string
}

// Air is what of a trip by air must stay at home or needs the carrier's word.
type Air struct {
	Flagged []Flagged // what never flies first
	Never   int       // of what is packed, how many parts must come out
	Warning string
	Notes   []string
}

// AirFor flags what is packed, and of the other parts those that must not fly: whoever
// works at the round will miss them there.
func AirFor(items []Item, wanted []planner.Part, on day.Day) Air {
	a := Air{Warning: AirRules.Warning(on), Notes: []string{
		"What people carry in their own baggage is theirs, not the team's stock: nothing of this may be split over bags.",
		"Cargo with dangerous goods needs a trained shipper and a declaration.",
		"A loose damper under gas (a spare fork or shock) counts as UN 3164 unless its maker states otherwise: ask the operator, or let it down to zero gauge.",
	}}
	at := map[string]int{}
	flag := func(p planner.Part, aboard bool, place string) {
		k, ok := at[p.Code]
		if !ok {
			verdict, why, flagged := verdictOf(p)
			if !flagged || !aboard && verdict != NeverFlies {
				return
			}
			k = len(a.Flagged)
			at[p.Code] = k
			a.Flagged = append(a.Flagged, Flagged{Part: p.Code, Name: p.Name, UN: p.UNNumber, Verdict: verdict, Why: why})
		}
		f := &a.Flagged[k]
		if aboard && !f.Aboard {
			f.Aboard = true
			if f.Verdict == NeverFlies {
				a.Never++
			}
		}
		if place != "" && !slices.Contains(f.Where, place) {
			f.Where = append(f.Where, place)
		}
	}
	for _, i := range items {
		flag(i.Part, true, i.Place)
	}
	for _, p := range wanted {
		flag(p, false, "")
	}
	slices.SortStableFunc(a.Flagged, func(x, y Flagged) int {
		return cmp.Or(-boolCompare(x.Aboard && x.Verdict == NeverFlies, y.Aboard && y.Verdict == NeverFlies),
			-boolCompare(x.Verdict == NeverFlies, y.Verdict == NeverFlies), -boolCompare(x.UN != "", y.UN != ""))
	})
	return a
}

// verdictOf says what a carrier does with a part: the sheet's own "by air: no" is never
// overruled by the table.
func verdictOf(p planner.Part) (verdict Flight, why string, flagged bool) {
	refused := p.ByAir != nil && !*p.ByAir
	if p.UNNumber != "" {
		found, err := FindSubstance(p.UNNumber)
		switch {
		case err == nil && (refused || found.Flight == NeverFlies):
			return NeverFlies, cmp.Or(map[bool]string{true: found.FlightWhy}[found.Flight == NeverFlies], "the parts sheet says it does not go by air"), true
		case err == nil:
			return AskCarrier, joined(found.FlightWhy, found.Taken), true
		case refused:
			return NeverFlies, "the parts sheet says it does not go by air", true
		}
		return AskCarrier, reason(err), true
	}
	switch {
	case refused:
		return NeverFlies, "the parts sheet says it does not go by air", true
	case p.Kind == "gas":
		return AskCarrier, "gas without a UN number: read section 14 of its data sheet first", true
	case p.Kind == "cleaner":
		return AskCarrier, "cleaner: read section 14 of its data sheet; a solvent stays at home", true
	case p.Kind == "oil" || p.Kind == "grease":
		return AskCarrier, "usually not dangerous goods (flash point above 60 C), yet it can be refused: carry the data sheet", true
	}
	return "", "", false
}

func joined(texts ...string) string {
	return strings.Join(slices.DeleteFunc(texts, func(t string) bool { return t == "" }), "; ")
}

func boolCompare(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}
