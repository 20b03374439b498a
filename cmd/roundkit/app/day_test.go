package app

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
)

// words takes a line of a shell script apart: quotes hold a word together.
func words(t *testing.T, line string) (out []string) {
	t.Helper()
	line, _, _ = strings.Cut(line, " #")
	word, quoted, any := "", false, false
	for _, r := range line {
		switch {
		case r == '"':
			quoted, any = !quoted, true
		case r == ' ' && !quoted:
			if any || word != "" {
				out = append(out, word)
			}
			word, any = "", false
		default:
			word += string(r)
		}
	}
	require.False(t, quoted, line)
	if any || word != "" {
		out = append(out, word)
	}
	return out
}

// What changes from run to run: the end of a record's id, a minute of the season clock.
var (
	recordEnd = regexp.MustCompile(`(undo |  )[0-9a-f]{6}( |\n|$)`)
	clockNow  = regexp.MustCompile(`2027-06-05 19:0\d`)
)

// An evening of twelve jobs, a count, a weighing, a kit opened and undos, as a mechanic types
// them into a terminal of 80 columns: testdata/day/day.sh prints testdata/day/day.txt.
// ROUNDKIT_UPDATE=1 renews the text; read the difference as a mechanic would.
func TestDay(t *testing.T) {
	t.Parallel()
	folder := filepath.Join("..", "..", "..", "testdata", "day")
	script, err := os.ReadFile(filepath.Join(folder, "day.sh"))
	require.NoError(t, err)
	url := seasonURL(t, nil)
	var got strings.Builder
	jobs := 0
	for _, line := range strings.Split(string(script), "\n") {
		rest, ok := strings.CutPrefix(line, "roundkit ")
		if !ok || strings.Contains(line, "()") {
			continue
		}
		env, out, errs := terminal(map[string]string{"DATABASE_URL": url, "NO_COLOR": "1", "ROUNDKIT_PERSON": "u1"})
		env.TerminalColumns = 80
		require.Equal(t, frame.Done, Run(t.Context(), env, words(t, rest)), "%s: %s", line, errs)
		require.Empty(t, errs.String(), line)
		for _, l := range strings.Split(out.String(), "\n") {
			require.LessOrEqual(t, len([]rune(l)), 80, l)
		}
		if strings.HasPrefix(rest, "job log") {
			jobs++
		}
		text := recordEnd.ReplaceAllString(clockNow.ReplaceAllString(out.String(), "2027-06-05 19:00"), "${1}RECORD${2}")
		got.WriteString("$ " + line + "\n" + text + "\n")
	}
	require.Equal(t, 12, jobs)
	golden := filepath.Join(folder, "day.txt")
	if os.Getenv("ROUNDKIT_UPDATE") != "" {
		require.NoError(t, os.WriteFile(golden, []byte(got.String()), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, strings.Split(string(want), "\n"), strings.Split(got.String(), "\n"))
}

// "One more rebuild tonight?" By hand, from the weighed bottles of Saturday 19:00 (scenario,
// section 8) and the kits in the truck (known answer 1: 2). A rebuild takes one kit and the
// fork's own damper oil, 185 ml typical with 15 % on top: 212.75 ml.
//
//	F01, F02 (light):   B-121 726.73 ml / 212.75 = 3.4, so 3; kits 2    -> 2, stopped by KIT-DMP40
//	F03..F06 (medium):  B-109 580.378 + B-122 1000 = 1580.378 / 212.75 = 7.4; kits 2 -> 2
//	F07, F08 (heavy):   B-111 148.886 ml / 212.75 = 0.7                 -> none, stopped by OIL-D22
func TestOneMoreRebuildTonight(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	asks(t, url, "job left --at truck --json", map[string]any{
		"[service=DMP,assembly=F01].left": 2, "[service=DMP,assembly=F01].limited_by": "KIT-DMP40", "[service=DMP,assembly=F01].next[part=OIL-D10].left": 3,
		"[service=DMP,assembly=F04].left": 2, "[service=DMP,assembly=F04].next[part=OIL-D16].left": 7,
		"[service=DMP,assembly=F07].left": 0, "[service=DMP,assembly=F07].limited_by": "OIL-D22", "[service=DMP,assembly=F07].next[part=KIT-DMP40].left": 2,
	})
	env, out, errs := terminal(map[string]string{"DATABASE_URL": url, "NO_COLOR": "1"})
	require.Equal(t, frame.Done, Run(t.Context(), env, strings.Fields("job left --at truck")), errs)
	first, _, _ := strings.Cut(out.String(), "\n")
	require.Equal(t, "no more can be done of DMP on F07 F08 (OIL-D22)", first)
}
