package answer

import (
	"encoding/csv"
	"io"
	"strconv"

	"github.com/shopspring/decimal"

	"roundkit/planner/series"
)

// HistoryForecast is what history forecast --json prints.
type HistoryForecast struct {
	Length string       `json:"length"` // month or week
	Origin string       `json:"origin"` // the last period that is known
	Method string       `json:"method"`
	Levels []float64    `json:"levels"`
	Rows   []HistoryRow `json:"rows"`
}

// HistoryRow is one part in one period ahead, or a total of some.
type HistoryRow struct {
	Part      string    `json:"part"`
	Horizon   string    `json:"horizon"` // "2", "1-3"
	Quantiles []int64   `json:"quantiles"`
	Within    []float64 `json:"within"` // the forecast's own chance of staying within each
}

// HistoryCSV writes forecasts as a CSV file: part, origin, horizon, a quantile for each level
// and the chance of staying within each.
type HistoryCSV struct {
	to     *csv.Writer
	origin string
	cells  []string
}

// NewHistoryCSV writes the heading.
func NewHistoryCSV(to io.Writer, origin string, levels []float64) (*HistoryCSV, error) {
	w := &HistoryCSV{to: csv.NewWriter(to), origin: origin}
	cells := []string{"part", "origin", "horizon"}
	for _, letter := range []string{"p", "w"} {
		for _, p := range levels {
			cells = append(cells, letter+Percent(p))
		}
	}
	return w, w.to.Write(cells)
}

// Percent writes a chance as a per cent without a sign: 95, 99.5.
func Percent(p float64) string { return decimal.NewFromFloat(p).Shift(2).String() }

// Row writes one row.
func (w *HistoryCSV) Row(r series.Row) error {
	const digits = 6
	w.cells = append(w.cells[:0], r.Part, w.origin, r.Horizon)
	for _, q := range r.Quantiles {
		w.cells = append(w.cells, strconv.FormatInt(q, 10))
	}
	for _, p := range r.Within {
		w.cells = append(w.cells, strconv.FormatFloat(p, 'f', digits, 64))
	}
	return w.to.Write(w.cells)
}

// Close writes what is held back.
func (w *HistoryCSV) Close() error {
	w.to.Flush()
	return w.to.Error()
}
