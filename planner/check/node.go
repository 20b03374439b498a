package check

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// MaxLine is the longest case taken, in bytes. With it, what a case can cost in memory
// before it is understood is bounded too.
const MaxLine = 8 << 20

// maxNesting is how deep lists and objects may lie in one another: far more than any
// calculation takes, which says so itself, and no danger to the stack.
const maxNesting = 1000

// A node is one JSON value, with numbers as they were written.
type node struct {
	kind nodeKind
	text string // a text's content, a number's literal, or true or false
	list []node
	dict *fields
}

type nodeKind byte

const (
	null nodeKind = iota
	boolean
	number
	text
	list
	object
)

// String words a kind for people.
func (k nodeKind) String() string {
	return [...]string{"null", "true or false", "a number", "text", "a list", "an object"}[k]
}

// fields are the members of an object, in the order written.
type fields struct {
	names []string
	twice []string // names given more than once; the last counts, and is a fault
	of    map[string]node
}

// get returns a member, null when it is absent.
func (n node) get(name string) (node, bool) {
	if n.dict == nil {
		return node{}, false
	}
	v, ok := n.dict.of[name]
	return v, ok
}

// parse reads one JSON value and nothing behind it. It notes what encoding/json lets
// pass, a name given twice, and refuses nesting beyond maxNesting.
func parse(line []byte) (node, error) {
	if len(line) > MaxLine {
		return node{}, fmt.Errorf("found %d bytes, expected at most %d", len(line), MaxLine)
	}
	decoder := json.NewDecoder(bytes.NewReader(line))
	decoder.UseNumber()
	n, err := parseValue(decoder, 0)
	if err != nil {
		return node{}, err
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		return node{}, fmt.Errorf("not JSON: found more behind the first value")
	}
	return n, nil
}

func parseValue(decoder *json.Decoder, depth int) (node, error) {
	token, err := decoder.Token()
	if err != nil {
		return node{}, notJSON(err)
	}
	if depth > maxNesting {
		return node{}, fmt.Errorf("found lists and objects more than %d deep, expected fewer", maxNesting)
	}
	switch v := token.(type) {
	case bool:
		return node{kind: boolean, text: fmt.Sprint(v)}, nil
	case json.Number:
		return node{kind: number, text: v.String()}, nil
	case string:
		return node{kind: text, text: v}, nil
	case json.Delim:
		if v == '[' {
			return parseList(decoder, depth)
		}
		return parseObject(decoder, depth)
	}
	return node{kind: null}, nil
}

func parseList(decoder *json.Decoder, depth int) (node, error) {
	n := node{kind: list}
	for decoder.More() {
		entry, err := parseValue(decoder, depth+1)
		if err != nil {
			return node{}, err
		}
		n.list = append(n.list, entry)
	}
	if _, err := decoder.Token(); err != nil { // the closing bracket
		return node{}, notJSON(err)
	}
	return n, nil
}

func parseObject(decoder *json.Decoder, depth int) (node, error) {
	n := node{kind: object, dict: &fields{of: map[string]node{}}}
	for decoder.More() {
		name, err := decoder.Token()
		if err != nil {
			return node{}, notJSON(err)
		}
		key, ok := name.(string)
		if !ok {
			return node{}, fmt.Errorf("not JSON: found %v, expected a field's name", name)
		}
		value, err := parseValue(decoder, depth+1)
		if err != nil {
			return node{}, err
		}
		if _, twice := n.dict.of[key]; twice {
			n.dict.twice = append(n.dict.twice, key)
		} else {
			n.dict.names = append(n.dict.names, key)
		}
		n.dict.of[key] = value
	}
	if _, err := decoder.Token(); err != nil {
		return node{}, notJSON(err)
	}
	return n, nil
}

func notJSON(err error) error {
	if errors.Is(err, io.EOF) {
		err = io.ErrUnexpectedEOF
	}
	return fmt.Errorf("not JSON: %w", err)
}

// shown words a value for an error, short.
func (n node) shown() string {
	switch n.kind {
	case null:
		return "null"
	case boolean, number:
		return short(n.text)
	case text:
		return quoted(n.text)
	case list:
		return fmt.Sprintf("a list of %d", len(n.list))
	}
	return "an object"
}

// quoted words a text for an error: in quotes, on one line, short.
func quoted(s string) string { return fmt.Sprintf("%q", short(s)) }

func short(s string) string {
	const most = 60
	if runes := []rune(s); len(runes) > most {
		return string(runes[:most]) + "..."
	}
	return s
}
