package term

import (
	"bytes"
	"context"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jedib0t/go-pretty/v6/text"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// need is a small table in the program's words.
func need() Table {
	return Table{
		Columns: []Column{
			{Title: "part"}, {Title: "name", Wrap: true}, {Title: "at 95 %", Right: true},
			{Title: "on order", Right: true, Drop: 2}, {Title: "cover", Right: true, Drop: 1},
		},
		Rows: [][]string{
			{"WIP-40", "wiper, 40 mm leg", "28", "0", "84.3 %"},
			{"CRW-10", "crush washer M10", "40", "0", "0.0 %"},
		},
	}
}

func drawn(t *testing.T, look Look, table Table) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, look.Print(&out, table))
	return out.String()
}

func TestPrintPiped(t *testing.T) {
	t.Parallel()
	require.Equal(t, strings.Join([]string{
		"part    name              at 95 %  on order   cover",
		"WIP-40  wiper, 40 mm leg       28         0  84.3 %",
		"CRW-10  crush washer M10       40         0   0.0 %",
		"",
	}, "\n"), drawn(t, Look{}, need()))
}

func TestPrintTerminal(t *testing.T) {
	t.Parallel()
	got := drawn(t, Look{Terminal: true, Columns: 80}, need())
	lines := strings.Split(got, "\n")
	require.Equal(t, strings.Repeat("─", text.StringWidth(lines[0])), lines[1])
	require.NotContains(t, got, "\x1b")

	coloured := drawn(t, Look{Terminal: true, Colour: true, Columns: 80}, need())
	require.Contains(t, coloured, "\x1b[1mpart\x1b[0m")
	require.Equal(t, got, text.StripEscape(coloured), "colour changes nothing else")
}

func TestPrintNarrow(t *testing.T) {
	t.Parallel()
	// The text wraps first, then the column with the highest Drop goes and is named.
	require.Equal(t, strings.Join([]string{
		"part    name          at 95 %   cover",
		"WIP-40  wiper, 40 mm       28  84.3 %",
		"        leg",
		"CRW-10  crush washer       40   0.0 %",
		"        M10",
		"(too narrow here for: on order)",
		"",
	}, "\n"), drawn(t, Look{Columns: 37}, need()))
}

// Where nothing more may be left out, running text gives way as far as its longest word
// before a date or a code is broken.
func TestPrintBreaksTextBeforeADate(t *testing.T) {
	t.Parallel()
	table := Table{Columns: []Column{{Title: "lot"}, {Title: "good until"}, {Title: "", Wrap: true}},
		Rows: [][]string{{"LT-0901", "2027-01-31", "past date: ask"}}}
	require.Equal(t, strings.Join([]string{
		"lot      good until",
		"LT-0901  2027-01-31  past",
		"                     date:",
		"                     ask",
		"",
	}, "\n"), drawn(t, Look{Columns: 27}, table))
}

func TestPrintLeavesOutWhatIsBlank(t *testing.T) {
	t.Parallel()
	table := Table{Columns: []Column{{Title: "part"}, {Title: "on order", Drop: 1}, {Title: "short"}}, Rows: [][]string{{"WIP-40", "", ""}}}
	require.Equal(t, "part    short\nWIP-40\n", drawn(t, Look{}, table), "short has no Drop, so it stays")
}

func TestPrintFoot(t *testing.T) {
	t.Parallel()
	table := Table{Columns: []Column{{Title: "case"}, {Title: "kg", Right: true}}, Rows: [][]string{{"T-B01", "12.5"}}, Foot: []string{"total", "12.5"}}
	require.Equal(t, "case     kg\nT-B01  12.5\ntotal  12.5\n", drawn(t, Look{}, table))
	require.Equal(t, "case     kg\n───────────\nT-B01  12.5\n───────────\ntotal  12.5\n",
		drawn(t, Look{Terminal: true}, table))
}

func TestPrintWithoutHeading(t *testing.T) {
	t.Parallel()
	table := Table{Columns: []Column{{}, {Wrap: true}}, Rows: [][]string{{"process", "812"}, {"databases", "roundkit"}}}
	require.Equal(t, "process    812\ndatabases  roundkit\n", drawn(t, Look{Terminal: true}, table))
}

func TestPrintKeepsDangerousLettersOut(t *testing.T) {
	t.Parallel()
	table := Table{Columns: []Column{{Title: "name"}}, Rows: [][]string{{"a\x1b[2Jb\tc\x07\u202ed"}}}
	require.Equal(t, "name\na[2Jb cd\n", drawn(t, Look{}, table))
	require.Error(t, Look{}.Print(&bytes.Buffer{}, Table{Columns: []Column{{Title: "a"}}, Rows: [][]string{{"1", "2"}}}))

	warned := Table{Columns: []Column{{Title: "short", Right: true}}, Rows: [][]string{{Look{Colour: true}.Warn("14\x1b[2J")}}}
	require.Equal(t, "short\n\x1b[31m14[2J\x1b[0m\n", drawn(t, Look{}, warned))
	require.Equal(t, "14", Look{}.Warn("14"))
}

