package workbook

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Longest texts: a code is typed again and again, a note is read once.
const (
	longestCode = 64
	longestText = 4000
	// longestCell is more bytes than any text may have: what is longer is refused unread, for
	// a file of some kilobytes may repeat one text in every cell.
	longestCell = 4 * longestText
)

// read reads the cells of a row into v: first what the quantities hang on, then them.
func (r *sheetReader) read(row Row, v reflect.Value) {
	index := len(r.here.lines) - 1
	for _, quantities := range []bool{false, true} {
		for i := range r.Columns {
			c := &r.Columns[i]
			if (c.typ == isQuantity) != quantities || c.field < 0 || r.here.columns[i] < 0 {
				continue
			}
			r.cell(row, v, index, i)
		}
	}
	r.checkUnit(row, v)
}

// cellText returns the cell at a position and its trimmed text; numbers as people see them.
func cellText(row Row, at int) (Cell, string) {
	if at < 0 || at >= len(row.Cells) {
		return Cell{}, ""
	}
	c := row.Cells[at]
	switch c.Type {
	case CellText, CellBool, CellError:
		return c, clean(c.Text)
	}
	if text := numberText(c.Text); text != "" {
		return c, text
	}
	return c, clean(c.Text)
}

// cell reads one cell into its field and notes the fault if it cannot.
func (r *sheetReader) cell(row Row, v reflect.Value, index, i int) {
	c := &r.Columns[i]
	given, text := cellText(row, r.here.columns[i])
	expected := ""
	switch {
	case text == "":
		if c.Needed && !r.impliedUnit(c, row) && !r.movedNothing(c, row) {
			r.wrong(row, index, i, "", r.expects(c, v))
		}
		return
	case given.Type == CellError:
		expected = r.expects(c, v)
		if given.Text == NoStoredValue {
			expected += " (a spreadsheet program stores it when it saves the file)"
		}
	case len(text) > longestCell:
		given.Text, expected = text[:longestCode], fmt.Sprintf("at most %d characters", longestText)
	default:
		if given.Formula {
			r.formulas = append(r.formulas, ColumnLetter(r.here.columns[i])+strconv.Itoa(row.Number))
		}
		expected = r.set(row, given, text, c, v)
	}
	if expected != "" {
		r.wrong(row, index, i, given.Text, expected)
	}
}

// wrong notes the fault of a cell; its text is shown as it stands there.
func (r *sheetReader) wrong(row Row, index, i int, found, expected string) {
	c := &r.Columns[i]
	r.here.bad[cellAt{index, i}] = true
	if shown := clean(found); shown != "" {
		found = shown
	}
	r.fault(r.at(row.Number, r.here.columns[i], c.Heading, found, expected))
}

// set puts the value of a cell into its field. It returns what was expected if the cell
// holds no such value.
func (r *sheetReader) set(row Row, given Cell, text string, c *Column, v reflect.Value) (expected string) {
	field := v.Field(c.field)
	if c.typ == isDay || c.typ == isTime {
		iso, unsure := isoDay(text)
		if unsure != "" {
			return unsure
		}
		if iso != text && r.otherDates == 0 {
			r.otherDate = fmt.Sprintf("%q (%s) as %s", text, c.Heading, iso)
		}
		if iso != text {
			r.otherDates++
		}
		text = iso
	}
	switch c.typ {
	case isString:
		s, expected := r.text(given, text, c)
		if expected == "" {
			*field.Addr().Interface().(*string) = s
		}
		return expected
	case isUnit:
		u, ok := unitOf(text)
		if !ok {
			return "pc, ml or g"
		}
		*field.Addr().Interface().(*units.Unit) = u
	case isDecimal:
		d, expected := r.decimal(row, given, text, c, v)
		if expected == "" {
			put(field, c.pointer, d)
		}
		return expected
	case isInt:
		n, expected := wholeNumber(text)
		if expected == "" {
			put(field, c.pointer, n)
		}
		return expected
	case isBool:
		b, ok := yesNo(text)
		if !ok {
			return "yes or no"
		}
		put(field, c.pointer, b)
	case isDay:
		d, expected := r.date(given, text)
		if expected == "" {
			put(field, c.pointer, d)
		}
		return expected
	case isTime:
		read, known := r.times[text]
		if !known || given.Type != CellText {
			read.at, read.expected = r.time(given, text, c.Kind == DateTime)
			if given.Type == CellText && len(r.times) < 10_000 {
				r.times[text] = read
			}
		}
		if read.expected == "" {
			if c.Kind == DateTime {
				r.bare(given, text)
			}
			put(field, c.pointer, read.at)
		}
		return read.expected
	case isQuantity:
		q, expected, read := r.quantityOf(row, text, c, v)
		if read {
			put(field, c.pointer, q)
		} else if expected == "" {
			r.unread(c)
		}
		return expected
	case isMass:
		m, expected := r.mass(text)
		if expected == "" {
			put(field, c.pointer, m)
		}
		return expected
	}
	return ""
}

