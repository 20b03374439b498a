package screen

import (
	"fmt"
	"io"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner/calendar"
	"roundkit/planner/papers"
	"roundkit/planner/transport"
	"roundkit/reports/term"
)

// Papers prints which lists a trip needs, by when, and what is still to settle on them;
// the lists themselves are sheets.
func Papers(w io.Writer, look term.Look, p *papers.Papers, clock string) error {
	for _, line := range papersAnswer(p, clock) {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	tables := []term.Table{papersLists(look, p), papersGoods(p)}
	if p.Air != nil {
		tables = append(tables, papersAir(look, p.Air))
	}
	for _, t := range tables {
		if len(t.Rows) == 0 {
			continue
		}
		fmt.Fprintln(w)
		if err := look.Print(w, t); err != nil {
			return err
		}
	}
	return notes(w, look, papersNotes(p))
}

func papersAnswer(p *papers.Papers, clock string) []string {
	head := p.Trip.Code + ": "
	switch {
	case p.Road != nil:
		head += p.Road.Points.String() + fmt.Sprintf(" road points of %d", transport.RoadLimit)
		switch {
		case len(p.Unknown) > 0:
			head += ", and " + plural(len(p.Unknown), "part") + " that could not be counted"
		case !p.Road.Within:
			head += ": over the limit"
		default:
			head += ": within the limit"
		}
	case p.Air.Never > 0:
		head += plural(p.Air.Never, "part") + " packed that must not fly"
	default:
		head += "nothing packed is known not to fly"
	}
	blanks := 0
	for _, l := range p.Lists() {
		blanks += len(l.Blanks)
	}
	if blanks > 0 {
		head += "; " + plural(blanks, "blank") + " to fill in on the lists"
	}
	asked := "as of " + p.AsOf.String()
	if clock != "" {
		asked += ", " + clock
	}
	asked += "; of what is with the trip"
	if !p.Here {
		asked += " and what is to be packed by " + p.PackOn.String()
	}
	return []string{head, asked}
}

func papersLists(look term.Look, p *papers.Papers) term.Table {
	t := term.Table{Columns: []term.Column{{Title: "list"}, {Title: "closes"}, {Title: "lines", Right: true}, {Title: "kg", Right: true},
		{Title: "value " + p.Returnable.Currency, Right: true}, {Title: "to settle", Wrap: true}}}
	for _, l := range p.Lists() {
		closes := "not given"
		if l.Closes != nil {
			closes = l.Closes.String()
			if *l.Closes < p.AsOf {
				closes = look.Warn(closes)
			}
		}
		row := []string{l.Name, closes, fmt.Sprint(l.Lines), "", "", strings.Join(l.Blanks, "; ")}
		if l.Grams.IsPositive() {
			row[3], row[4] = l.Grams.Shift(-3).StringFixed(1), l.Value.StringFixed(2)
		}
		if l.Name == papers.PersonalList {
			row[2] = "form"
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func papersGoods(p *papers.Papers) term.Table {
	t := term.Table{Columns: []term.Column{{Title: "UN"}, {Title: "what", Wrap: true}, {Title: "part"}, {Title: "net", Right: true}, {Title: "category", Right: true, Drop: 2},
		{Title: "points", Right: true}, {Title: "limited quantity", Drop: 1}, {Title: "where", Wrap: true, Drop: 3}}}
	for _, g := range p.Goods {
		small := "no"
		switch {
		case g.Free:
			small = "free of the rules"
		case g.Small:
			small = "possible"
		}
		points := g.Points.String()
		if p.Trip.GoesBy == calendar.Air {
			points = ""
		}
		t.Rows = append(t.Rows, []string{strings.TrimSpace(g.UN + " " + g.Code), g.Name, g.Part, atMost(g) + measured(g.Amount, g.Measure),
			fmt.Sprint(g.Category), points, small, strings.Join(g.Where, ", ")})
	}
	return t
}

func atMost(g transport.Dangerous) string {
	if g.AtMost {
		return "at most "
	}
	return ""
}

// measured writes an amount in its measure: "5 l water capacity".
func measured(amount decimal.Decimal, m transport.Measure) string {
	return amount.Round(3).String() + " " + strings.Replace(string(m), ",", " of", 1)
}

func papersAir(look term.Look, a *transport.Air) term.Table {
	t := term.Table{Columns: []term.Column{{Title: "flies"}, {Title: "part", Wrap: true}, {Title: "packed"}, {Title: "why", Wrap: true}}}
	type key struct {
		verdict, aboard, why string
	}
	at := map[key]int{}
	for _, f := range a.Flagged {
		aboard := "no"
		if f.Aboard {
			aboard = strings.Join(f.Where, ", ")
		}
		verdict := string(f.Verdict)
		if f.Verdict == transport.NeverFlies && f.Aboard {
			verdict = look.Warn(verdict)
		}
		// What the same is said of shares a row: nine oils are one question to the carrier.
		if k, ok := at[key{verdict, aboard, f.Why}]; ok {
			t.Rows[k][1] += ", " + f.Part
			continue
		}
		at[key{verdict, aboard, f.Why}] = len(t.Rows)
		t.Rows = append(t.Rows, []string{verdict, f.Part, aboard, f.Why})
	}
	return t
}

func papersNotes(p *papers.Papers) []string {
	var out []string
	for _, u := range p.Unknown {
		out = append(out, "not counted, "+u)
	}
	for _, g := range p.Goods {
		if g.Taken != "" {
			out = append(out, g.Part+": "+g.Taken)
		}
	}
	out = append(out, p.Past...)
	if r := p.Road; r != nil {
		if len(r.Confirm) > 0 {
			out = append(out, "no UN number, counted as not dangerous; section 14 of the data sheet says whether that is right: "+strings.Join(r.Confirm, ", "))
		}
		if r.Warning != "" {
			out = append(out, r.Warning)
		}
	}
	if p.Air != nil && p.Air.Warning != "" {
		out = append(out, p.Air.Warning)
	}
	for _, m := range p.Missing {
		out = append(out, "to list by hand: "+m)
	}
	if p.NoBorder {
		return append(out, "no border with customs is crossed: no list for customs is due", transport.Caution)
	}
	return append(out, transport.Caution, transport.CustomsCaution)
}
