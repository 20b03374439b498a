package planner

import (
	"strings"
	"unicode"
)

// turning are the characters that show what stands after them in another order, and those of
// no width: with them one code can look like another.
const turning = "\u061c\u200b\u200c\u200d\u200e\u200f\u2060\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"

// Printable reports whether a text is what it looks like: no control characters, none that
// turn its direction or hide. lines says that it may have lines and tabs, as a note.
func Printable(text string, lines bool) bool {
	for _, r := range text {
		if lines && (r == '\n' || r == '\r' || r == '\t') {
			continue
		}
		if unicode.IsControl(r) || strings.ContainsRune(turning, r) {
			return false
		}
	}
	return true
}