// bare notes that the row just read has a date without a time.
func (r *sheetReader) bare(given Cell, text string) {
	_, seconds, serial := r.serial(given, text)
	if len(text) == 10 || serial && seconds == 0 && given.Type != CellDateTime {
		for len(r.here.bare) < len(r.here.lines) {
			r.here.bare = append(r.here.bare, false)
		}
		r.here.bare[len(r.here.lines)-1] = true
	}
}

// put stores a value in a field that is the value or a pointer to one.
func put[T decimal.Decimal | int | bool | day.Day | time.Time | units.Quantity | units.Milligrams](field reflect.Value, pointer bool, value T) {
	if pointer {
		*field.Addr().Interface().(**T) = &value
		return
	}
	*field.Addr().Interface().(*T) = value
}

// text reads a text: a code, a name, a word of a list.
func (r *sheetReader) text(given Cell, text string, c *Column) (value, expected string) {
	switch given.Type {
	case CellNumber:
		text = wholeText(text)
	case CellDate:
		if d, expected := r.date(given, text); expected == "" {
			text = d.String()
		}
	}
	switch c.Kind {
	case Word:
		for _, w := range c.Words {
			if strings.EqualFold(w, text) {
				return w, ""
			}
		}
		if c.Heading == "rate unit" {
			if u := rateUnit(text); u != "" {
				return u, ""
			}
		}
		return "", oneOf(c.Words)
	case Clock:
		return r.clock(given, text)
	}
	longest := longestText
	if c.Key || c.Ref != "" {
		longest = longestCode
		if strings.ContainsAny(text, "\n\r\t") {
			return "", "a code on one line"
		}
	}
	if !utf8.ValidString(text) || !planner.Printable(text, !c.Key && c.Ref == "") {
		return "", "text without control characters and marks that turn its direction"
	}
	if len(text) > longest && utf8.RuneCountInString(text) > longest {
		return "", fmt.Sprintf("at most %d characters", longest)
	}
	return text, ""
}

// decimal reads a number, a percentage, or the rate of a spring with its unit.
func (r *sheetReader) decimal(row Row, given Cell, text string, c *Column, v reflect.Value) (d decimal.Decimal, expected string) {
	if r.Name == "springs" && c.Heading == "rate" {
		return r.springRate(row, text, v)
	}
	if c.Kind == Percent {
		bare := strings.TrimSpace(strings.TrimSuffix(text, "%"))
		d, expected = parseDecimal(bare)
		if expected == "" && c.chance() && bare == text && given.Type != CellPercent && d.IsPositive() && d.LessThan(decimal.New(1, 0)) {
			return d, d.String() + "% or " + d.Shift(2).String() + "%: a chance below 1 could mean either"
		}
		if given.Type == CellPercent && expected == "" {
			d = d.Shift(2)
		}
		if expected != "" {
			return d, "a number of per cent, such as 25"
		}
	} else if d, expected = inUnit(text, unitOfHeading(c.Heading)); expected != "" {
		return d, expected
	}
	// A number shown with more decimals than it is stored with was typed with them.
	if shown := -int32(given.Decimals); given.Type == CellNumber && shown < d.Exponent() && given.Decimals <= maxDecimals {
		d = d.Add(decimal.New(0, shown))
	}
	if d.IsNegative() && c.Heading != "bench C" && c.Heading != "amount" {
		return d, "nothing below zero"
	}
	return d, ""
}

// springRate reads a rate as ordered; a unit typed behind it belongs to the column beside.
func (r *sheetReader) springRate(row Row, text string, v reflect.Value) (d decimal.Decimal, expected string) {
	number, word := splitNumber(text)
	d, expected = parseDecimal(number)
	if expected != "" || d.Sign() <= 0 {
		return d, "a rate above zero, such as 450"
	}
	if word == "" {
		return d, ""
	}
	unit, column := rateUnit(word), r.columnOf("rate unit")
	_, beside := cellText(row, r.here.columns[column])
	if unit == "" || beside != "" && rateUnit(beside) != unit {
		return d, "a number, or one with lb/in, N/mm or kgf/mm, as in the column rate unit"
	}
	v.FieldByName("RateUnit").SetString(unit)
	r.here.given[column] = true
	return d, ""
}

