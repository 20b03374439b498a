package app

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
)

// listings is every question of the demo that may have a long answer, as a person types it.
var listings = []string{"evening", "who", "what", "where WIP-40", "places", "job left", "job left LLS pim", "job list", "stock", "stock springs",
	"stock history WIP-40", "stock --below", "forecast", "forecast --trip TR-COM", "explain WIP-40", "pack TR-TES", "pack TR-COM", "papers TR-TES",
	"reorder", "order list", "spend", "spend --by rider", "spend --by supplier", "learn", "difference list", "rate list",
	"oil blend --want OIL-D22", "help", "help pack", "version"}

var (
	escape     = regexp.MustCompile("\x1b\\[[0-9;]*m")
	brokenDate = regexp.MustCompile(`\b20[0-9]{2}-([0-9]{0,2}|[0-9]{2}-[0-9]?)( |$)`)
)

// At a terminal of 60 columns and 24 lines every listing is read page by page, no line of it is
// wider, no date or part is broken, and no colour runs on; --all prints the same at once.
func TestListingsAtASmallTerminal(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	ask := func(line string, change func(*frame.Env)) (status int, out string) {
		env, seen, errs := terminal(map[string]string{"DATABASE_URL": url, "ROUNDKIT_PERSON": "u1"})
		env.TerminalRows, env.ErrTerminal = 24, false
		change(&env)
		status = Run(t.Context(), env, strings.Fields(line))
		require.Empty(t, errs.String(), line)
		return status, seen.String()
	}
	var parts []struct{ Part string }
	_, all := ask("forecast --json", func(*frame.Env) {})
	var forecast struct{ Parts json.RawMessage }
	require.NoError(t, json.Unmarshal([]byte(all), &forecast))
	require.NoError(t, json.Unmarshal(forecast.Parts, &parts))
	for _, line := range listings {
		var paged string
		status, out := ask(line, func(e *frame.Env) {
			e.Page = func(_ context.Context, text []byte) error { paged = string(text); return nil }
		})
		require.Equal(t, frame.Done, status, line)
		require.True(t, paged == "" || out == "", "%s: some of it is paged, some not", line)
		require.LessOrEqual(t, strings.Count(out, "\n"), 23, line)
		whole := paged + out
		for _, l := range strings.Split(whole, "\n") {
			marks := escape.FindAllString(l, -1)
			require.Zero(t, len(marks)%2, "%s: colour runs on in %q", line, l)
			l = escape.ReplaceAllString(l, "")
			assert.LessOrEqual(t, len([]rune(l)), 60, "%s: %q", line, l)
			assert.NotRegexp(t, brokenDate, l, line)
			for _, word := range strings.Fields(l) {
				broken := slices.ContainsFunc(parts, func(p struct{ Part string }) bool {
					return len(word) > 4 && word != p.Part && strings.HasPrefix(p.Part, word)
				})
				known := slices.ContainsFunc(parts, func(p struct{ Part string }) bool { return word == p.Part })
				assert.False(t, broken && !known, "%s: %q is a part broken in %q", line, word, l)
			}
		}
		if strings.HasPrefix(line, "help") || line == "evening" || line == "version" {
			continue
		}
		status, at := ask(line+" --all", func(e *frame.Env) {
			e.Page = func(context.Context, []byte) error { return errors.New("paged") }
		})
		require.Equal(t, frame.Done, status, line)
		require.Equal(t, strings.Count(whole, "\n"), strings.Count(at, "\n"), line)
	}
}

// Without a pager the first lines are printed, and how many there are; what is piped is whole; JSON
// is never cut; a pager that fails is a failure of the answer.
func TestListingWithoutAPager(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := func(line string, rows int, page func(context.Context, []byte) error) (int, string, string) {
		env, out, errs := terminal(map[string]string{"DATABASE_URL": url, "NO_COLOR": "1"})
		env.TerminalRows, env.Page = rows, page
		status := Run(t.Context(), env, strings.Fields(line))
		return status, out.String(), errs.String()
	}
	none := func(context.Context, []byte) error { return frame.ErrNoPager }
	_, whole, _ := run("places", 0, nil)
	lines := strings.SplitAfter(whole, "\n")
	require.Greater(t, len(lines), 24)
	for _, page := range []func(context.Context, []byte) error{none, nil} {
		status, out, _ := run("places", 24, page)
		require.Equal(t, frame.Done, status)
		require.Equal(t, strings.Join(lines[:22], "")+fmt.Sprintf("%d more lines: --all\n", strings.Count(whole, "\n")-22), out)
	}
	_, out, _ := run("places", strings.Count(whole, "\n")+1, none)
	require.Equal(t, whole, out, "it fits, with the shell's own line")
	_, out, _ = run("places --json", 24, none)
	require.True(t, json.Valid([]byte(out)))
	status, _, errs := run("places", 24, func(context.Context, []byte) error { return errors.New("it broke") })
	require.Equal(t, frame.Refused, status)
	require.Contains(t, errs, "write the answer: it broke")

	small, _, said := terminal(map[string]string{"DATABASE_URL": url})
	small.TerminalRows = 24
	require.Equal(t, frame.Refused, Run(t.Context(), small, []string{"undo", "--by", "u1"}))
	require.Contains(t, said.String(), "hint: name the record: ")
	for _, l := range strings.Split(said.String(), "\n") {
		require.LessOrEqual(t, len([]rune(l)), 60)
	}
	require.Contains(t, strings.Join(strings.Fields(said.String()), " "), "roundkit job list and roundkit stock history PART show them")

	env, piped, _ := terminal(map[string]string{"DATABASE_URL": url})
	env.OutTerminal, env.TerminalRows, env.Page = false, 24, none
	require.Equal(t, frame.Done, Run(t.Context(), env, []string{"stock"}))
	require.Greater(t, bytes.Count(piped.Bytes(), []byte("\n")), 23)
}
