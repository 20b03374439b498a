package words

import (
	"strings"
	"unicode"
)

// tok is one word or one amount of a line.
type tok struct {
	text   string
	word   string // folded
	number string // digits with a point or comma, "" for a word
	unit   string // the unit word behind the number, "" for none
	bind   bool   // "=": what stands on both sides belongs together
	done   bool   // understood
}

func (t tok) amount() bool { return t.number != "" }
func (t tok) plain() bool  { return t.number != "" && t.unit == "" }

// unitWords are what may stand behind a number, as they are typed, and what it is read as.
var unitWords = map[string]string{
	"pc": "pc", "pcs": "pc", "piece": "pc", "pieces": "pc", "x": "pc",
	"ul": "ul", "ml": "ml", "cc": "cc", "ccm": "cc", "l": "l", "ltr": "l", "litre": "l", "litres": "l", "liter": "l", "liters": "l",
	"mg": "mg", "g": "g", "gr": "g", "gram": "g", "grams": "g", "kg": "kg", "kilo": "kg", "kilos": "kg",
	"bottle": "bottle", "bottles": "bottle", "can": "can", "cans": "can", "tub": "tub", "tubs": "tub", "tube": "tube", "tubes": "tube",
	"cst": "cSt", "n/mm": "N/mm", "kgf/mm": "kgf/mm", "kg/mm": "kgf/mm", "lb/in": "lb/in", "lbs/in": "lb/in", "lbf/in": "lb/in", "lb": "lb", "lbs": "lb",
	"h": "h", "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "min": "min", "mins": "min", "minute": "min", "minutes": "min",
}

// isRate tells a spring rate from an amount.
func isRate(unit string) bool { return unit == "N/mm" || unit == "kgf/mm" || unit == "lb/in" }

// lex cuts a line into words, amounts and "=".
func lex(line string) []tok {
	var out []tok
	for _, field := range strings.FieldsFunc(line, unicode.IsSpace) {
		for i, text := range strings.Split(field, "=") {
			if i > 0 {
				out = append(out, tok{text: "=", bind: true})
			}
			text = strings.TrimRight(text, ",;:!?")
			if text == "" {
				continue
			}
			t := tok{text: text, word: fold(text)}
			t.number, t.unit = number(text)
			if n := len(out); t.number == "" && n > 0 && out[n-1].plain() && !strings.HasSuffix(out[n-1].text, "x") && out[n-1].text[0] != 'x' {
				if u, ok := unitWords[strings.ToLower(text)]; ok {
					out[n-1].unit = u
					out[n-1].text += " " + text
					continue
				}
			}
			out = append(out, t)
		}
	}
	return out
}

// number reads "2", "43g", "1,5l", "x2", "2x", "-3"; what is none has no number.
func number(text string) (digits, unit string) {
	low := strings.ToLower(text)
	if rest, ok := strings.CutPrefix(low, "x"); ok && rest != "" && strings.Trim(rest, "0123456789") == "" {
		return rest, "pc"
	}
	end := len(low) - len(strings.TrimLeft(low, "+-0123456789.,"))
	digits, rest := low[:end], low[end:]
	if strings.Trim(digits, "+-.,") == "" || strings.ContainsAny(digits[1:], "+-") {
		return "", ""
	}
	switch {
	case rest == "":
		return digits, ""
	case unitWords[rest] != "":
		return digits, unitWords[rest]
	}
	return "", ""
}