// rateUnit returns the unit of a spring rate as the workbook writes it, "" for none.
func rateUnit(word string) string {
	rate, err := units.ParseRate("1 " + word)
	if err != nil {
		return ""
	}
	unit := strings.TrimPrefix(rate.String(), "1 ")
	if unit == "lbf/in" {
		return "lb/in"
	}
	return unit
}

// quantityOf reads a quantity in the unit of its row or part. It is neither read nor a
// fault where the part or the unit column is the fault, which is told there.
func (r *sheetReader) quantityOf(row Row, text string, c *Column, v reflect.Value) (q units.Quantity, expected string, read bool) {
	u, ok := r.unitOfRow(*c, v)
	if !ok {
		return 0, "", false
	}
	word := ""
	if c.in != "ml" {
		_, word = cellText(row, r.unitAt)
	}
	if _, fits := r.perWord(word, u); !fits {
		return 0, "", false
	}
	if below, ok := strings.CutPrefix(text, "-"); ok && (c.Heading == "book" || c.Heading == "book ml") {
		q, expected = r.quantity(below, word, u) // at a past instant the book may have read less than nothing
		return -q, expected, expected == ""
	}
	q, expected = r.quantity(text, word, u)
	return q, expected, expected == ""
}

// unread marks the cell of the row just read as one that nothing is known of.
func (r *sheetReader) unread(c *Column) {
	r.here.bad[cellAt{len(r.here.lines) - 1, r.columnOf(c.Heading)}] = true
}

// checkUnit refuses a unit that does not fit the part of its row.
func (r *sheetReader) checkUnit(row Row, v reflect.Value) {
	if r.unitAt < 0 || r.Name == "parts" {
		return
	}
	_, word := cellText(row, r.unitAt)
	if word == "" {
		return
	}
	for _, c := range r.Columns {
		if c.typ != isQuantity || c.in == "ml" {
			continue
		}
		u, ok := r.unitOfRow(c, v)
		if !ok {
			return
		}
		if _, fits := r.perWord(word, u); !fits {
			r.fault(r.at(row.Number, r.unitAt, "unit", word, unitWords(u)))
		}
		return
	}
}

func unitWords(u units.Unit) string {
	switch u {
	case units.ML:
		return "ml or L: the part is counted in ml"
	case units.G:
		return "g or kg: the part is counted in g"
	}
	return "pc: the part is counted in pieces"
}

// impliedUnit reports whether the blank unit of a spring's rate stands with the number.
func (r *sheetReader) impliedUnit(c *Column, row Row) bool {
	if c.Heading != "rate unit" {
		return false
	}
	for i := range r.Columns {
		if r.Columns[i].Heading == "rate" {
			_, text := cellText(row, r.here.columns[i])
			_, word := splitNumber(text)
			return word != ""
		}
	}
	return false
}

// movedNothing reports whether a blank cell is one of a record that moved nothing, as a save
// writes it: an undo of a count, a case put somewhere else.
func (r *sheetReader) movedNothing(c *Column, row Row) bool {
	if r.Name != "movements" {
		return false
	}
	switch c.Heading {
	case "part", "from", "to", "quantity":
	default:
		return false
	}
	_, part := cellText(row, r.here.columns[r.columnOf("part")])
	_, arrival := cellText(row, r.here.columns[r.columnOf("arrival")])
	return part == "" && arrival != ""
}

// expects says what a column wants, for a cell that is blank or holds an error.
func (r *sheetReader) expects(c *Column, v reflect.Value) string {
	switch c.Kind {
	case Word:
		return oneOf(c.Words)
	case Unit:
		return "pc, ml or g"
	case Whole:
		return "a whole number"
	case Number, Percent:
		return "a number"
	case Mass:
		return example(units.G)
	case Date:
		return expectedDate
	case Time, DateTime:
		return expectedTime
	case YesNo:
		return "yes or no"
	case Quantity:
		if u, ok := r.unitOfRow(*c, v); ok {
			return example(u)
		}
		return "a quantity"
	}
	if c.Ref != "" {
		return "the code of a " + c.Ref
	}
	if c.Key {
		return "the code of the " + c.Heading
	}
	return "a " + c.Heading
}

func oneOf(words []string) string {
	if len(words) == 1 {
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

func wholeNumber(text string) (int, string) {
	d, expected := parseDecimal(text)
	if expected != "" || !d.IsInteger() || d.IsNegative() {
		return 0, "a whole number such as 3"
	}
	if d.GreaterThan(decimal.New(maxWhole, 0)) {
		return 0, fmt.Sprintf("at most %d", maxWhole)
	}
	return int(d.IntPart()), ""
}

func yesNo(text string) (value, ok bool) {
	switch strings.ToLower(text) {
	case "yes", "y", "true":
		return true, true
	case "no", "n", "false":
		return false, true
	}
	return false, false
}
