package screen

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"roundkit/planner/forecast"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

// Forecast prints a forecast: what is short, for what it was asked, how sure it is that
// all jobs can be done, the parts. Clock is the season's time where that is not the
// computer's, else "". Here is what of all that is ours is where people are; nil: a place
// was named.
func Forecast(w io.Writer, look term.Look, r forecast.Result, ready forecast.Readiness, here *HereShare, clock string) error {
	used := slices.DeleteFunc(slices.Clone(r.Parts), func(p forecast.Part) bool { return p.Mean == 0 && shortThen(p) == 0 })
	slices.SortStableFunc(used, func(a, b forecast.Part) int { return cmp.Compare(sortKey(a), sortKey(b)) })
	lines := []string{shortLine(used, r, here), askedLine(r, clock)}
	if len(ready.Parts) > 0 {
		line := readyLine(ready)
		if len(r.Before) > 0 {
			line += "; if " + strings.Join(r.Before, ", ") + " used nothing before"
		}
		lines = append(lines, line)
	}
	for _, line := range lines {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	if len(used) == 0 {
		return nil
	}
	fmt.Fprintln(w)
	table := needTable(look, used, r.Confidence, here)
	if len(r.Before) > 0 {
		table = thenTable(look, used, r.Confidence)
	}
	if err := look.Print(w, table); err != nil {
		return err
	}
	if left := len(r.Parts) - len(used); left > 0 {
		fmt.Fprintf(w, "%d more parts: no need\n", left)
	}
	return notes(w, look, r.Notes)
}

// sortKey puts what is short first.
func sortKey(p forecast.Part) int {
	if shortThen(p) > 0 {
		return 0
	}
	return 1
}

// HereShare is how much of a part is where people are.
type HereShare struct {
	Says string
	Of   func(part string) units.Quantity
}

// shortThen is what is short when the trip is packed: what the trips before leave is too
// little by that, on order or not; else what the stock now is too little by.
func shortThen(p forecast.Part) units.Quantity {
	if p.Then == nil || p.Then.Stock == nil {
		return p.Short
	}
	return p.Then.ShortThen(p.Confidence)
}

func shortLine(parts []forecast.Part, r forecast.Result, here *HereShare) string {
	var short []string
	for _, p := range parts {
		if q := shortThen(p); q > 0 {
			short = append(short, p.Code+" "+units.Say(q, p.Unit))
		}
	}
	at := " at " + term.Percent(r.Confidence)
	if r.At == "" {
		at += ", with everything of ours"
		if here != nil {
			at += " (\"here\": " + here.Says + ")"
		}
	}
	switch len(short) {
	case 0:
		return "no part is short" + at
	case 1:
		return "1 part is short" + at + ": " + short[0]
	}
	return strconv.Itoa(len(short)) + " parts are short" + at + ": " + strings.Join(short, ", ")
}

// askedLine says of what and as of when.
func askedLine(r forecast.Result, clock string) string {
	var trips []string
	for _, t := range r.Horizon.Trips {
		trips = append(trips, t.Code)
	}
	words := "for " + strings.Join(r.Horizon.Codes(), ", ") + " (" + strings.Join(trips, ", ") + "), as of " + r.AsOf.String() + ", with what is "
	if r.At == "" {
		words += "anywhere of ours"
	} else {
		words += "at " + r.At
	}
	if len(r.Before) > 0 {
		words += " after " + strings.Join(r.Before, ", ") + " have used theirs"
	}
	if clock != "" {
		words += "; " + clock
	}
	return words
}

func readyLine(ready forecast.Readiness) string {
	words := "readiness " + term.Percent(ready.All.Joint) + ": the chance that every job left can be done with what is on hand"
	if len(ready.Short) > 0 {
		words += "; " + term.Percent(ready.WithoutShort.Joint) + " but for the " + plural(len(ready.Short), "part") + " below the confidence"
	}
	return words + " (" + ready.All.Method() + ")"
}

func needTable(look term.Look, parts []forecast.Part, confidence float64, here *HereShare) term.Table {
	t := term.Table{Columns: []term.Column{
		{Title: "part"}, {Title: "name", Wrap: true, Least: 22, Drop: 3}, {Title: "expected", Right: true}, {Title: "sd", Right: true, Drop: 4},
		{Title: "at " + term.Percent(confidence), Right: true}, {Title: "as", Drop: 2}, {Title: "on hand", Right: true}, {Title: "here", Right: true, Drop: 1},
		{Title: "on order", Right: true, Drop: 1}, {Title: "short", Right: true}, {Title: "cover", Right: true},
	}}
	for _, p := range parts {
		short := ""
		if p.Short > 0 {
			short = look.Warn(units.Say(p.Short, p.Unit))
		}
		share := ""
		if here != nil {
			share = units.Say(here.Of(p.Code), p.Unit)
		}
		t.Rows = append(t.Rows, []string{p.Code, p.Name, term.Mean(p.Mean, p.Unit), term.Mean(p.SD, p.Unit),
			units.Say(p.AtConfidence, p.Unit), containers(p), units.Say(p.OnHand, p.Unit), share, blankZero(p.OnOrder, p.Unit),
			short, term.PercentBut(p.RunShort)})
	}
	return t
}

// thenTable leads with what will be left once the trips before have used theirs.
func thenTable(look term.Look, parts []forecast.Part, confidence float64) term.Table {
	t := term.Table{Columns: []term.Column{
		{Title: "part"}, {Title: "name", Wrap: true, Least: 22, Drop: 3}, {Title: "expected", Right: true, Drop: 2},
		{Title: "at " + term.Percent(confidence), Right: true}, {Title: "left then", Right: true}, {Title: "short then", Right: true},
		{Title: "cover then", Right: true}, {Title: "on hand now", Right: true, Drop: 1},
	}}
	for _, p := range parts {
		short, left, cover := "", units.Say(p.OnHand, p.Unit), term.PercentBut(p.RunShort)
		if q := shortThen(p); q > 0 {
			short = look.Warn(units.Say(q, p.Unit))
		}
		if p.Then != nil && p.Then.Stock != nil {
			left, cover = leftThen(*p.Then, p.Unit), term.PercentBut(p.Then.Need.RunShort(p.Then.There))
		}
		t.Rows = append(t.Rows, []string{p.Code, p.Name, term.Mean(p.Mean, p.Unit), units.Say(p.AtConfidence, p.Unit), left, short, cover,
			units.Say(p.OnHand, p.Unit)})
	}
	return t
}

// leftThen words what will be left, nine times in ten.
func leftThen(t forecast.Then, u units.Unit) string {
	if t.Low == t.High {
		return units.Say(t.Low, u)
	}
	return units.Say(t.Low, u) + " to " + units.Say(t.High, u)
}

// containers says an amount in what it is carried in, where that is more than a piece.
func containers(p forecast.Part) string {
	if p.Containers == nil || *p.Containers == 0 || p.CarriedIn == "" || (p.Contents != nil && p.Unit == units.PC && *p.Contents == 1) {
		return ""
	}
	return strconv.Itoa(*p.Containers) + " x " + p.CarriedIn
}

func blankZero(q units.Quantity, u units.Unit) string {
	if q == 0 {
		return ""
	}
	return units.Say(q, u)
}

func notes(w io.Writer, look term.Look, all []string) error {
	for _, note := range all {
		if err := look.Say(w, "note: "+note); err != nil {
			return err
		}
	}
	return nil
}
