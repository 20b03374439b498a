package forecast_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/forecast"
)

// The trip under way, else the next; read off the scenario's calendar.
func TestHorizonUsual(t *testing.T) {
	t.Parallel()
	for asOf, want := range map[string][]string{
		"2027-02-08": {"CMP"},        // the day before the season's first trip is packed
		"2027-02-13": {"CMP"},        // at home, its last day still to come
		"2027-02-14": {"PEL"},        // the camp is over
		"2027-03-16": {"PEL"},        // ridden, the cases still on their way home
		"2027-03-24": {"SER"},        // back
		"2027-06-05": {"ZDR", "KAR"}, // between the two rounds of one trip
		"2027-06-13": {"ZDR", "KAR"}, // over, back tomorrow
		"2027-06-14": {"WB2"},
		"2027-08-13": {"WB3"}, // the fly-away cases are still away, but its round is over
	} {
		h, err := demo(t, asOf).Horizon(forecast.Options{})
		require.NoError(t, err, asOf)
		require.Equal(t, want, h.Codes(), asOf)
	}
	_, err := demo(t, "2027-12-31").Horizon(forecast.Options{})
	require.ErrorContains(t, err, "no trip under way or ahead on 2027-12-31")
}

func TestHorizonNamed(t *testing.T) {
	t.Parallel()
	o := demo(t, "2027-06-05")
	h, err := o.Horizon(forecast.Options{Trip: "TR-ALP"})
	require.NoError(t, err)
	require.Equal(t, d("2027-06-01"), h.FirstPackOn)
	require.Equal(t, d("2027-06-01"), h.LastPackOn, "the top-up of 06-07 does not count")
	require.Equal(t, d("2027-06-13"), h.LastOn)

	h, err = o.Horizon(forecast.Options{Rounds: []string{"COM", "KAR", "COM"}})
	require.NoError(t, err)
	require.Equal(t, []string{"KAR", "COM"}, h.Codes(), "by first day, each once")
	require.Equal(t, d("2027-06-29"), h.LastPackOn)

	h, err = o.Horizon(forecast.Options{Season: true})
	require.NoError(t, err)
	require.Len(t, h.Rounds, 13)
	require.Len(t, h.Trips, 12)

	for _, c := range []struct {
		opts forecast.Options
		want string
	}{
		{forecast.Options{Rounds: []string{"KRA"}}, "no round KRA; did you mean KAR?"},
		{forecast.Options{Trip: "TR-APL"}, "no trip TR-APL; did you mean TR-ALP?"},
		{forecast.Options{Rounds: []string{"KAR"}, Trip: "TR-ALP"}, "found rounds and a trip"},
	} {
		_, err := o.Horizon(c.opts)
		require.ErrorContains(t, err, c.want)
	}
	_, err = o.Forecast(forecast.Options{At: "trukc"})
	require.ErrorContains(t, err, "no place trukc; did you mean truck?")
	_, err = o.Forecast(forecast.Options{At: "lent-1"})
	require.ErrorContains(t, err, "found kind lent")
	_, err = o.Forecast(forecast.Options{Confidence: 1})
	require.ErrorContains(t, err, "confidence: found 1")
	_, err = o.Explain("WIP40", forecast.Options{})
	require.ErrorContains(t, err, "no part WIP40; did you mean WIP-40?")
}

// The scenario's known answer 4, and nothing once the last day is over.
func TestLeftOfTheAlpinePair(t *testing.T) {
	t.Parallel()
	left := func(o *forecast.Outlook, round string) map[string]int {
		m := map[string]int{}
		for _, l := range o.LeftAt(round) {
			m[l.Service] += l.Jobs
		}
		return m
	}
	saturday := demo(t, "2027-06-05")
	require.Equal(t, map[string]int{"LLS": 4, "SWF": 2, "SWR": 5, "WSH": 8}, left(saturday, "ZDR"))
	require.Equal(t, map[string]int{"LLS": 16, "SHK": 4, "AIR": 4, "SWF": 5, "SWR": 5, "WSH": 24}, left(saturday, "KAR"))
	// On Friday evening the job logged twice is not undone yet and counts: 8 + 4 + 1.
	require.Equal(t, 3, left(demo(t, "2027-06-04"), "ZDR")["LLS"])
	require.Empty(t, left(demo(t, "2027-06-06"), "ZDR"))
}

