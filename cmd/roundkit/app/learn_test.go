package app

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
)

// The invented season's chances beside its log.
func TestLearn(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	out, _ := run(frame.Done, "learn")
	require.Regexp(t, `service +part +weather +planned +worth +log +learned +80 % range`, out)
	require.Regexp(t, `dry +\d+ % +10 +\d+ of \d+ +\d+ % +\d+ to \d+ %`, out)
	require.Regexp(t, `LLS +WIP-40 +dry +25 % +10 +13 of 42 +30 %`, out, "counted in the sheets job-log, job-parts and rounds by a script of its own; (2.5 + 13) / 52 by hand")
	require.Contains(t, out, "the plan stays as it is typed")
	rows := reads[[]answer.Learned](t, run, "learn")
	at := slices.IndexFunc(rows, func(r answer.Learned) bool { return r.Service == "LLS" && r.Part == "WIP-40" && r.Weather == "dry" })
	require.GreaterOrEqual(t, at, 0)
	require.Equal(t, []any{13, 42, 0.25, 10.0}, []any{rows[at].Used, rows[at].Jobs, rows[at].Planned, rows[at].Worth})
	require.InDelta(t, 15.5/52, rows[at].Learned, 1e-12)
}
