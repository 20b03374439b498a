// Package near answers: which known name did they mean?
//
// Method: the optimal string alignment distance (an insertion, a deletion, a
// replacement or a swap of two neighbours costs 1) between the names in lower
// case; the nearest is suggested when it is at most a third of the longer name
// away. Source: Damerau, Communications of the ACM 7 (1964) 171; Boytsov, ACM
// Journal of Experimental Algorithmics 16 (2011). Limits: names are short codes;
// the time grows with the product of the two lengths, so only the first 64 runes
// of each are compared.
package near

import (
	"fmt"
	"strings"
)

// longest is how many runes of a name are compared; no code is longer.
const longest = 64

// Name returns the known name nearest to the one typed, and whether one is near
// enough to suggest. Equal distances: the first in the order given.
func Name(typed string, known []string) (string, bool) {
	best, bestName, found := 0, "", false
	a := folded(typed)
	for _, name := range known {
		b := folded(name)
		d := Distance(a, b)
		if limit := max(len([]rune(a)), len([]rune(b))) / 3; d > max(limit, 1) || len(b) <= d {
			continue
		}
		if !found || d < best {
			best, bestName, found = d, name, true
		}
	}
	return bestName, found
}

// Miss returns the error for a name that is not known: `no round KRA; did you
// mean KAR?`. Without a near one it lists a few of those there are.
func Miss(noun, typed string, known []string) error {
	if name, ok := Name(typed, known); ok {
		return fmt.Errorf("no %s %s; did you mean %s?", noun, typed, name)
	}
	const shown = 8
	switch {
	case len(known) == 0:
		return fmt.Errorf("no %s %s; there is no %s yet", noun, typed, noun)
	case len(known) > shown:
		return fmt.Errorf("no %s %s; expected one of %s, ... (%d in all)", noun, typed, strings.Join(known[:shown], ", "), len(known))
	}
	return fmt.Errorf("no %s %s; expected one of %s", noun, typed, strings.Join(known, ", "))
}

// Distance returns the optimal string alignment distance of a and b, in edits.
func Distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	x, y = x[:min(len(x), longest)], y[:min(len(y), longest)]
	before, last, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row[0] = i
		for j := 1; j <= len(y); j++ {
			replace := last[j-1]
			if x[i-1] != y[j-1] {
				replace++
			}
			row[j] = min(replace, last[j]+1, row[j-1]+1)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(y)]
}

func folded(name string) string { return strings.ToLower(strings.TrimSpace(name)) }
