package series

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
)

// MostUse is the largest use of a period that is taken for one.
const MostUse = 1_000_000_000

// MostPeriods is the longest history: a hundred years of months, twenty-three of weeks. What
// reaches further is a slip of the year.
const MostPeriods = 1_200

// Table is the histories of parts, all up to the same last period.
type Table struct {
	Length Length
	Last   Period // the origin: what comes after is forecast
	Parts  []Part // by code
	Filled int    // periods that no row named, taken as no use
}

// Part is the history of one part, from its first period to the table's last.
type Part struct {
	Code string
	Used []int32
}

// Builder gathers rows in any order.
type Builder struct {
	length   Length
	at       map[string]int
	codes    []string
	rows     [][]row
	from, to Period
}

type row struct {
	period Period
	used   int32
	line   int32
}

// Add takes one row; line is where it stands, for a second row of the same period. Each fault is
// one error: it begins with the column.
func (b *Builder) Add(code, period string, used int64, line int) error {
	p, length, err := ParsePeriod(period)
	switch {
	case err != nil:
		return fmt.Errorf("column period: %w", err)
	case b.length != "" && b.length != length:
		return fmt.Errorf("column period: found the %s %q, expected a %s as in the rows before", length, period, b.length)
	case used < 0 || used > MostUse:
		return fmt.Errorf("column quantity: found %d, expected 0 to %d", used, MostUse)
	}
	if b.at == nil {
		b.at, b.from, b.to = map[string]int{}, p, p
	}
	b.length, b.from, b.to = length, min(b.from, p), max(b.to, p)
	if b.to-b.from >= MostPeriods {
		return fmt.Errorf("column period: found %q, expected all periods within %d of each other", period, MostPeriods)
	}
	i, ok := b.at[code]
	if !ok {
		i = len(b.codes)
		b.at[code] = i
		b.codes, b.rows = append(b.codes, code), append(b.rows, nil)
	}
	b.rows[i] = append(b.rows[i], row{p, int32(used), int32(line)})
	return nil
}

// Table puts the rows in order. Two rows of one part and period are a fault, told with both lines.
func (b *Builder) Table() (*Table, error) {
	if len(b.codes) == 0 {
		return nil, errors.New("found no rows, expected at least one period of one part")
	}
	t := &Table{Length: b.length, Last: b.to}
	var faults []error
	for i, code := range b.codes {
		rows := b.rows[i]
		slices.SortFunc(rows, func(x, y row) int { return cmp.Or(cmp.Compare(x.period, y.period), cmp.Compare(x.line, y.line)) })
		p := Part{Code: code, Used: make([]int32, b.to-rows[0].period+1)}
		for j, r := range rows {
			if j > 0 && r.period == rows[j-1].period {
				faults = append(faults, &LineError{int(r.line), fmt.Errorf("found %s %s again, expected it once: it stands on line %d", code, r.period.Name(b.length), rows[j-1].line)})
				continue
			}
			p.Used[r.period-rows[0].period] = r.used
		}
		t.Filled += len(p.Used) - len(rows)
		b.rows[i] = nil // what is in the table is kept once
		t.Parts = append(t.Parts, p)
	}
	if len(faults) > 0 {
		return nil, errors.Join(faults...)
	}
	slices.SortFunc(t.Parts, func(x, y Part) int { return cmp.Compare(x.Code, y.Code) })
	return t, nil
}

// Until is the table as it was at an earlier last period: parts that had not begun are left out.
func (t *Table) Until(periodsBefore int) *Table {
	out := &Table{Length: t.Length, Last: t.Last - Period(periodsBefore)}
	for _, p := range t.Parts {
		if n := len(p.Used) - periodsBefore; n > 0 {
			out.Parts = append(out.Parts, Part{p.Code, p.Used[:n]})
		}
	}
	return out
}

// mean is what all parts used a period on average; above 0, since a part that was never used may
// yet be.
func (t *Table) mean() float64 {
	sum, n := 0.5, 1.0
	for _, p := range t.Parts {
		for _, y := range p.Used {
			sum += float64(y)
		}
		n += float64(len(p.Used))
	}
	return sum / n
}

// some is at most n of the parts, evenly spaced.
func (t *Table) some(n int) []Part {
	if len(t.Parts) <= n {
		return t.Parts
	}
	out := make([]Part, n)
	for i := range out {
		out[i] = t.Parts[i*len(t.Parts)/n]
	}
	return out
}

// LineError is a fault with the line where it stands.
type LineError struct {
	Line int
	Err  error
}

func (e *LineError) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.Err) }
func (e *LineError) Unwrap() error { return e.Err }

// sums returns what was used in each l periods in a row, the first from period 0.
func sums(used []int32, l int) []int64 {
	if len(used) < l {
		return nil
	}
	out := make([]int64, len(used)-l+1)
	var sum int64
	for t, y := range used {
		sum += int64(y)
		if t >= l {
			sum -= int64(used[t-l])
		}
		if t >= l-1 {
			out[t-l+1] = sum
		}
	}
	return out
}

// warmUp is how many periods of a history are only looked at before forecasts are judged.
func warmUp(periods int) int {
	const usual = 12
	return max(1, min(usual, periods/2))
}
