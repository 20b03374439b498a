package seasonfile

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"
)

// scanner reads XML as a stream of tags and texts, without copying. It knows what the
// parts of a spreadsheet need and refuses the rest: no document types, no entities but the
// five of XML, nothing longer than its buffer.
type scanner struct {
	r        *bufio.Reader
	name     []byte // of the last tag, without its prefix; good until the next call
	attrs    []byte // of the last start tag
	text     []byte // of the last text, entities resolved
	stack    []byte // names of the open elements, one after the other
	starts   []int  // where each begins in stack
	inTag    bool
	closing  bool // the last start tag closed itself
	started  bool
	textMost int
	long     []byte // a tag that went on past a ">"
	buf      []byte // a text with its entities resolved
}

type token uint8

const (
	tokenEnd   token = iota // of the file
	tokenStart              // <name attrs>
	tokenClose              // </name>
	tokenText
)

const longestTag = 256 << 10

// errXML is what is wrong with the XML itself.
var errXML = errors.New("damaged XML")

var errTooLong = errors.New("a text or tag that is too long")

func newScanner(r io.Reader, textMost int) *scanner {
	return &scanner{r: bufio.NewReaderSize(r, max(longestTag, 2*textMost)), textMost: textMost}
}

// next returns the next token.
func (s *scanner) next() (token, error) {
	if s.closing {
		s.closing = false
		return tokenClose, s.pop(s.name)
	}
	for {
		if !s.inTag {
			text, err := s.r.ReadSlice('<')
			switch {
			case errors.Is(err, bufio.ErrBufferFull):
				return tokenEnd, errTooLong
			case errors.Is(err, io.EOF):
				if len(s.starts) > 0 || len(bytes.TrimSpace(text)) > 0 || !s.started {
					return tokenEnd, fmt.Errorf("%w: it ends too early", errXML)
				}
				return tokenEnd, nil
			case err != nil:
				return tokenEnd, err
			}
			s.inTag = true
			if text = text[:len(text)-1]; len(text) > 0 {
				if len(s.starts) == 0 {
					if err := outside(text, s.started); err != nil {
						return tokenEnd, err
					}
					continue
				}
				return tokenText, s.setText(text)
			}
		}
		s.inTag = false
		kind, err := s.tag()
		if err != nil || kind != tokenEnd {
			return kind, err
		}
	}
}

// outside allows spaces and a byte order mark around the root element.
func outside(text []byte, started bool) error {
	if !started {
		text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	}
	if len(bytes.TrimSpace(text)) > 0 {
		return fmt.Errorf("%w: text outside of it", errXML)
	}
	return nil
}

// tag reads what follows a "<". It returns tokenEnd for what is skipped.
func (s *scanner) tag() (token, error) {
	tag, err := s.r.ReadSlice('>')
	if err == nil && odd(tag) { // a ">" inside quotes
		tag, err = s.longer(tag, func(t []byte) bool { return !odd(t) })
	}
	if err != nil {
		return tokenEnd, s.tagError(err)
	}
	tag = tag[:len(tag)-1]
	switch {
	case len(tag) == 0:
		return tokenEnd, fmt.Errorf("%w: an empty tag", errXML)
	case tag[0] == '?':
		return tokenEnd, s.instruction(tag)
	case tag[0] == '!':
		return s.declaration(tag)
	case tag[0] == '/':
		return tokenClose, s.pop(local(bytes.TrimSpace(tag[1:])))
	}
	s.started = true
	if s.closing = tag[len(tag)-1] == '/'; s.closing {
		tag = tag[:len(tag)-1]
	}
	name := tag
	s.attrs = nil
	if space := bytes.IndexAny(tag, " \t\r\n"); space >= 0 {
		name, s.attrs = tag[:space], tag[space+1:]
	}
	s.name = local(name)
	if len(s.starts) > 200 {
		return tokenEnd, fmt.Errorf("%w: elements 200 deep", errXML)
	}
	s.starts = append(s.starts, len(s.stack))
	s.stack = append(s.stack, s.name...)
	return tokenStart, nil
}

func (s *scanner) tagError(err error) error {
	switch {
	case errors.Is(err, bufio.ErrBufferFull):
		return errTooLong
	case errors.Is(err, io.EOF):
		return fmt.Errorf("%w: it ends inside a tag", errXML)
	}
	return err
}

// longer reads on, past further ">", until the tag is done.
func (s *scanner) longer(tag []byte, done func([]byte) bool) ([]byte, error) {
	s.long = append(s.long[:0], tag...)
	for {
		more, err := s.r.ReadSlice('>')
		if err != nil {
			return nil, err
		}
		if s.long = append(s.long, more...); len(s.long) > longestTag {
			return nil, bufio.ErrBufferFull
		}
		if done(s.long) {
			return s.long, nil
		}
	}
}

// odd reports whether a quote is open at the end of the tag.
func odd(tag []byte) bool {
	if tag[0] == '!' || tag[0] == '?' || bytes.IndexByte(tag, '"') < 0 && bytes.IndexByte(tag, '\'') < 0 {
		return false
	}
	var open byte
	for _, c := range tag {
		switch {
		case open != 0:
			if c == open {
				open = 0
			}
		case c == '"' || c == '\'':
			open = c
		}
	}
	return open != 0
}

