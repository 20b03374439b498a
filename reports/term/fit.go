package term

import (
	"regexp"
	"strings"
	"unicode"

	"github.com/jedib0t/go-pretty/v6/text"
)

// fit chooses the columns to show and their widths so that a row takes at most width.
// cells holds the heading, the rows and the foot. Columns stand gapColumns apart; where that would
// break a word, one.
func fit(columns []Column, cells [][]string, width int) (shown, widths []int, gap int) {
	gap = gapColumns
	blank := blanks(columns, cells)
	natural, least := make([]int, len(columns)), make([]int, len(columns))
	for i := range columns {
		for _, row := range cells {
			natural[i] = max(natural[i], text.LongestLineLen(row[i]))
		}
		natural[i] = max(natural[i], 1)
		least[i] = natural[i]
		if columns[i].Wrap {
			keep := columns[i].Least
			if keep == 0 {
				keep = leastWrapped
			}
			least[i] = min(natural[i], keep)
		}
		if !blank[i] {
			shown = append(shown, i)
		}
	}
	// Leave out what may be left out until the rest fits with its text wrapped.
	for total(least, shown, gap) > width {
		drop := -1
		for at, i := range shown {
			if columns[i].Drop > 0 && (drop < 0 || columns[i].Drop >= columns[shown[drop]].Drop) {
				drop = at
			}
		}
		if drop < 0 {
			break
		}
		shown = append(shown[:drop], shown[drop+1:]...)
	}
	// Take from the widest column what is still too much: of text down to its least, then down
	// to its longest amount and then word, then of headings, and only then of codes and dates.
	narrowed := append([]int(nil), natural...)
	amounts, words := longestWords(columns, cells, unbroken), longestWords(columns, cells, strings.Fields)
	for i, c := range columns {
		if !c.Wrap {
			amounts[i] = longestCell(cells, i)
			words[i] = amounts[i]
		}
	}
	if total(words, shown, gap) > width {
		gap = 1
	}
	for total(narrowed, shown, gap) > width {
		widest := -1
		for _, floor := range [][]int{least, amounts, words, nil} {
			for _, i := range shown {
				if (floor == nil || narrowed[i] > floor[i]) && narrowed[i] > 1 && (widest < 0 || narrowed[i] > narrowed[widest]) {
					widest = i
				}
			}
			if widest >= 0 {
				break
			}
		}
		if widest < 0 {
			break // more columns than the width has letters
		}
		narrowed[widest]--
	}
	for _, i := range shown {
		widths = append(widths, narrowed[i])
	}
	return shown, widths, gap
}

// longestWords is how narrow each column can be without breaking one of its words.
func longestWords(columns []Column, cells [][]string, words func(line string) []string) []int {
	longest := make([]int, len(columns))
	for i := range columns {
		for _, row := range cells {
			inner, _, _ := coloured(row[i])
			for _, line := range strings.Split(inner, "\n") {
				for _, word := range words(line) {
					longest[i] = max(longest[i], text.StringWidthWithoutEscSequences(strings.TrimSpace(word)))
				}
			}
		}
	}
	return longest
}

// longestCell is how narrow a column can be so that only its heading is broken, at words.
func longestCell(cells [][]string, column int) (longest int) {
	for _, word := range strings.Fields(cells[0][column]) {
		longest = max(longest, text.StringWidthWithoutEscSequences(word))
	}
	for _, row := range cells[1:] {
		longest = max(longest, text.LongestLineLen(row[column]))
	}
	return longest
}

// blanks returns the columns that may be left out and have nothing in them.
func blanks(columns []Column, cells [][]string) map[int]bool {
	found := map[int]bool{}
	for i, c := range columns {
		found[i] = c.Drop > 0
		for _, row := range cells[1:] {
			found[i] = found[i] && row[i] == ""
		}
	}
	return found
}

func total(widths []int, shown []int, gap int) int {
	sum := gap * (len(shown) - 1)
	for _, i := range shown {
		sum += widths[i]
	}
	return sum
}

// wrap breaks words into lines of at most width, at spaces where it can. A text that is coloured
// as a whole stays so, line by line.
func wrap(words string, width int) string {
	inner, on, off := coloured(words)
	var lines []string
	for _, line := range strings.Split(inner, "\n") {
		lines = append(lines, wrapLine(line, width)...)
	}
	for i := range lines {
		lines[i] = on + lines[i] + off
	}
	return strings.Join(lines, "\n")
}

