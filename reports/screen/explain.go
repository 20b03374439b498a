package screen

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"roundkit/planner/forecast"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

const (
	bars     = 12 // rows of the picture
	barWidth = 40 // letters of its longest bar
)

// Explain prints the reasons of one part's forecast on one screen: what is wanted and
// there, line by line, and a picture of the distribution.
func Explain(w io.Writer, look term.Look, x forecast.Explanation, clock string) error {
	p := x.Part
	head := p.Code
	if p.Name != "" {
		head += ", " + p.Name
	}
	head += ": expected " + term.Mean(p.Mean, p.Unit) + ", " + units.Say(p.AtConfidence, p.Unit) + " at " + term.Percent(p.Confidence)
	if as := containers(p); as != "" {
		head += " (" + as + ")"
	}
	have := "on hand " + units.Say(p.OnHand, p.Unit) + ", enough with " + term.PercentBut(p.RunShort) +
		", runs short with " + term.Percent(p.RunShort)
	if p.OnOrder > 0 {
		have += "; on order " + units.Say(p.OnOrder, p.Unit)
	}
	lines := []string{head, askedLine(x.Result, clock), have}
	if t := p.Then; t != nil && t.Stock != nil {
		lines = append(lines, fmt.Sprintf("of it %s left then, enough with %s; %s short then", leftThen(*t, p.Unit),
			term.PercentBut(t.Need.RunShort(t.There)), units.Say(t.ShortThen(p.Confidence), p.Unit)))
	}
	for _, line := range lines {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	if p.Short > 0 {
		fmt.Fprintln(w, look.Warn("short "+units.Say(p.Short, p.Unit)))
	}
	if len(x.Terms) > 0 {
		fmt.Fprintln(w)
		if err := look.Print(w, terms(x)); err != nil {
			return err
		}
	}
	if p.Mean > 0 {
		fmt.Fprintln(w)
		if err := picture(w, look, p); err != nil {
			return err
		}
	}
	for _, s := range slices.Concat(riders(x.Springs), standIns(p), kits(p)) {
		if err := look.Say(w, s); err != nil {
			return err
		}
	}
	if p.Coarse != "" {
		x.Result.Notes = append(x.Result.Notes, p.Coarse)
	}
	return notes(w, look, x.Result.Notes)
}

func terms(x forecast.Explanation) term.Table {
	t := term.Table{Columns: []term.Column{
		{Title: "round"}, {Title: "service"}, {Title: "line", Wrap: true}, {Title: "jobs", Right: true},
		{Title: "wet", Right: true, Drop: 3}, {Title: "if dry", Right: true, Drop: 1}, {Title: "if wet", Right: true, Drop: 1},
		{Title: "expected", Right: true}, {Title: "at " + term.Percent(x.Confidence), Right: true}, {Title: ""},
	}}
	for _, r := range x.Terms {
		var words []string
		if r.Unplanned {
			words = append(words, "unplanned")
		}
		if r.Stops {
			words = append(words, "stopper")
		}
		wet, round := term.Percent(r.Wet), r.Round
		if round == "" {
			round, wet = "all", ""
		}
		jobs := ""
		if r.Jobs > 0 {
			jobs = term.Number(r.Jobs, 2)
		}
		t.Rows = append(t.Rows, []string{round, r.Service, r.Line, jobs, wet, term.Mean(r.Dry, x.Unit), term.Mean(r.Rain, x.Unit),
			term.Mean(r.Mean, x.Unit), units.Say(r.AtConfidence, x.Unit), strings.Join(words, ", ")})
	}
	return t
}

// picture draws the distribution: what is on hand splits it.
func picture(w io.Writer, look term.Look, p forecast.Part) error {
	all, most := p.Picture(bars), 0.0
	for _, b := range all {
		most = max(most, b.Chance)
	}
	t := term.Table{Columns: []term.Column{{Title: "need", Right: true}, {Title: "chance", Right: true}, {Title: ""}, {Title: ""}}}
	for _, b := range all {
		span := units.Say(b.From, p.Unit)
		if b.To > b.From {
			span += " to " + units.Say(b.To, p.Unit)
		}
		var words []string
		if b.Reaches {
			words = append(words, "<- "+term.Percent(p.Confidence))
		}
		if !b.Covered {
			words = append(words, "more than on hand")
		}
		bar := look.Bar(b.Chance/most, barWidth)
		if !b.Covered {
			bar = look.Warn(bar)
		}
		t.Rows = append(t.Rows, []string{span, term.Percent(b.Chance), bar, strings.Join(words, ", ")})
	}
	return look.Print(w, t)
}

// riders says who may want a spring, round by round.
func riders(rounds []forecast.SpringRound) []string {
	var lines []string
	for _, round := range rounds {
		var who []string
		for _, r := range round.Riders {
			if r.Chance > 0 {
				who = append(who, fmt.Sprintf("%s %s (for %d, %d fitted)", r.Rider, term.Percent(r.Chance), r.Bikes, r.Fitted))
			}
		}
		if len(who) > 0 {
			lines = append(lines, round.Round+" wanted by "+strings.Join(who, ", "))
		}
	}
	return lines
}

func standIns(p forecast.Part) []string {
	var lines []string
	for _, s := range p.StandIns {
		words := s.Part + " may stand in: " + units.Say(s.OnHand, s.Unit) + " on hand"
		if s.Tag != "" {
			words = s.Tag + " (" + s.Part + ") may stand in: its rate is " + term.Number(s.OffPercent, 1) + " % off"
		}
		lines = append(lines, words)
	}
	return lines
}

func kits(p forecast.Part) []string {
	if p.Kits == nil {
		return nil
	}
	k := p.Kits
	lines := []string{"with kits to be opened for loose parts: expected " + term.Number(k.Mean, 2) + ", " +
		strconv.Itoa(k.AtConfidence) + " at " + term.Percent(p.Confidence) + ", what is on hand is enough with " + term.Percent(k.Cover)}
	for _, part := range k.Parts {
		lines = append(lines, "  "+part.Part+": "+strconv.Itoa(part.PerKit)+" a kit, "+units.Say(part.Loose, units.PC)+
			" loose, run short with "+term.Percent(part.Short))
	}
	return lines
}
