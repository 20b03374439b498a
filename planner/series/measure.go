package series

// Levels are those that methods are measured at.
var levels = []float64{0.5, 0.9, 0.95, 0.98}

// Score is how forecasts did, by level: 0.5, 0.9, 0.95, 0.98.
type Score struct {
	Loss    [4]float64 // pinball loss over 1 + the part's mean use in as many periods, averaged
	Covered [4]float64 // how often use stayed within
	Stated  [4]float64 // how often the forecasts said it would
	n       float64
}

// Mean is the one number to compare: the average loss at the three high levels.
func (s Score) Mean() float64 { return (s.Loss[1] + s.Loss[2] + s.Loss[3]) / 3 }

// Off is covered less stated.
func (s Score) Off() (off [4]float64) {
	for i := range off {
		off[i] = s.Covered[i] - s.Stated[i]
	}
	return off
}

func (s *Score) add(r *Row, came int64, unit float64) {
	for i, p := range levels {
		e := float64(came - r.Quantiles[i])
		loss := (p - 1) * e
		if e >= 0 {
			loss = p * e
			if e == 0 {
				loss = 0
			}
		}
		s.Loss[i] += loss / unit
		if came <= r.Quantiles[i] {
			s.Covered[i]++
		}
		s.Stated[i] += r.Within[i]
	}
	s.n++
}

func (s *Score) average() {
	for i := range levels {
		s.Loss[i] /= s.n
		s.Covered[i] /= s.n
		s.Stated[i] /= s.n
	}
}

// Scores are of single periods 1 to 6 ahead, and of the total of the next three.
type Scores struct{ Months, Total Score }

// Measure forecasts from each of the last origins of a table what came then, and scores it. Each
// forecast sees the table up to its origin and nothing after; a model starts its search where the
// one before ended.
func Measure(t *Table, method Method, origins int) (out Scores, err error) {
	const single, total = 6, 3
	o := Options{Horizon: single, Totals: []Span{{1, total}}, Levels: levels, Method: method}
	whole := map[string][]int32{}
	unit := map[string]float64{}
	for _, p := range t.Parts {
		whole[p.Code] = p.Used
		n, sum := len(p.Used)-origins, 0.0
		for _, y := range p.Used[:max(n, 0)] {
			sum += float64(y)
		}
		unit[p.Code] = sum / max(1, float64(n))
	}
	var m *Model
	for back := origins; back >= 1; back-- {
		then := t.Until(back)
		if m, err = Fit(then, o, m); err != nil {
			return out, err
		}
		seen, at := "", 0
		err = m.Forecast(then, o, func(r Row) error {
			if at++; r.Part != seen {
				seen, at = r.Part, 1
			}
			used := whole[r.Part]
			n := len(used) - back
			if at > single {
				if n+total <= len(used) {
					sum := int64(0)
					for _, y := range used[n : n+total] {
						sum += int64(y)
					}
					out.Total.add(&r, sum, 1+total*unit[r.Part])
				}
			} else if n+at <= len(used) {
				out.Months.add(&r, int64(used[n+at-1]), 1+unit[r.Part])
			}
			return nil
		})
		if err != nil {
			return out, err
		}
	}
	out.Months.average()
	out.Total.average()
	return out, nil
}