// instruction allows UTF-8 alone.
func (s *scanner) instruction(tag []byte) error {
	_, encoding, ok := bytes.Cut(tag, []byte("encoding="))
	if ok && len(encoding) > 6 && bytes.HasPrefix(tag, []byte("?xml")) {
		name, _, _ := bytes.Cut(encoding[1:], encoding[:1])
		if !strings.EqualFold(string(name), "utf-8") && !strings.EqualFold(string(name), "us-ascii") {
			return fmt.Errorf("%w: found the encoding %.20q, expected UTF-8", errXML, name)
		}
	}
	return nil
}

// declaration skips a comment, gives a CDATA text, and refuses a document type.
func (s *scanner) declaration(tag []byte) (token, error) {
	ends := "-->"
	switch {
	case bytes.HasPrefix(tag, []byte("!--")):
	case bytes.HasPrefix(tag, []byte("![CDATA[")):
		ends = "]]>"
	default:
		return tokenEnd, fmt.Errorf("%w: found a document type, expected none", errXML)
	}
	whole := append(tag, '>') // the ">" is in the buffer behind the tag
	if !bytes.HasSuffix(whole, []byte(ends)) {
		var err error
		if whole, err = s.longer(whole, func(t []byte) bool { return bytes.HasSuffix(t, []byte(ends)) }); err != nil {
			return tokenEnd, s.tagError(err)
		}
	}
	if ends == "-->" {
		return tokenEnd, nil
	}
	if len(s.starts) == 0 {
		return tokenEnd, fmt.Errorf("%w: text outside of it", errXML)
	}
	s.text = whole[len("![CDATA[") : len(whole)-len(ends)]
	if len(s.text) > s.textMost {
		return tokenEnd, errTooLong
	}
	return tokenText, nil
}

// pop closes the innermost element, which must be that one.
func (s *scanner) pop(name []byte) error {
	if len(s.starts) == 0 {
		return fmt.Errorf("%w: it closes what it did not open", errXML)
	}
	last := s.starts[len(s.starts)-1]
	if !bytes.Equal(s.stack[last:], name) {
		return fmt.Errorf("%w: </%.20s> closes <%.20s>", errXML, name, s.stack[last:])
	}
	s.name = name
	s.stack, s.starts = s.stack[:last], s.starts[:len(s.starts)-1]
	return nil
}

func local(name []byte) []byte {
	if colon := bytes.IndexByte(name, ':'); colon >= 0 {
		return name[colon+1:]
	}
	return name
}

func (s *scanner) setText(raw []byte) error {
	text, err := s.resolve(raw)
	if err != nil {
		return err
	}
	if len(text) > s.textMost {
		return errTooLong
	}
	s.text = text
	return nil
}

// resolve replaces entities.
func (s *scanner) resolve(raw []byte) ([]byte, error) {
	if bytes.IndexByte(raw, '&') < 0 {
		return raw, nil
	}
	out := s.buf[:0]
	for len(raw) > 0 {
		at := bytes.IndexByte(raw, '&')
		if at < 0 {
			out = append(out, raw...)
			break
		}
		out = append(out, raw[:at]...)
		end := bytes.IndexByte(raw[at:], ';')
		if end < 0 || end > 12 {
			return nil, fmt.Errorf("%w: an entity without end", errXML)
		}
		r, ok := entity(string(raw[at+1 : at+end]))
		if !ok {
			return nil, fmt.Errorf("%w: found the entity %q, expected one of XML's own", errXML, raw[at:at+end+1])
		}
		out = utf8.AppendRune(out, r)
		raw = raw[at+end+1:]
	}
	s.buf = out
	return out, nil
}

func entity(name string) (rune, bool) {
	switch name {
	case "lt":
		return '<', true
	case "gt":
		return '>', true
	case "amp":
		return '&', true
	case "quot":
		return '"', true
	case "apos":
		return '\'', true
	}
	digits, base := strings.TrimPrefix(name, "#"), 10
	if digits == name {
		return 0, false
	}
	if hex := strings.TrimPrefix(digits, "x"); hex != digits {
		digits, base = hex, 16
	}
	n, err := strconv.ParseUint(digits, base, 32)
	if err != nil || n == 0 || n > utf8.MaxRune {
		return 0, false
	}
	return rune(n), true
}

// attr returns an attribute of the last start tag by its local name, nil without it.
func (s *scanner) attr(name string) []byte {
	rest := s.attrs
	for {
		rest = bytes.TrimLeft(rest, " \t\r\n")
		equals := bytes.IndexByte(rest, '=')
		if equals < 0 {
			return nil
		}
		key := bytes.TrimRight(rest[:equals], " \t\r\n")
		rest = bytes.TrimLeft(rest[equals+1:], " \t\r\n")
		if len(rest) == 0 || rest[0] != '"' && rest[0] != '\'' {
			return nil
		}
		end := bytes.IndexByte(rest[1:], rest[0])
		if end < 0 {
			return nil
		}
		if string(local(key)) == name {
			return rest[1 : 1+end]
		}
		rest = rest[end+2:]
	}
}

// attrText is attr as a text with entities resolved; one that cannot be is "".
func (s *scanner) attrText(name string) string {
	text, err := s.resolve(s.attr(name))
	if err != nil {
		return ""
	}
	return string(text)
}