// coloured takes off the sequences that colour a text as a whole.
func coloured(words string) (inner, on, off string) {
	end := text.Reset.EscapeSeq()
	if !strings.HasPrefix(words, "\x1b") || !strings.HasSuffix(words, end) {
		return words, "", ""
	}
	begin, rest, _ := strings.Cut(words, "m") // of a colour's sequence the last letter (ECMA-48, 8.3.117)
	return strings.TrimSuffix(rest, end), begin + "m", end
}

func wrapLine(line string, width int) []string {
	if text.StringWidthWithoutEscSequences(line) <= width {
		return []string{line}
	}
	var lines []string
	current, currentWidth := "", 0
	flush := func() {
		lines = append(lines, strings.TrimRight(current, " "))
		current, currentWidth = "", 0
	}
	for _, word := range unbroken(line) {
		bare := text.StringWidth(strings.TrimRight(word, " "))
		if currentWidth > 0 && currentWidth+bare > width {
			flush()
		}
		for bare > width { // a word longer than the line
			head := text.Trim(word, width)
			if head == "" {
				break // one letter wider than the line
			}
			if at := strings.LastIndex(head, " "); at > 0 { // between an amount and its unit, if need be
				head = head[:at+1]
			}
			current = head
			flush()
			word = strings.TrimLeft(strings.TrimPrefix(word, head), " ")
			bare = text.StringWidth(strings.TrimRight(word, " "))
		}
		current += word
		currentWidth += text.StringWidth(word)
	}
	if current != "" {
		flush()
	}
	return lines
}

// amountUnits are what may follow a number and is read with it.
var amountUnits = map[string]bool{"pc": true, "ml": true, "l": true, "g": true, "kg": true, "%": true, "EUR": true, "cSt": true,
	"N/mm": true, "lb/in": true, "h": true, "min": true, "days": true}

// unbroken splits a line after its spaces, but for those between an amount and its unit, and
// between a code and its amount: "OIL-B68 43.2 ml".
func unbroken(line string) (words []string) {
	before := ""
	for _, word := range strings.SplitAfter(line, " ") {
		bare := strings.TrimRight(strings.TrimSpace(word), ".,;:)")
		last := len(words) - 1
		if last >= 0 && (amountUnits[bare] && number(before) || number(bare) && code.MatchString(before)) {
			words[last] += word
		} else {
			words = append(words, word)
		}
		before = strings.TrimSpace(word)
	}
	return words
}

// code is what the codes of parts look like, but for a bracket before it.
var code = regexp.MustCompile(`^[(]?[A-Z0-9]+-[A-Z0-9#-]+$`)

func number(word string) bool {
	word = strings.TrimLeft(word, "(+-")
	return word != "" && strings.Trim(word, "0123456789.,") == "" && word[0] >= '0' && word[0] <= '9'
}

// Clean takes out of words what could drive a terminal or turn its reading direction:
// control letters, line ends included, become spaces or are left out.
func Clean(words string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r):
			return -1
		}
		return r
	}, words)
}

// cleanCell is Clean but for line ends, which a table can show. The colour of Warn is
// kept: it is put on again around the cleaned words.
func cleanCell(cell string) string {
	if inner, warned := unwarned(cell); warned {
		return text.FgRed.EscapeSeq() + cleanLines(inner) + text.Reset.EscapeSeq()
	}
	return cleanLines(cell)
}

// unwarned takes the colour of Warn off a text that is a warning as a whole.
func unwarned(words string) (inner string, warned bool) {
	if inner, ok := strings.CutPrefix(words, text.FgRed.EscapeSeq()); ok {
		if inner, ok = strings.CutSuffix(inner, text.Reset.EscapeSeq()); ok {
			return inner, true
		}
	}
	return words, false
}

func cleanLines(cell string) string {
	if len(cell) > mostCellLetter {
		cell = text.Trim(cell, mostCellLetter) + "..."
	}
	lines := strings.Split(cell, "\n")
	for i := range lines {
		lines[i] = Clean(lines[i])
	}
	return strings.Join(lines, "\n")
}
