package calendar_test

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
)

// d is a date written out in a test.
func d(text string) day.Day {
	v, err := day.Parse(text)
	if err != nil {
		panic(err)
	}
	return v
}

func on(text string) *day.Day { v := d(text); return &v }
func num(n int) *int          { return &n }

func round(code, trip, first, last string) planner.Round {
	return planner.Round{Code: code, Trip: trip, FirstOn: d(first), LastOn: d(last)}
}

// Blanks are filled by the usual (the workbook's description): a round without a trip
// is its own, at home, packed by its first day.
func TestBlankDates(t *testing.T) {
	t.Parallel()
	c, err := calendar.New(planner.Plan{
		Rounds: []planner.Round{
			round("B", "T", "2027-05-13", "2027-05-16"), round("A", "T", "2027-05-06", "2027-05-09"), round("ALONE", "", "2027-06-01", "2027-06-03"),
		},
		Trips: []planner.Trip{{Code: "T", GoesBy: "truck", PackBy: on("2027-05-04")}, {Code: "NOTHING"}, {Code: "LATER", LeavesOn: on("2027-07-01"), BackOn: on("2027-07-04")}},
	})
	require.NoError(t, err)
	trip, err := c.Trip("T")
	require.NoError(t, err)
	require.Equal(t, []string{"A", "B"}, []string{trip.Rounds[0].Code, trip.Rounds[1].Code})
	require.Equal(t, d("2027-05-04"), trip.PackOn)
	require.Equal(t, d("2027-05-04"), trip.StartOn, "leaves when packed")
	require.Equal(t, d("2027-05-17"), trip.EndOn, "back the day after its last round")
	alone, err := c.Trip("ALONE")
	require.NoError(t, err)
	require.Equal(t, calendar.Home, alone.GoesBy)
	require.Equal(t, d("2027-06-01"), alone.PackOn)
	require.False(t, alone.Away(d("2027-06-02")), "at home nothing is away")
	require.Len(t, c.Trips, 3, "a trip of which nothing is known is none")
	later, err := c.Trip("LATER")
	require.NoError(t, err)
	require.Equal(t, d("2027-07-01"), later.PackOn)
	_, err = c.Trip("LATRE")
	require.EqualError(t, err, "no trip LATRE; did you mean LATER?")
	r, err := c.Round("ALONE")
	require.NoError(t, err)
	require.Equal(t, "ALONE", r.Trip)
}

func TestAway(t *testing.T) {
	t.Parallel()
	trip := calendar.Trip{Trip: planner.Trip{GoesBy: "air"}, StartOn: d("2027-03-06"), EndOn: d("2027-03-24")}
	for text, want := range map[string]bool{"2027-03-05": false, "2027-03-06": true, "2027-03-23": true, "2027-03-24": false} {
		require.Equal(t, want, trip.Away(d(text)), text)
	}
}

func TestFaultsAtOnce(t *testing.T) {
	t.Parallel()
	_, err := calendar.New(planner.Plan{
		Rounds: []planner.Round{round("A", "X", "2027-05-06", "2027-05-09"), round("B", "T", "2027-05-09", "2027-05-06")},
		Trips:  []planner.Trip{{Code: "T", LeavesOn: on("2027-05-09"), BackOn: on("2027-05-01")}},
	})
	require.ErrorContains(t, err, "round A: no trip X")
	require.ErrorContains(t, err, "round B: found last day 2027-05-06 before first day 2027-05-09")
	require.ErrorContains(t, err, "trip T: found back 2027-05-01 before leaving 2027-05-09")
}

// The last so many days of a round are ridden. By hand.
func TestRidingDaysLeft(t *testing.T) {
	t.Parallel()
	r := round("A", "", "2027-06-03", "2027-06-06")
	for _, c := range []struct {
		riding *int
		asOf   string
		want   int
	}{
		{num(3), "2027-05-01", 3}, {num(3), "2027-06-03", 3}, {num(3), "2027-06-04", 2}, {num(3), "2027-06-06", 0}, {num(3), "2027-07-01", 0},
		{nil, "2027-05-01", 4}, {num(9), "2027-05-01", 4}, {num(0), "2027-05-01", 0},
	} {
		r.RidingDays = c.riding
		require.Equal(t, c.want, calendar.RidingDaysLeft(r, d(c.asOf)), "%v %s", c.riding, c.asOf)
	}
	require.True(t, calendar.Over(r, d("2027-06-06")))
	require.False(t, calendar.Over(r, d("2027-06-05")))
}

// What was seen replaces the chance from the end of that day.
func TestWetChance(t *testing.T) {
	t.Parallel()
	chance := decimal.RequireFromString("25")
	r := planner.Round{Code: "A", WetChancePercent: &chance, Weather: "dry", WeatherSeenOn: on("2027-06-05")}
	for text, want := range map[string]float64{"2027-06-04": 0.25, "2027-06-05": 0} {
		wet, seen, err := calendar.WetChance(r, d(text))
		require.NoError(t, err)
		require.InDelta(t, want, wet, 0)
		require.Equal(t, want == 0, seen)
	}
	r.Weather, r.WeatherSeenOn = "wet", nil
	wet, seen, err := calendar.WetChance(r, d("2027-01-01"))
	require.NoError(t, err)
	require.True(t, seen)
	require.InDelta(t, 1, wet, 0)
	wet, seen, err = calendar.WetChance(planner.Round{}, 0)
	require.NoError(t, err)
	require.False(t, seen)
	require.Zero(t, wet, "a blank wet chance is 0")
	_, _, err = calendar.WetChance(planner.Round{Code: "A", Weather: "snow"}, 0)
	require.ErrorContains(t, err, "expected dry or wet")
}
