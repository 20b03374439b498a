package packlist

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"

	"roundkit/planner/load"
	"roundkit/reports/house"
)

// The picture, in points: its size, and where the axes stand.
const (
	pictureWide, pictureTall = 640.0, 400.0
	plotLeft, plotTop        = 60.0, 50.0
	plotRight, plotBottom    = 620.0, 340.0
	ticks                    = 5
)

// Picture draws what each kilo buys, as an SVG.
func Picture(w io.Writer, r *load.Result, t *load.Trade) error {
	if len(t.Points) < 2 {
		return fmt.Errorf("curve: found %d points, expected 2 or more", len(t.Points))
	}
	low, high := t.Points[0].Most, t.Points[len(t.Points)-1].Most
	span := max(high-low, 1e-9)
	x := func(kg float64) float64 { return plotLeft + (kg-low)/span*(plotRight-plotLeft) }
	y := func(p float64) float64 { return plotBottom - p*(plotBottom-plotTop) }
	var b strings.Builder
	text := func(atX, atY float64, anchor, words string) {
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="%s">`, atX, atY, anchor)
		_ = xml.EscapeText(&b, []byte(words)) // a strings.Builder never fails
		b.WriteString("</text>\n")
	}
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" font-family="Arial, sans-serif" font-size="12" fill="#000">`+"\n", pictureWide, pictureTall)
	fmt.Fprintf(&b, "<rect width=\"%.0f\" height=\"%.0f\" fill=\"#fff\"/>\n", pictureWide, pictureTall)
	text(plotLeft, 24, "start", "What each kilo buys: "+strings.TrimSpace(r.Trip.Code+" "+r.Trip.Name))
	for k := range ticks + 1 {
		p, kg := float64(k)/ticks, low+span*float64(k)/ticks
		fmt.Fprintf(&b, `<line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f" stroke="#ccc"/>`+"\n", plotLeft, y(p), plotRight, y(p))
		text(plotLeft-8, y(p)+4, "end", fmt.Sprintf("%.0f %%", p*100))
		text(x(kg), plotBottom+18, "middle", fmt.Sprintf("%.1f", kg))
	}
	text((plotLeft+plotRight)/2, plotBottom+42, "middle", "kg packed and on the trip already")
	text(plotLeft, plotTop-10, "start", "readiness of the trip")
	b.WriteString(`<polyline fill="none" stroke="#` + house.Dark + `" stroke-width="2" points="`)
	for k, p := range t.Points {
		if k > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, "%.1f,%.1f", x(p.Most), y(p.Readiness))
	}
	b.WriteString("\"/>\n")
	if kg := t.Kilos.InexactFloat64(); kg >= low && kg <= high {
		fmt.Fprintf(&b, `<circle cx="%.1f" cy="%.1f" r="5" fill="#c0392b"/>`+"\n", x(kg), y(t.Ready))
		anchor, dx := "start", 10.0
		if kg > low+span/2 {
			anchor, dx = "end", -10.0
		}
		text(x(kg)+dx, y(t.Ready)+16, anchor, fmt.Sprintf("as asked for: %.1f kg, %s", kg, percent(t.Ready)))
	}
	b.WriteString("</svg>\n")
	_, err := io.WriteString(w, b.String())
	return err
}
