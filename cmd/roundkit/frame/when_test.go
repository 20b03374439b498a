package frame

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// In 2027 clocks in central Europe go forward on 28 March at 2:00 and back on 31 October at 3:00
// (directive 2000/84/EC: the last Sundays of March and October, at 1:00 UTC).
func TestWhen(t *testing.T) {
	t.Parallel()
	zone, err := time.LoadLocation("Europe/Vienna")
	require.NoError(t, err)
	for _, c := range []struct{ today, text, want, fault string }{
		{"2027-06-05", "10:12", "2027-06-05T08:12:00Z", ""},
		{"2027-06-05", "2:30", "2027-06-05T00:30:00Z", ""},
		{"2027-06-05", "2027-06-04 10:12", "2027-06-04T08:12:00Z", ""},
		{"2027-03-28", "02:30", "", `option --when: found "2027-03-28 02:30", expected a time that exists: clocks go forward over it`},
		{"2027-03-28", "3:30", "2027-03-28T01:30:00Z", ""},
		{"2027-10-31", "02:30", "", `option --when: found "2027-10-31 02:30", expected 2027-10-31 02:30+02:00 or 2027-10-31 02:30+01:00: clocks go back over that hour`},
		{"2027-10-31", "2027-10-31 02:30+01:00", "2027-10-31T01:30:00Z", ""},
		{"2027-06-05", "25:00", "", `option --when: found "25:00", expected a time such as "2027-06-05 10:12" or 10:12`},
		{"2027-06-05", "2027-02-30 10:00", "", `option --when: found "2027-02-30 10:00", expected a day and a time that exist`},
	} {
		got, err := readWhen(c.text, zone, func() (time.Time, error) { return time.ParseInLocation(time.DateOnly, c.today, zone) })
		if c.fault != "" {
			require.EqualError(t, err, c.fault, c.text)
			continue
		}
		require.NoError(t, err, c.text)
		require.Equal(t, c.want, got.UTC().Format(time.RFC3339), c.text)
	}
}
