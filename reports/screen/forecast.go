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
	used := slices.DeleteFunc(slices.Clone(r.Parts), func(p forecast.Part) bool { return p.Mean == 0 && p.Short == 0 })
	slices.SortStableFunc(used, func(a, b forecast.Part) int { return cmp.Compare(sortKey(a), sortKey(b)) })
	lines := []string{shortLine(used, r, here), askedLine(r, clock)}
	if len(ready.Parts) > 0 {
		lines = append(lines, readyLine(ready))
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
	if err := look.Print(w, needTable(look, used, r.Confidence, here)); err != nil {
		return err
	}
	if left := len(r.Parts) - len(used); left > 0 {
		fmt.Fprintf(w, "%d more parts: no need\n", left)
	}
	return notes(w, look, r.Notes)
}

// sortKey puts what is short first.
func sortKey(p forecast.Part) int {
	if p.Short > 0 {
		return 0
	}
	return 1
}

// HereShare is how much of a part is where people are.
type HereShare struct {
	Says string
	Of   func(part string) units.Quantity
}

func shortLine(parts []forecast.Part, r forecast.Result, here *HereShare) string {
	var short []string
	for _, p := range parts {
		if p.Short > 0 {
			short = append(short, p.Code+" "+units.Say(p.Short, p.Unit))
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
