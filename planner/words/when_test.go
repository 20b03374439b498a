package words_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/planner/words"
)

// Times that the clock on the wall showed twice or never. In 2027 clocks in Europe go forward
// on 28 March and back on 31 October (EU directive 2000/84/EC: last Sundays, 01:00 UTC).
func TestTimesOfAClockChange(t *testing.T) {
	t.Parallel()
	s, _, _ := evening(t)
	b := words.New(s)
	for _, c := range []struct {
		line, want string
		now        time.Time
	}{
		{"lls f03 2027-03-28 02:30", `found "2027-03-28 02:30", expected a time that exists: clocks go forward over it`, time.Date(2027, 3, 28, 12, 0, 0, 0, s.Zone)},
		{"lls f03 02:30", `found "2027-10-31 02:30", expected 2027-10-31 02:30+02:00 or 2027-10-31 02:30+01:00: clocks go back over that hour`, time.Date(2027, 10, 31, 12, 0, 0, 0, s.Zone)},
	} {
		r := b.Read(c.line, c.now)
		require.Len(t, r.Faults, 1, c.line)
		require.Equal(t, c.want, r.Faults[0].Error())
	}
	r := b.Read("lls f03 4 h ago", time.Date(2027, 3, 28, 5, 30, 0, 0, s.Zone)) // an hour is missing that night
	require.Empty(t, r.Faults)
	require.Equal(t, "2027-03-28 00:30", r.At.Format("2006-01-02 15:04"))
}
