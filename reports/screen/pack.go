package screen

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"roundkit/planner/load"
	"roundkit/planner/units"
	"roundkit/reports/term"
)

// Pack prints what is to be packed for a trip: how ready it makes the trip, what is short,
// what goes where.
func Pack(w io.Writer, look term.Look, r *load.Result, clock string) error {
	for _, line := range packAnswer(r, clock) {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	if len(r.Short) > 0 {
		fmt.Fprintln(w)
		if err := look.Print(w, packShort(look, r)); err != nil {
			return err
		}
	}
	if len(r.Lines) > 0 {
		fmt.Fprintln(w)
		if err := look.Print(w, packLines(r)); err != nil {
			return err
		}
	}
	return notes(w, look, append(packSteps(r), r.Notes...))
}

func packAnswer(r *load.Result, clock string) []string {
	head := fmt.Sprintf("%s: %d lines to pack by %s, %s", r.Trip.Code, len(r.Lines), r.PackOn, kilos(r))
	if len(r.Lines) == 0 {
		head = fmt.Sprintf("%s: nothing to pack, all that can be had is there", r.Trip.Code)
		if n := len(r.Short); n == 1 {
			head = fmt.Sprintf("%s: nothing to pack by %s: %s is short and no more of it can be had", r.Trip.Code, r.PackOn, r.Short[0].Part.Code)
		} else if n > 1 {
			head = fmt.Sprintf("%s: nothing to pack by %s: %d parts are short and no more of them can be had", r.Trip.Code, r.PackOn, n)
		}
	}
	asked := "as of " + r.AsOf.String() + ", " + packAsked(r)
	if clock != "" {
		asked += ", " + clock
	}
	ready := "readiness of the trip (every job can be done): " + term.Percent(r.Readiness.Simulated)
	if r.Readiness.SE > 0 {
		ready += fmt.Sprintf(" (simulated, standard error %.2g)", r.Readiness.SE)
	}
	ready += "; product over the parts " + term.Percent(r.Readiness.Product)
	if len(r.Short) > 0 {
		ready += "; without the parts listed short " + term.Percent(r.Readiness.ProductWithoutShort)
	}
	if offer := r.OfferWords(); offer != "" {
		ready += "; " + offer
	}
	return append([]string{head, asked, ready}, packProof(r)...)
}

// packAsked says what the load was chosen for.
func packAsked(r *load.Result) string {
	a := r.Asked
	text := "each part at " + term.Percent(r.Confidence) + " where it can be had"
	switch a.For {
	case load.ForReadiness:
		text = fmt.Sprintf("the least %s with which every job can be done with a chance of %s", a.Least.What, term.Percent(a.Readiness))
		if len(a.Without) > 0 {
			text += " but for " + strings.Join(a.Without, ", ")
		}
		text += ": " + term.Percent(a.Reached)
		if a.SE > 0 {
			text += fmt.Sprintf(" (drawn, standard error %.2g)", a.SE)
		} else {
			text += " (the exact mixture over the weather)"
		}
	case load.ForMost:
		text = "the greatest readiness within the limits"
	}
	if a.Fallback != "" {
		text += "; " + a.Fallback
	}
	return text
}

// packProof says how far the load is proven, and what was given up.
func packProof(r *load.Result) []string {
	var out []string
	a := r.Asked
	if a.Least != nil {
		unit := map[string]string{load.WhyKilos: "kg", load.WhyLitres: "l", load.WhyMoney: r.Spend.Currency}[a.Least.What]
		out = append(out, fmt.Sprintf("proven: no load with a product of %.4f has less than %.3f %s; this one has %.3f", a.Least.Product, a.Least.Bound, unit, a.Least.Amount))
	}
	if a.For == load.ForMost {
		out = append(out, fmt.Sprintf("proven: no load within the limits has a product above %s; this one has %s (gap %.2g)", term.Percent(a.Bound), term.Percent(a.Product), max(0, a.Bound-a.Product)))
	}
	if a.Stopped {
		out = append(out, "the time is up: this is the best so far, the bound is true; --seconds gives it longer")
	}
	var given []string
	for _, s := range r.Short {
		if s.GivenUp {
			given = append(given, s.Part.Code)
		}
	}
	if len(given) > 0 {
		text := "given up, what is used for certain is not all there: " + strings.Join(given, ", ")
		var jobs []string
		for _, s := range r.Services {
			if slices.Contains(given, s.Least) {
				jobs = append(jobs, s.Code)
			}
		}
		if len(jobs) > 0 {
			text += "; jobs that cannot be saved: " + strings.Join(jobs, ", ")
		}
		out = append(out, text)
	}
	return out
}

func kilos(r *load.Result) string {
	text := units.SayMass(units.Milligrams(r.Grams.Shift(3).IntPart())) + " and " + units.Say(r.UL, units.ML)
	for _, l := range r.Limits {
		text += fmt.Sprintf("; %s %s of %s %s", l.What, l.Used.Round(2), l.Most, l.Per)
	}
	return text
}

func packShort(look term.Look, r *load.Result) term.Table {
	t := term.Table{Columns: []term.Column{{Title: "short"}, {Title: "name", Wrap: true, Drop: 1}, {Title: "wanted", Right: true}, {Title: "have", Right: true},
		{Title: "enough", Right: true}, {Title: "why"}, {Title: "what may help", Wrap: true}}}
	for _, s := range r.Short {
		t.Rows = append(t.Rows, []string{look.Warn(s.Part.Code), s.Part.Name, units.Say(s.Need, s.Part.Unit), units.Say(s.Have, s.Part.Unit),
			term.Percent(s.Chance), s.Why, s.Remedy})
	}
	return t
}

func packLines(r *load.Result) term.Table {
	t := term.Table{Columns: []term.Column{{Title: "into"}, {Title: "part"}, {Title: "name", Wrap: true, Drop: 1}, {Title: "quantity", Right: true}, {Title: "enough", Right: true, Drop: 4},
		{Title: "from"}, {Title: "tag or lot"}, {Title: "good until", Drop: 2}}}
	for _, l := range r.Lines {
		from := l.Place
		if l.Order != "" {
			from = "order " + l.Order
		}
		t.Rows = append(t.Rows, []string{l.Case, l.Part.Code, l.Part.Name, units.Say(l.Quantity, l.Part.Unit), term.Percent(l.Chance), from, tagOrLot(l.Tag, l.Lot), optional(l.Expires)})
	}
	return t
}

func packSteps(r *load.Result) []string {
	var out []string
	for _, l := range r.Limits {
		if l.Binds {
			out = append(out, fmt.Sprintf("the limit of %s binds: with one %s more the readiness could be %s, now it is %s", l.What, l.Per, term.Percent(l.OneMore), term.Percent(r.Readiness.ProductWithoutShort)))
		}
	}
	if s := r.NextToAdd; s != nil {
		out = append(out, fmt.Sprintf("next to add: %s (%s), readiness then %s", s.Part.Code, s.Container, term.Percent(s.Readiness)))
	}
	if s := r.FirstToLeave; s != nil {
		out = append(out, fmt.Sprintf("first to leave home: %s (%s), readiness then %s", s.Part.Code, s.Container, term.Percent(s.Readiness)))
	}
	if slices.ContainsFunc(r.Lines, func(l load.Line) bool { return l.Layer != "" }) {
		out = append(out, "the lines of a case are in the order of putting in: fluids and heavy things at the bottom, what is needed first last, on top")
	}
	seen := map[string]bool{}
	for _, l := range r.Lines {
		for _, c := range l.Cautions(r.Trip.GoesBy == "air") {
			if !seen[c] && !strings.HasPrefix(c, "opened ") { // that stands beside each bottle on the list
				seen[c] = true
				out = append(out, strings.TrimSpace(c))
			}
		}
	}
	return out
}