// A job uses up the plan of its own fork first, then the plan by number; what was not
// planned for it is extra. By hand.
func TestLeftByFork(t *testing.T) {
	t.Parallel()
	plan := func(fork string, jobs int) planner.PlannedJobs {
		return planner.PlannedJobs{Round: "ONE", Service: "SRV", Assembly: fork, Jobs: jobs}
	}
	done := func(fork string, jobs int) planner.DoneJobs {
		return planner.DoneJobs{Round: "ONE", Service: "SRV", Assembly: fork, Jobs: jobs}
	}
	for _, c := range []struct {
		name string
		plan []planner.PlannedJobs
		done []planner.DoneJobs
		want []forecast.Left
	}{
		{"own plan first, then by number", []planner.PlannedJobs{plan("F1", 1), plan("", 3)}, []planner.DoneJobs{done("F1", 2), done("F2", 1)}, []forecast.Left{{Service: "SRV", Jobs: 1}}},
		{"the order of the log does not matter", []planner.PlannedJobs{plan("F1", 1), plan("", 1)}, []planner.DoneJobs{done("F2", 1), done("F1", 1)}, []forecast.Left{}},
		{"another fork's plan stands", []planner.PlannedJobs{plan("F1", 1), plan("F2", 1)}, []planner.DoneJobs{done("F3", 1), done("F1", 5)}, []forecast.Left{{Service: "SRV", Assembly: "F2", Jobs: 1}}},
		{"another round's jobs take nothing", []planner.PlannedJobs{plan("", 2)}, []planner.DoneJobs{{Round: "TWO", Service: "SRV", Jobs: 2}, {Service: "SRV", Jobs: 1}}, []forecast.Left{{Service: "SRV", Jobs: 2}}},
	} {
		s := small()
		s.PlannedJobs, s.Done = c.plan, c.done
		require.Equal(t, c.want, newOutlook(t, s).LeftAt("ONE"), c.name)
	}
}

// Every fault of a plan is told, and at once.
func TestFaultsOfThePlan(t *testing.T) {
	t.Parallel()
	s := small()
	s.PlannedJobs = []planner.PlannedJobs{{Round: "OEN", Service: "SRV", Jobs: 1}, {Round: "ONE", Service: "SVR", Jobs: 1}, {Round: "ONE", Service: "SRV", Assembly: "F9", Jobs: 1}}
	s.ServiceLines = []planner.ServiceLine{
		{Service: "SRV", Part: "RNG", Quantity: qty(1)}, {Service: "SRV", Part: "RING"}, {Service: "SRV", Part: "RING", Quantity: qty(1), DryPercent: dec("120")},
		{Service: "SRV", Part: "RING", Min: qty(3), Max: qty(2)}, {Service: "SRV", Part: "RING", Quantity: qty(1), WetPercent: dec("20")},
		{Service: "SRV", Part: "RING", Quantity: qty(1), BetaDryA: dec("2")},
	}
	s.UnplannedRates = []planner.UnplannedRate{{Service: "FALL"}, {Service: "FALL", Rate: dec("0.1"), GammaA: dec("1")}}
	s.Rounds[0].WetChancePercent = dec("130")
	s.Rounds[1].Trip = "T2"
	s.Springs = []planner.Spring{{Part: "SP1", Model: "FK"}}
	s.SpringChoices = []planner.SpringChoice{{Rider: "R1", Model: "FK", Spring: "SP1", Steep1: dec("60")}, {Rider: "R1", Model: "FK", Spring: "SP1", Steep1: dec("50")}, {Rider: "R1", Model: "BK", Spring: "SP1"}}
	_, err := forecast.New(s)
	for _, want := range []string{
		"no round OEN; did you mean ONE?", "no service SVR; did you mean SRV?", "no assembly F9; did you mean F1?", "no part RNG; did you mean RING?",
		"no quantity and no range", "found 120 %", "min <= typical <= max", "a chance for the wet alone", "one of a and b",
		"no rate and no gamma", "a rate and a gamma", "wet chance: found 130 %", "no trip T2", "found 110 % in all", "SP1 for model BK",
	} {
		require.ErrorContains(t, err, want)
	}
}
