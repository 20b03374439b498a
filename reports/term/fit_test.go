package term

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var escapes = regexp.MustCompile("\x1b\\[[0-9;]*m")

// Colour is paint only: taken off, the table is the plain one, letter by letter, at any width;
// and no line leaves its colour on for the next.
func TestColourChangesNoLayout(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(r *rapid.T) {
		word := rapid.StringMatching(`[a-zA-Z]{1,9}|[0-9]{1,4}|[0-9]{1,3}\.[0-9]|ml|2027-0[1-9]-1[0-9]`)
		cell := rapid.Custom(func(r *rapid.T) string { return strings.Join(rapid.SliceOfN(word, 0, 6).Draw(r, "words"), " ") })
		n := rapid.IntRange(1, 5).Draw(r, "columns")
		table, painted := Table{}, Table{}
		plain := Look{Columns: rapid.IntRange(20, 70).Draw(r, "width"), Terminal: true}
		colour := plain
		colour.Colour = true
		for range n {
			c := Column{Title: cell.Draw(r, "title"), Wrap: rapid.Bool().Draw(r, "wrap"), Right: rapid.Bool().Draw(r, "right"), Drop: rapid.IntRange(0, 2).Draw(r, "drop")}
			table.Columns = append(table.Columns, c)
		}
		painted.Columns = table.Columns
		for range rapid.IntRange(0, 4).Draw(r, "rows") {
			row, warned := make([]string, n), make([]string, n)
			for i := range row {
				row[i] = cell.Draw(r, "cell")
				warned[i] = row[i]
				if rapid.Bool().Draw(r, "warned") {
					warned[i] = colour.Warn(row[i])
				}
			}
			table.Rows, painted.Rows = append(table.Rows, row), append(painted.Rows, warned)
		}
		got := drawn(t, colour, painted)
		require.Equal(r, drawn(t, plain, table), escapes.ReplaceAllString(got, ""))
		for _, line := range strings.Split(got, "\n") {
			marks := escapes.FindAllString(line, -1)
			require.Equal(r, 0, len(marks)%2, "%q", line)
			for i, m := range marks {
				require.Equal(r, i%2 == 1, m == "\x1b[0m", "%q", line)
			}
		}
	})
}

// The heading gives way before a date does, and running text before its amounts.
func TestPrintKeepsDatesAndAmountsWhole(t *testing.T) {
	t.Parallel()
	table := Table{
		Columns: []Column{{Title: "part"}, {Title: "place"}, {Title: "quantity", Right: true}, {Title: "tag or lot"}, {Title: "good until"}, {Title: "", Wrap: true}},
		Rows:    [][]string{{"BSH-EYE12", "T-D08-LEFT", "1234.5 ml", "LT-0901", "2027-01-31", "past date: ask 43.2 ml of 1 l"}},
	}
	for _, look := range []Look{{Columns: 60, Terminal: true}, {Columns: 60, Terminal: true, Colour: true}} {
		require.Equal(t, strings.Join([]string{
			"part       place        quantity  tag or   good until",
			"                                  lot",
			"────────────────────────────────────────────────────────────",
			"BSH-EYE12  T-D08-LEFT  1234.5 ml  LT-0901  2027-01-31  past",
			"                                                       date:",
			"                                                       ask",
		}, "\n"), strings.Join(strings.Split(escapes.ReplaceAllString(drawn(t, look, table), ""), "\n")[:6], "\n"))
	}
	require.Equal(t, "uses\nDGR-5L 60 ml,\nRAG-LF 2", wrap("uses DGR-5L 60 ml, RAG-LF 2", 14))
	require.Equal(t, "uses\nRAG-LF 4,\nGLV-NIT 1", wrap("uses RAG-LF 4, GLV-NIT 1", 11))
	require.Equal(t, "on 1 2\nof them", wrap("on 1 2 of them", 7))
	require.Equal(t, "no\n2 pc", wrap("no 2 pc", 4))
	require.Equal(t, "1000\nml", wrap("1000 ml", 4), "an amount wider than the line")
}
