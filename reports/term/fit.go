package term

import (
	"strings"
	"unicode"

	"github.com/jedib0t/go-pretty/v6/text"
)

// fit chooses the columns to show and their widths so that a row takes at most width.
// cells holds the heading, the rows and the foot.
func fit(columns []Column, cells [][]string, width int) (shown, widths []int) {
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
	for total(least, shown) > width {
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
	// to its longest word, and only then of codes and dates.
	narrowed, words := append([]int(nil), natural...), longestWords(columns, cells)
	for total(narrowed, shown) > width {
		widest := -1
		for _, floor := range [][]int{least, words, nil} {
			for _, i := range shown {
				if (floor == nil || (columns[i].Wrap && narrowed[i] > floor[i])) && narrowed[i] > 1 &&
					(widest < 0 || narrowed[i] > narrowed[widest]) {
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
	return shown, widths
}

// longestWords is how narrow each column can be without breaking a word of it.
func longestWords(columns []Column, cells [][]string) []int {
	longest := make([]int, len(columns))
	for i := range columns {
		for _, row := range cells {
			for _, word := range strings.Fields(row[i]) {
				longest[i] = max(longest[i], text.StringWidthWithoutEscSequences(word))
			}
		}
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

func total(widths []int, shown []int) int {
	sum := gapColumns * (len(shown) - 1)
	for _, i := range shown {
		sum += widths[i]
	}
	return sum
}

// wrap breaks words into lines of at most width, at spaces where it can.
func wrap(words string, width int) string {
	var lines []string
	for _, line := range strings.Split(words, "\n") {
		lines = append(lines, wrapLine(line, width)...)
	}
	return strings.Join(lines, "\n")
}

func wrapLine(line string, width int) []string {
	if text.StringWidthWithoutEscSequences(line) <= width {
		return []string{line}
	}
	if strings.Contains(line, "\x1b") {
		return strings.Split(text.WrapHard(line, width), "\n") // it carries our own colour along
	}
	var lines []string
	current, currentWidth := "", 0
	flush := func() {
		lines = append(lines, strings.TrimRight(current, " "))
		current, currentWidth = "", 0
	}
	for _, word := range strings.SplitAfter(line, " ") {
		bare := text.StringWidth(strings.TrimRight(word, " "))
		if currentWidth > 0 && currentWidth+bare > width {
			flush()
		}
		for bare > width { // a word longer than the line
			head := text.Trim(word, width)
			if head == "" {
				break // one letter wider than the line
			}
			current = head
			flush()
			word = strings.TrimPrefix(word, head)
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
