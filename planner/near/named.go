package near

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// Named is a code and what people call it.
type Named struct{ Code, Name string }

// MissNamed returns the error for a code that is not known, suggesting by code and by name:
// `no part wiper; did you mean WIP-40 (wiper, 40 mm leg)?`. A name is near when every
// word typed is in it, begins one of its words, or is one edit (of a word of four or
// more letters) from one. At most four are suggested. A near code goes
// before names; without either it is Miss.
func MissNamed(noun, typed string, known []Named) error {
	const most = 4
	codes := make([]string, len(known))
	for i, k := range known {
		codes[i] = k.Code
	}
	if _, ok := Name(typed, codes); ok {
		return Miss(noun, typed, codes)
	}
	want := words(typed)
	type scored struct {
		Named
		edits int
	}
	var byName []scored
	for _, k := range known {
		if edits, ok := inName(want, k.Name); ok {
			byName = append(byName, scored{k, edits})
		}
	}
	slices.SortStableFunc(byName, func(a, b scored) int { return cmp.Compare(a.edits, b.edits) })
	if len(byName) == 0 {
		return Miss(noun, typed, codes)
	}
	var said []string
	for _, k := range byName[:min(most, len(byName))] {
		if k.edits > byName[0].edits {
			break // a slip is only looked for where no name has the words as typed
		}
		said = append(said, k.Code+" ("+k.Name+")")
	}
	return fmt.Errorf("no %s %s; did you mean %s?", noun, typed, strings.Join(said, ", or "))
}

// inName reports whether every word wanted is in a name, and by how many edits in all.
func inName(want []string, name string) (edits int, ok bool) {
	const shortest, slip = 3, 4 // shorter words are in too many names; one edit of a short word is another word
	long := false
	have := words(name)
	for _, w := range want {
		long = long || len([]rune(w)) >= shortest
		best := -1
		for _, h := range have {
			d := -1
			switch {
			case strings.HasPrefix(h, w) || strings.TrimSuffix(w, "s") == h:
				d = 0
			case len([]rune(w)) >= slip && Distance(w, h) <= 1:
				d = 1
			}
			if d >= 0 && (best < 0 || d < best) {
				best = d
			}
		}
		if best < 0 {
			return 0, false
		}
		edits += best
	}
	return edits, long
}

func words(text string) []string {
	return strings.FieldsFunc(folded(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}
