package series

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math/big"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// What one file may hold.
const (
	mostRows   = 20_000_000
	mostCode   = 100 // characters of a part's code
	mostFaults = 20  // told before reading stops
)

// Read reads a CSV text with the columns part, period and quantity, in any order, separated by
// commas or semicolons; columns of the reader's own are passed over. name is what the text is
// called in faults. Quantities are whole numbers.
func Read(name string, in io.Reader) (*Table, error) {
	var b Builder
	if err := EachRow(name, in, b.Add); err != nil {
		return nil, err
	}
	t, err := b.Table()
	if err != nil {
		return nil, InFile(name, err)
	}
	return t, nil
}

// EachRow calls add with every row of a CSV text. What is wrong is told with line and column, up
// to some twenty faults at once.
func EachRow(name string, in io.Reader, add func(code, period string, used int64, line int) error) error {
	text := bufio.NewReaderSize(in, 1<<16)
	if head, _ := text.Peek(3); string(head) == "\uFEFF" {
		_, _ = text.Discard(3)
	}
	r := csv.NewReader(text)
	if head, _ := text.Peek(1 << 12); semicolons(string(head)) {
		r.Comma = ';'
	}
	r.ReuseRecord, r.FieldsPerRecord, r.TrimLeadingSpace = true, -1, true
	header, err := r.Read()
	if errors.Is(err, io.EOF) {
		return fmt.Errorf("%s: found nothing, expected a first line with the columns part, period, quantity", name)
	}
	if err != nil {
		return InFile(name, err)
	}
	var at [3]int
	for i, column := range []string{"part", "period", "quantity"} {
		is := func(cell string) bool { return strings.EqualFold(strings.TrimSpace(cell), column) }
		if at[i] = slices.IndexFunc(header, is); at[i] < 0 {
			return fmt.Errorf("%s, line 1: found no column %s, expected part, period, quantity", name, column)
		}
		if again := slices.IndexFunc(header[at[i]+1:], is); again >= 0 {
			return fmt.Errorf("%s, line 1: found column %s twice, expected it once", name, column)
		}
	}
	codes := map[string]string{} // one copy of each code: a record's text is of the whole line
	var faults []error
	for rows := 0; ; rows++ {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return errors.Join(faults...)
		}
		if err != nil {
			return errors.Join(append(faults, InFile(name, err))...)
		}
		line, _ := r.FieldPos(0)
		if rows >= mostRows {
			return fmt.Errorf("%s, line %d: found more than %d rows, expected a smaller file", name, line, mostRows)
		}
		if err := one(cells, at, codes, line, add); err != nil {
			faults = append(faults, fmt.Errorf("%s, line %d, %w", name, line, err))
			if len(faults) == mostFaults {
				return errors.Join(append(faults, fmt.Errorf("%s: there may be more faults: mend these first", name))...)
			}
		}
	}
}

func semicolons(head string) bool {
	line, _, _ := strings.Cut(head, "\n")
	return strings.Contains(line, ";") && !strings.Contains(line, ",")
}

func one(cells []string, at [3]int, codes map[string]string, line int, add func(string, string, int64, int) error) error {
	if most := max(at[0], at[1], at[2]); len(cells) <= most {
		return fmt.Errorf("column %d: found %d cells, expected at least %d", len(cells)+1, len(cells), most+1)
	}
	text := strings.TrimSpace(cells[at[0]])
	code, known := codes[text]
	if !known {
		if text == "" || len(text) > mostCode || strings.ContainsFunc(text, func(c rune) bool { return !unicode.IsPrint(c) }) {
			return fmt.Errorf("column part: found %q, expected a code of 1 to %d characters", clip(text), mostCode)
		}
		code = strings.Clone(text)
		codes[code] = code
	}
	used, err := whole(strings.TrimSpace(cells[at[2]]))
	if err != nil {
		return fmt.Errorf("column quantity: %w", err)
	}
	return add(code, strings.TrimSpace(cells[at[1]]), used, line)
}

// whole reads a whole number; 3.0 is one, since programs write it so.
func whole(text string) (int64, error) {
	n, err := strconv.ParseInt(text, 10, 64)
	if err == nil && n >= 0 && n <= MostUse {
		return n, nil
	}
	const digits = 30 // more is no number that a person counted
	if r, ok := new(big.Rat).SetString(text); ok && len(text) <= digits && !strings.ContainsAny(text, "eE/_xXpP") {
		if r.IsInt() && r.Sign() >= 0 && r.Num().IsInt64() && r.Num().Int64() <= MostUse {
			return r.Num().Int64(), nil
		}
		if !r.IsInt() {
			return 0, fmt.Errorf("found %q, expected a whole number", text)
		}
	}
	return 0, fmt.Errorf("found %q, expected a whole number from 0 to %d", clip(text), MostUse)
}

func clip(text string) string {
	const most = 40
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "..."
	}
	return text
}

// InFile names the file in front of what has a line of its own.
func InFile(name string, err error) error {
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		var all []error
		for i, e := range many.Unwrap() {
			if i == mostFaults {
				all = append(all, fmt.Errorf("%s: and %d more", name, len(many.Unwrap())-i))
				break
			}
			all = append(all, InFile(name, e))
		}
		return errors.Join(all...)
	}
	var line *LineError
	var bad *csv.ParseError
	switch {
	case errors.As(err, &line):
		return fmt.Errorf("%s, line %d: %w", name, line.Line, line.Err)
	case errors.As(err, &bad):
		return fmt.Errorf("%s, line %d, column %d: %w", name, bad.Line, bad.Column, bad.Err)
	}
	return fmt.Errorf("%s: %w", name, err)
}
