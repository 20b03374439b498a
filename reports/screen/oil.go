package screen

import (
	"fmt"
	"io"
	"math"
	"strings"

	"roundkit/planner/mix"
	"roundkit/planner/oil"
	"roundkit/reports/answer"
	"roundkit/reports/term"
)

// OilCautions stand under every mix.
var OilCautions = []string{
	"Mix only what both makers allow, and record it: nothing here knows additives, base oils or seals. The decision is yours.",
	"An estimate: most suspension oils are polymer-thickened. Try a small amount in a clear glass first; cloudy or in layers means no.",
	"Viscosity in cSt at 40 C is what an oil is; the weight on its label is a name and means nothing across brands.",
}

// OilBlend prints what can be made of the oils at a place. own is the wanted oil as it is,
// where it is one of the catalogue.
func OilBlend(w io.Writer, look term.Look, a mix.Answer, own *mix.Oil, when, at string) error {
	for _, line := range oilAnswer(a, when, at) {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	for _, t := range []term.Table{oilMixes(look, a), oilLines(a, own)} {
		if len(t.Rows) == 0 {
			continue
		}
		fmt.Fprintln(w)
		if err := look.Print(w, t); err != nil {
			return err
		}
	}
	var out []string
	past := append([]mix.Oil{}, a.Oils...)
	if own != nil {
		past = append(past, *own)
	}
	for _, o := range past {
		if o.PastML > 0 {
			out = append(out, fmt.Sprintf("%s: %s more are past their date and left out: ask first", o.Part, ml(o.PastML)))
		}
	}
	if len(a.Mixes) > 0 {
		if a.Mixes[0].Line != nil {
			out = append(out, "~ lies outside the two known points, 40 and 100 C: the colder, the less sure")
		}
		out = append(out, OilCautions...)
	}
	return notes(w, look, out)
}

func oilAnswer(a mix.Answer, when, at string) []string {
	what := fmt.Sprintf("%s cSt at 40 C", term.Number(a.Want.CSt40, 2))
	if a.Want.Part != "" {
		what = a.Want.Part + " (" + what + ")"
	}
	where := "anywhere of ours"
	if at != "" {
		where = "at " + at
	}
	asked := when + ", with what is " + where
	if a.ShortML == 0 {
		return []string{fmt.Sprintf("%s: %s are here, %s wanted: nothing to mix", what, ml(a.HaveML), ml(a.Want.ML)), asked}
	}
	head := fmt.Sprintf("%s: %s wanted", what, ml(a.Want.ML))
	if a.Want.Part != "" {
		head += fmt.Sprintf(", %s here, %s short", ml(a.HaveML), ml(a.ShortML))
	}
	switch {
	case len(a.Mixes) > 0 && a.Mixes[0].Enough:
		head += "; " + recipe(a.Mixes[0])
	case len(a.Mixes) > 0:
		head += "; the bottles here do not hold enough for any mix"
	case len(a.Oils) == 0:
		head += "; no other oil of a known viscosity is here"
	default:
		head += fmt.Sprintf("; the other oils here are %s to %s cSt: a blend cannot leave its oils", term.Number(a.Thinnest, 1), term.Number(a.Thickest, 1))
	}
	return []string{head, asked}
}

// recipe is "63.9 ml of OIL-D16 to 148.9 ml of OIL-D22 make 20.3 cSt (9 % thinner)".
func recipe(m mix.Mix) string {
	var parts []string
	for _, s := range m.Shares {
		parts = append(parts, ml(s.ML)+" of "+s.Oil.Part)
	}
	return fmt.Sprintf("%s make %s cSt%s", strings.Join(parts, " and "), term.Number(m.CSt40, 1), offWords(m.Off))
}

func offWords(off float64) string {
	switch {
	case math.Abs(off) < 0.005:
		return ""
	case off < 0:
		return fmt.Sprintf(" (%.0f %% thinner)", -100*off)
	}
	return fmt.Sprintf(" (%.0f %% thicker)", 100*off)
}

func ml(v float64) string { return term.Number(v, 1) + " ml" }

func oilMixes(look term.Look, a mix.Answer) term.Table {
	t := term.Table{Columns: []term.Column{{Title: "mix"}, {Title: "of", Wrap: true}, {Title: "share", Right: true}, {Title: "cSt at 40 C", Right: true},
		{Title: "off", Right: true}, {Title: "index", Right: true, Drop: 2}, {Title: "the bottles", Wrap: true, Least: 11}}}
	for i, m := range a.Mixes {
		var of, share []string
		for _, s := range m.Shares {
			of = append(of, fmt.Sprintf("%s %s", ml(s.ML), s.Oil.Part))
			share = append(share, term.Number(100*s.Fraction, 1)+" %")
		}
		state := "enough"
		if !m.Enough {
			state = "not enough"
		}
		another := a.Want.Part != "" && !m.SameUse
		if another {
			state += ", of another use"
		}
		if another || !m.Enough {
			state = look.Warn(state)
		}
		index := ""
		if m.Index != nil {
			index = fmt.Sprintf("%.0f", m.Index.Value)
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(i + 1), strings.Join(of, "\n"), strings.Join(share, "\n"), term.Number(m.CSt40, 2), percentOff(m.Off), index, state})
	}
	return t
}

func percentOff(off float64) string {
	if math.Abs(off) < 0.0005 {
		return "0 %"
	}
	return fmt.Sprintf("%+.1f %%", 100*off)
}

// oilLines is the viscosity of each mix over temperature, beside the wanted oil's.
func oilLines(a mix.Answer, own *mix.Oil) term.Table {
	t := term.Table{Columns: []term.Column{{Title: "cSt at", Right: true}}}
	var lines []*oil.Line
	if own != nil && own.CSt100 > 0 {
		if l, err := oil.NewLine(oil.Point{C: 40, CSt: own.CSt40}, oil.Point{C: 100, CSt: own.CSt100}); err == nil {
			t.Columns = append(t.Columns, term.Column{Title: own.Part, Right: true})
			lines = append(lines, &l)
		}
	}
	for i, m := range a.Mixes {
		if m.Line != nil {
			t.Columns = append(t.Columns, term.Column{Title: fmt.Sprintf("mix %d", i+1), Right: true})
			lines = append(lines, m.Line)
		}
	}
	if len(a.Mixes) == 0 || len(lines) == 0 {
		return term.Table{}
	}
	for _, c := range answer.LineC {
		row := []string{term.Number(c, 0) + " C"}
		for _, l := range lines {
			cst, beyond, err := l.At(c)
			if err != nil {
				row = append(row, "")
				continue
			}
			text := term.Number(cst, 1)
			if beyond {
				text = "~" + text // outside the two measured points
			}
			row = append(row, text)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
