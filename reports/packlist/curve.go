package packlist

import (
	"fmt"
	"strconv"

	"github.com/xuri/excelize/v2"

	"roundkit/planner/load"
	"roundkit/reports/house"
)

const curveName = "kilos"

var curveWidths = []float64{14, 14, 14, 14, 14, 14, 14}

// curveSheet draws what each kilo buys, the figures below the chart.
func (b *book) curveSheet(t *load.Trade) error {
	s, err := b.newSheet(curveName, page{widths: curveWidths})
	if err != nil {
		return err
	}
	last := len(curveWidths)
	err = firstOf(
		s.wide(b.styles.title, 1, last, "What each kilo buys: "+b.tripName()),
		s.wide(b.styles.subtitle, 1, last, fmt.Sprintf("readiness of the trip (product over the parts, those listed short left out) against the kilos of what is packed and what stays; the load as asked for has %s kg and %s",
			t.Kilos.StringFixed(1), percent(t.Ready))),
	)
	if err != nil {
		return err
	}
	for _, n := range t.Notes {
		if err := s.wide(b.styles.subtitle, 1, last, n); err != nil {
			return err
		}
	}
	chartAt := s.row + 1
	for range chartRows {
		if err := s.add(0); err != nil {
			return err
		}
	}
	if err := s.heads([]string{"up to kg", "packed kg", "readiness", "at most"}, 0, 1, 2, 3); err != nil {
		return err
	}
	first := s.row + 1
	for _, p := range t.Points {
		err := s.add(0, excelize.Cell{StyleID: b.styles.kilos, Value: p.Most}, excelize.Cell{StyleID: b.styles.kilos, Value: p.Used},
			excelize.Cell{StyleID: b.styles.percent, Value: p.Readiness}, excelize.Cell{StyleID: b.styles.percent, Value: p.Bound})
		if err != nil {
			return err
		}
	}
	to := s.row
	at := func(column string) string {
		return fmt.Sprintf("%s!$%s$%d:$%s$%d", curveName, column, first, column, to)
	}
	title := func(words string) excelize.ChartTitle {
		return excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: words, Font: &excelize.Font{Family: house.Font, Size: 9, Color: "000000"}}}}
	}
	font := excelize.Font{Family: house.Font, Size: 9, Color: "000000"}
	low, high := t.Points[0].Most, t.Points[len(t.Points)-1].Most
	zero, one := 0.0, 1.0
	// The chart comes before the rows are flushed: what is added later is lost.
	err = b.AddChart(curveName, "A"+strconv.Itoa(chartAt), &excelize.Chart{
		Type: excelize.Scatter,
		Series: []excelize.ChartSeries{{Name: "best readiness", Categories: at("A"), Values: at("C"), Line: excelize.LineOptions{Type: excelize.LineSolid, Width: 2, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{house.Dark}}},
			Marker: excelize.ChartMarker{Symbol: "none"}}},
		XAxis:     excelize.ChartAxis{Title: title("kg"), Minimum: &low, Maximum: &high, Font: font, NumFmt: excelize.ChartNumFmt{CustomNumFmt: "0.0"}},
		YAxis:     excelize.ChartAxis{Title: title("readiness"), Minimum: &zero, Maximum: &one, Font: font, MajorGridLines: true, NumFmt: excelize.ChartNumFmt{CustomNumFmt: "0%"}},
		Legend:    excelize.ChartLegend{Position: "none"},
		Dimension: excelize.ChartDimension{Width: 700, Height: chartRows*18 - 10},
	})
	if err != nil {
		return err
	}
	return s.Flush()
}

// chartRows is how many rows the chart covers.
const chartRows = 18