// No line is wider than asked, no tab or trailing space is printed, and each cell is
// there (its letters in order) unless its column is named as left out.
func TestPrintFits(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.StringMatching(`[a-z0-9é漢,.-]{0,14}( [a-z0-9é漢,.-]{1,14}){0,4}`)
		count := rapid.IntRange(1, 6).Draw(t, "columns")
		var table Table
		for range count {
			table.Columns = append(table.Columns, Column{
				Title: rapid.StringMatching(`[a-z]{1,8}`).Draw(t, "title"),
				Right: rapid.Bool().Draw(t, "right"),
				Wrap:  rapid.Bool().Draw(t, "wrap"),
				Drop:  rapid.IntRange(0, 3).Draw(t, "drop"),
			})
		}
		for range rapid.IntRange(0, 4).Draw(t, "rows") {
			table.Rows = append(table.Rows, rapid.SliceOfN(cell, count, count).Draw(t, "row"))
		}
		look := Look{Columns: rapid.IntRange(leastColumns, 110).Draw(t, "width"), Terminal: rapid.Bool().Draw(t, "terminal")}
		var out bytes.Buffer
		require.NoError(t, look.Print(&out, table))
		for _, line := range strings.Split(out.String(), "\n") {
			require.LessOrEqual(t, text.StringWidth(line), look.Columns, "%q", line)
			require.Equal(t, strings.TrimRight(line, " "), line)
			require.NotContains(t, line, "\t")
		}
	})
}

func TestWrapLosesNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.StringMatching(`[a-zé漢]{0,20}( {1,2}[a-zé漢]{1,20}){0,5}`).Draw(t, "words")
		width := rapid.IntRange(2, 30).Draw(t, "width")
		wrapped := wrap(words, width)
		bare := strings.NewReplacer(" ", "", "\n", "")
		require.Equal(t, bare.Replace(words), bare.Replace(wrapped))
		for _, line := range strings.Split(wrapped, "\n") {
			require.LessOrEqual(t, text.StringWidth(line), width)
		}
	})
}

// screen is a terminal that may be read while it is written to.
type screen struct {
	mutex sync.Mutex
	shown bytes.Buffer
}

func (s *screen) Write(p []byte) (int, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.shown.Write(p)
}

func (s *screen) String() string {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.shown.String()
}

func TestProgress(t *testing.T) {
	t.Parallel()
	quiet := NoProgress()
	quiet.Step(1)
	quiet.Done()

	ctx, cancel := context.WithCancel(t.Context())
	var out screen
	p := NewProgress(ctx, &out, "loading", 10)
	p.Step(3)
	require.Eventually(t, func() bool { return strings.Contains(out.String(), "loading") }, 10*time.Second, 10*time.Millisecond)
	require.Contains(t, out.String(), "30.00%")
	p.Done()
	p.Done() // twice does no harm
	cancel()

	// An ended context ends the display as well.
	p = NewProgress(ctx, &screen{}, "loading", 0)
	select {
	case <-p.ended:
	case <-time.After(10 * time.Second):
		require.Fail(t, "still shown")
	}
	p.Done()
}

// A warning reaches the terminal in colour, on every line of it; an escape that came with a
// name does not.
func TestSayWarns(t *testing.T) {
	t.Parallel()
	say := func(look Look, words string) string {
		var out bytes.Buffer
		require.NoError(t, look.Say(&out, words))
		return out.String()
	}
	look := Look{Columns: 24, Terminal: true, Colour: true}
	require.Equal(t, "\x1b[31mcaution: spring under\x1b[0m\n\x1b[31mload\x1b[0m\n", say(look, look.Warn("caution: spring under load")))
	require.Equal(t, "caution: [2Jspring\n", say(look, "caution: \x1b[2Jspring"))
	require.Equal(t, "\x1b[31m[2Jspring\x1b[0m\n", say(look, look.Warn("\x1b[2Jspring")))
	plain := Look{Columns: 24}
	require.Equal(t, "caution: spring under\nload\n", say(plain, plain.Warn("caution: spring under load")))
}

// A column without a title is left out without a word of it: there is no name to give.
func TestDroppedWithoutTitle(t *testing.T) {
	t.Parallel()
	got := drawn(t, Look{Columns: 20}, Table{Columns: []Column{{Title: "record"}, {Title: "", Wrap: true, Drop: 1}}, Rows: [][]string{{"J-0268-0123", "steep, wants more front of it"}}})
	require.NotContains(t, got, "too narrow")
}
