package demand

import (
	"fmt"
	"math"
)

// Intermittent forecasts a series of uses with many zeros, one period ahead after
// each period, by smoothing. Sources: Croston, Operational Research Quarterly 23
// (1972) 289; Syntetos and Boylan, International Journal of Forecasting 21 (2005)
// 303; Teunter, Syntetos and Babai, European Journal of Operational Research 214
// (2011) 606. Each gives a mean only, not a distribution. The first size starts
// the sizes and the period of the first use (from 1) the interval.
type Intermittent struct {
	Method         Method
	SizeWeight     float64 // smoothing constant of the sizes, 0..1
	IntervalWeight float64 // of the intervals; with TSB, of the chance of a use
}

// Method is how an intermittent series is smoothed.
type Method string

// The methods: Croston's; the same less its bias (SBA); with a chance that falls
// while nothing is used (TSB).
const (
	Croston Method = "croston"
	SBA     Method = "sba"
	TSB     Method = "tsb"
)

// Forecast returns the forecast made after each period, in units per period; the
// last is for the period to come. A series without any use gives 0.
func (m Intermittent) Forecast(series []float64) ([]float64, error) {
	if err := m.validate(series); err != nil {
		return nil, err
	}
	first := 0
	for first < len(series) && series[first] == 0 {
		first++
	}
	out := make([]float64, len(series))
	if first == len(series) {
		return out, nil
	}
	size, interval, since := series[first], float64(first+1), 0
	use := 1 / interval // TSB: the chance of a use in a period
	for t, x := range series {
		if m.Method == TSB {
			used := 0.0
			if x > 0 {
				used = 1
			}
			use += m.IntervalWeight * (used - use)
		}
		if t > first {
			since++
		}
		if x > 0 && t > first {
			size += m.SizeWeight * (x - size)
			interval += m.IntervalWeight * (float64(since) - interval)
			since = 0
		}
		switch {
		case m.Method == TSB:
			out[t] = size * use
		case t < first:
			out[t] = 0
		case m.Method == SBA:
			out[t] = (1 - m.IntervalWeight/2) * size / interval
		default:
			out[t] = size / interval
		}
	}
	return out, nil
}

func (m Intermittent) validate(series []float64) error {
	if m.Method != Croston && m.Method != SBA && m.Method != TSB {
		return fmt.Errorf("method: found %q, expected croston, sba or tsb", m.Method)
	}
	if len(series) == 0 {
		return fmt.Errorf("series: found no periods, expected at least one")
	}
	for t, x := range series {
		if err := within(fmt.Sprintf("series, period %d", t+1), x, 0, MaxReal); err != nil {
			return err
		}
	}
	return firstErr(chance("size weight", m.SizeWeight), chance("interval weight", m.IntervalWeight))
}

// Summary is what a sample says of its source.
type Summary struct {
	N        int
	Mean, SD float64 // SD divides by N - 1
}

// Sample returns the mean and standard deviation of two or more values. The first
// value is taken off before Welford's update (Technometrics 4 (1962) 419), so
// that ten million plus or minus 0.1 keeps its digits.
func Sample(values []float64) (Summary, error) {
	if len(values) < 2 {
		return Summary{}, fmt.Errorf("values: found %d, expected at least two", len(values))
	}
	base := values[0]
	mean, squares := compensated{}, compensated{}
	for i, x := range values {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return Summary{}, fmt.Errorf("values, entry %d: found %v, expected a number", i+1, x)
		}
		dev := x - base - mean.value()
		mean.add(dev / float64(i+1))
		squares.add(dev * (x - base - mean.value()))
	}
	n := len(values)
	return Summary{N: n, Mean: base + mean.value(), SD: math.Sqrt(max(0, squares.value()) / float64(n-1))}, nil
}
