package app

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
)

// person returns a function that runs command lines against a season's database as one
// person, expects a status and returns what was printed and what was complained of.
func person(t *testing.T, url string) func(status int, words ...string) (out, errs string) {
	t.Helper()
	home := t.TempDir()
	return func(status int, words ...string) (string, string) {
		t.Helper()
		env, out, errs := terminal(map[string]string{"DATABASE_URL": url, "NO_COLOR": "1", "ROUNDKIT_PERSON": "u3", "ROUNDKIT_HOME": home})
		env.OutTerminal, env.ErrTerminal, env.TerminalColumns = false, false, 0 // a slow machine shows a bar
		require.Equal(t, status, Run(t.Context(), env, words), "%v: %s", words, errs)
		return out.String(), errs.String()
	}
}

// reads runs a line and reads its JSON.
func reads[T any](t *testing.T, run func(int, ...string) (string, string), line string) (v T) {
	t.Helper()
	out, _ := run(frame.Done, append(strings.Fields(line), "--json")...)
	require.NoError(t, json.Unmarshal([]byte(out), &v), out)
	return v
}

func held(rows []answer.Stock, part string) (q float64) {
	for _, r := range rows {
		if r.Part == part {
			q += r.Quantity
		}
	}
	return q
}

// The list of TR-TES is booked as done: what the list says is in the cases, nothing is
// packed twice, a correction is of the trip too, and an undo empties the cases again.
func TestPacked(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	list := reads[answer.Pack](t, run, "pack TR-TES --alone --confidence 0.95")
	require.NotEmpty(t, list.Lines)

	dry := reads[answer.Packed](t, run, "pack TR-TES --alone --packed --confidence 0.95 --dry-run")
	require.True(t, dry.DryRun)
	require.Empty(t, reads[[]answer.Stock](t, run, "stock --at FC-3"), "a dry run packs nothing")

	done := reads[answer.Packed](t, run, "pack TR-TES --alone --packed --confidence 0.95")
	require.Equal(t, "N2-5L", done.Short[0].Part, "the demo's README: gas must not fly")
	require.Empty(t, done.NotBooked)
	require.Len(t, done.Moves, len(list.Lines))
	want, got := map[string]float64{}, map[string]float64{}
	for _, l := range list.Lines {
		want[l.Case+" "+l.Part] += l.Quantity
	}
	for _, at := range []string{"FC-1", "FC-2", "FC-3", "FC-4", "FC-5"} {
		for _, r := range reads[[]answer.Stock](t, run, "stock --at "+at) {
			got[at+" "+r.Part] += r.Quantity
		}
	}
	require.InDeltaMapValues(t, want, got, 1e-9)
	require.Contains(t, strings.Join(done.Warnings, " "), "away with another trip today", "the truck is at Zdravelj")

	out, _ := run(frame.Done, "pack", "TR-TES", "--alone", "--packed", "--confidence", "0.95")
	require.Contains(t, out, "TR-TES: nothing to pack, all of the list is with the trip")
	require.Contains(t, out, "short: N2-5L, wanted 1, 0 with the trip (air): hire it there")

	box := list.Lines[slices.IndexFunc(list.Lines, func(l answer.PackLine) bool { return l.Part == "CRW-10" })].Case
	washers := held(reads[[]answer.Stock](t, run, "stock --at "+box), "CRW-10")
	run(frame.Done, "move", "CRW-10", "2", "--from", box, "--to", "W-A2", "--trip", "TR-TES")
	require.InDelta(t, washers-2, held(reads[[]answer.Stock](t, run, "stock --at "+box), "CRW-10"), 0)
	for line, want := range map[string]string{
		"move CRW-10 2 --from W-A2 --to T-D03 --trip TR-TES": "expected one of them in the truck or a case of TR-TES",
		"move CRW-10 2 --from W-A2 --to FC-2 --trip TR-TSE":  "no trip TR-TSE; did you mean TR-TES?",
		"move CRW-10 2 --from W-A2 --to FC-2 --trip TR-WB2":  "trip TR-WB2 stays at home",
	} {
		_, errs := run(frame.Refused, strings.Fields(line)...)
		require.Contains(t, errs, want)
	}
	_, errs := run(frame.Wrong, "pack", "TR-TES", "--packed", "--as-of", "2027-06-05")
	require.Contains(t, errs, "it does not go with --packed")
	_, errs = run(frame.Wrong, "pack", "TR-TES", "--by", "u3")
	require.Contains(t, errs, "it goes with --packed only")

	run(frame.Done, "undo")
	_, errs = run(frame.Refused, "undo")
	require.Contains(t, errs, "the last thing u3 did is taken back already, expected the name of what to take back before it")
	require.Contains(t, errs, "that would be what was packed for TR-TES")
	require.Contains(t, errs, "; if so: roundkit undo ")
	_, name, _ := strings.Cut(strings.TrimSpace(errs), "roundkit undo ")
	took := reads[answer.Undone](t, run, "undo "+name)
	require.Equal(t, "pack", took.Of.Kind)
	require.Len(t, took.Of.Lines, len(done.Moves))
	require.Empty(t, reads[[]answer.Stock](t, run, "stock --at FC-3"))
	require.Equal(t, list.Lines, reads[answer.Pack](t, run, "pack TR-TES --alone --confidence 0.95").Lines, "as if it had never been packed")
}
