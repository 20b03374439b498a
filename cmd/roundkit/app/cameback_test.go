package app

import (
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
)

// moveClock moves a database's season clock on, as time does.
func moveClock(t *testing.T, url, by string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	defer conn.Close(t.Context())
	_, err = conn.Exec(t.Context(), "UPDATE clock SET ahead_by = ahead_by + $1::interval", by)
	require.NoError(t, err)
}

// The truck comes home from the alpine pair a day early: what was counted is booked, what
// is missing is listed with causes to choose from, never with a name, and the truck serves
// the next trip from that day on.
func TestTripComesBack(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := person(t, url)
	out, _ := run(frame.Done, "came-back", "TR-ALP")
	require.Contains(t, out, "TR-ALP: of 47 things that must come home 2 did not; 2 differences without a reason")
	require.Contains(t, out, "due 2027-06-06: ask for it back")
	require.Contains(t, out, "pack opened at base? 22 from W-A1", "movement of 06-01 07:30, counted at 09:00")
	require.Contains(t, out, "choose a reason: roundkit difference because WIP-40 CAUSE, one of: job not logged, logged twice")
	for _, name := range []string{"Dunja", "Ravi", "u1", "u2", "u5"} {
		require.NotContains(t, out, name, "it points at records, never at people")
	}
	// with a customs list: the fly-away brought all of it home, Glen Orrick used a crown
	// assembly up (scenario, section 8)
	require.Empty(t, reads[answer.CameBack](t, run, "came-back TR-PEL").Customs)
	gle := reads[answer.CameBack](t, run, "came-back TR-GLE")
	require.Len(t, gle.Customs, 1)
	require.Contains(t, gle.Customs[0], "STN-40#1 (serial no. 331901) must come home and is not back")
	require.Equal(t, "used", gle.NotHome[0].Where)

	_, errs := run(frame.Refused, "came-back", "TR-ALP", "WIP-40=20")
	require.Contains(t, errs, "trip TR-ALP has rounds until 2027-06-13, expected one that is over")
	_, errs = run(frame.Refused, "came-back", "TR-WB1")
	require.Contains(t, errs, "trip TR-WB1 stays at home")
	_, errs = run(frame.Refused, "came-back", "TR-APL")
	require.Contains(t, errs, "did you mean TR-ALP?")

	moveClock(t, url, "7 days 22 hours") // 2027-06-13 17:00, finals are over
	before := reads[answer.CameBack](t, run, "came-back TR-ALP")
	require.False(t, before.UnderWay)
	require.Nil(t, before.Parts[0].CountedAt)
	done, _ := run(frame.Done, "came-back", "TR-ALP", "WIP-40=22", "OSL-40=16")
	require.Contains(t, done, "TR-ALP: 2 counted")
	require.Contains(t, done, "TR-ALP is back on 2027-06-13, before the 2027-06-14 of the plan")
	_, errs = run(frame.Refused, "came-back", "TR-ALP", "--unpack")
	require.Contains(t, errs, "trip TR-ALP goes by truck, expected one whose load is in cases")
	after := reads[answer.CameBack](t, run, "came-back TR-ALP")
	for _, p := range after.Parts {
		if p.Part == "WIP-40" { // 36 along, 10 used, 2 short at load-out, 2 more now
			require.Equal(t, []float64{36, 10, 26, -4, 22}, []float64{p.Along, p.Used, p.ShouldBeBack, p.Difference, p.Back})
			require.NotNil(t, p.CountedAt)
		}
	}
	last := after.Differences[len(after.Differences)-1]
	require.Equal(t, []any{"WIP-40", -2.0, "2027-06-13"}, []any{last.Part, last.Quantity, last.Day.String()})
	require.Contains(t, last.Likely, answer.Likely{Cause: "job not logged", Why: "KAR planned 16 LLS more than are logged, 2 each"})

	_, errs = run(frame.Wrong, "difference", "because", "WIP-40", "Dunja")
	require.Contains(t, errs, "no usual cause Dunja; expected one of job not logged, logged twice")
	run(frame.Done, "difference", "because", last.Record.String(), "job not logged", "--note", "F03 on Sunday")
	open, _ := run(frame.Done, "difference", "list", "WIP-40")
	require.Contains(t, open, "job not logged: F03 on Sunday")
	require.Equal(t, 1, strings.Count(open, "2027-06-13"))
}
