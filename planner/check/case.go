package check

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// DefaultTolerance is the tolerance of a case that gives none.
const DefaultTolerance = 1e-9

// A Case is one example: what to calculate and what should come out.
type Case struct {
	ID     string
	Calc   string
	Tol    float64
	Source string
	// Rests is what the wanted value rests on, "" where the case does not say.
	Rests Evidence

	in, want node
	raw      json.RawMessage // want as written
}

// A Result is what came of a case.
type Result struct {
	ID     string          `json:"id"`
	Calc   string          `json:"calc"`
	Pass   bool            `json:"pass"`
	Got    json.RawMessage `json:"got"`   // null when the input was refused
	Want   json.RawMessage `json:"want"`  // as written
	Error  *string         `json:"error"` // why the input was refused, or the line is no case
	Source string          `json:"-"`
	Rests  Evidence        `json:"-"`
	// Differs says what did not agree, "" when the case passed.
	Differs string `json:"-"`
}

// ParseCase reads one line. It returns an error, one line, when the line is not a case.
func ParseCase(line []byte) (Case, error) {
	root, err := parse(line)
	if err != nil {
		return Case{}, err
	}
	if root.kind != object {
		return Case{}, fmt.Errorf("found %s, expected an object with calc, in and want", root.shown())
	}
	f := &faults{}
	in := newInput(root, f, nil)
	c := Case{Tol: DefaultTolerance}
	for _, name := range root.dict.twice {
		f.add(short(name), "it twice", "it once")
	}
	if id, ok := root.get("id"); ok && id.kind == number {
		c.ID = id.text // a number is as good a name as any
	} else if ok && in.is("id", id, text) {
		c.ID = id.text
	}
	c.Calc = in.word("calc")
	c.in, _ = in.take("in", object)
	c.want, _ = in.take("want", object)
	if in.has("tol") {
		c.Tol = in.number("tol", bound{least: 0, most: largest})
	}
	if in.has("source") {
		c.Source = in.word("source")
	}
	if e, ok := c.want.get("error"); ok && e.kind != boolean {
		f.add("want.error", e.shown(), "true or false")
	}
	verified := ""
	if v, ok := root.get("verified"); ok && v.kind == text { // of any other kind it is a field like others, ignored
		verified = v.text
	}
	refusal, _ := c.want.get("error")
	c.Rests = evidence(verified, c.Source, refusal.text == "true")
	c.raw = rawWant(line)
	return c, f.err()
}

// rawWant returns the want of a line as written, or null.
func rawWant(line []byte) json.RawMessage {
	var c struct{ Want json.RawMessage }
	if json.Unmarshal(line, &c) != nil || c.Want == nil {
		return json.RawMessage("null")
	}
	var compact bytes.Buffer
	if json.Compact(&compact, c.Want) != nil {
		return json.RawMessage("null")
	}
	return bytes.ToValidUTF8(compact.Bytes(), []byte("\ufffd"))
}

func run(c Case, work float64) Result {
	r := Result{ID: c.ID, Calc: c.Calc, Source: c.Source, Rests: c.Rests, Want: c.raw, Got: json.RawMessage("null")}
	got, err := calculate(c, work)
	refusal, _ := c.want.get("error")
	if err != nil {
		r.refused(err)
		r.Pass = refusal.text == "true"
		if !r.Pass {
			r.Differs = "refused: " + *r.Error
		}
		return r
	}
	r.Got = got
	if refusal.text == "true" {
		r.Differs = "accepted, expected it to be refused"
		return r
	}
	answer, err := parse(got)
	if err != nil { // larger than a case may be
		r.refused(fmt.Errorf("answer: %w", err))
		return r
	}
	if !namesField(c.want) { // it would pass whatever the answer is
		r.Differs = "want names no field, expected at least one that the answer must have"
		return r
	}
	r.Differs = differs(answer, c.want, c.Tol)
	r.Pass = r.Differs == ""
	return r
}

// namesField reports whether a want names a field of the answer.
func namesField(want node) bool {
	for _, name := range want.dict.names {
		if name != "error" {
			return true
		}
	}
	return false
}

// refused notes an error as one line.
func (r *Result) refused(err error) {
	line := oneLine(err)
	r.Error = &line
}

// oneLine words an error, and all that were joined in it, in one line.
func oneLine(err error) string {
	return strings.Join(strings.FieldsFunc(err.Error(), func(c rune) bool { return c == '\n' || c == '\r' }), "; ")
}

// calculate runs the calculation of a case and returns its answer as JSON.
func calculate(c Case, work float64) (json.RawMessage, error) {
	calc, ok := find(c.Calc)
	if !ok {
		return nil, fmt.Errorf("unknown calc %s, expected one of %s", quoted(c.Calc), names())
	}
	f := &faults{}
	in := newInput(c.in, f, &budget{limit: work})
	out, err := calc.run(in)
	if err == nil {
		err = f.err() // a calculation stops at faults itself; this is for one that forgot
	}
	if err != nil {
		return nil, err
	}
	encoded, err := json.Marshal(out)
	if err != nil {
		var unsupported *json.UnsupportedValueError
		if errors.As(err, &unsupported) { // NaN or infinite
			return nil, fmt.Errorf("found no finite answer, expected inputs nearer to 1")
		}
		return nil, fmt.Errorf("answer: %w", err)
	}
	return encoded, nil
}

// ready closes an input after its last field and returns its faults.
func (in *input) ready() error {
	in.close()
	return in.faults.err()
}

// RunLine runs the case on one line of a file, numbered from 1. A line that is no case
// is one failed result, named for its line.
func RunLine(line []byte, lineNumber int) Result { return runLine(line, lineNumber, maxWork) }

func runLine(line []byte, lineNumber int, work float64) Result {
	c, err := ParseCase(line)
	if c.ID == "" {
		c.ID = "line " + strconv.Itoa(lineNumber)
	}
	if err != nil {
		r := Result{ID: c.ID, Calc: c.Calc, Source: c.Source, Got: json.RawMessage("null"), Want: rawWant(line)}
		r.refused(fmt.Errorf("line %d: %w", lineNumber, err))
		r.Differs = *r.Error
		return r
	}
	return run(c, work)
}

// RunAll runs every case of a file, one a line, in order, and hands each result to each.
// Empty lines are passed over; nothing stops the other cases.
func RunAll(file []byte, each func(Result)) {
	file = bytes.TrimPrefix(file, []byte("\ufeff"))
	number := 0
	for line := range bytes.Lines(file) {
		number++
		if line = bytes.TrimSpace(line); len(line) > 0 {
			each(RunLine(line, number))
		}
	}
}
