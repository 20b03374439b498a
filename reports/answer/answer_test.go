package answer_test

import (
	"encoding/json"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/left"
	"roundkit/reports/answer"
	"roundkit/testdata/answers"
	"roundkit/testdata/season"
)

// demo is the folder of the invented season, whose known answers were computed by
// exact methods from the same files by somebody else's program.
var demo = os.DirFS("../../testdata/demo")

// outlook loads the season an answer is about, with its changes, as of its day.
func outlook(t *testing.T, a answers.Answer) *forecast.Outlook {
	t.Helper()
	folder, err := answers.Patched(demo, a.Patch)
	require.NoError(t, err)
	asOf, err := day.Parse(flag(a, "--as-of"))
	require.NoError(t, err)
	s, err := season.Load(folder, asOf)
	require.NoError(t, err)
	o, err := forecast.New(s)
	require.NoError(t, err)
	return o
}

// flag returns the word behind a flag of the answer's command, "" without it.
func flag(a answers.Answer, name string) string {
	args := a.Args()
	if i := slices.Index(args, name); i >= 0 {
		return args[i+1]
	}
	return ""
}

func options(t *testing.T, a answers.Answer) forecast.Options {
	t.Helper()
	opts := forecast.Options{Trip: flag(a, "--trip"), At: flag(a, "--at")}
	if r := flag(a, "--round"); r != "" {
		opts.Rounds = []string{r}
	}
	if c := flag(a, "--confidence"); c != "" {
		var err error
		opts.Confidence, err = strconv.ParseFloat(c, 64)
		require.NoError(t, err)
	}
	return opts
}

func TestKnownForecasts(t *testing.T) {
	t.Parallel()
	all, err := answers.Read(demo)
	require.NoError(t, err)
	for _, id := range []string{
		"alp-certain", "alp-cover", "alp-springs", "alp-rain-60", "alp-rain-sure", "alp-before", "alp-before-80",
		"pel-95", "com", "kar-80", "more-jobs",
	} {
		t.Run(id, func(t *testing.T) {
			t.Parallel()
			a, err := answers.Find(all, id)
			require.NoError(t, err)
			require.Equal(t, "forecast", a.Args()[0])
			res, err := outlook(t, a).Forecast(options(t, a))
			require.NoError(t, err)
			text, err := json.Marshal(answer.OfForecast(res))
			require.NoError(t, err)
			require.NoError(t, a.Check(text))
		})
	}
}

func TestKnownExplanations(t *testing.T) {
	t.Parallel()
	all, err := answers.Read(demo)
	require.NoError(t, err)
	for _, id := range []string{"ser-shared-rain", "explain", "explain-pmf"} {
		t.Run(id, func(t *testing.T) {
			t.Parallel()
			a, err := answers.Find(all, id)
			require.NoError(t, err)
			require.Equal(t, "explain", a.Args()[0])
			x, err := outlook(t, a).Explain(a.Args()[1], options(t, a))
			require.NoError(t, err)
			text, err := json.Marshal(answer.OfExplain(x))
			require.NoError(t, err)
			require.NoError(t, a.Check(text))
		})
	}
}

func TestKnownJobsLeft(t *testing.T) {
	t.Parallel()
	all, err := answers.Read(demo)
	require.NoError(t, err)
	for _, id := range []string{"left-lls", "left-dmp", "left-truck"} {
		t.Run(id, func(t *testing.T) {
			t.Parallel()
			a, err := answers.Find(all, id)
			require.NoError(t, err)
			require.Equal(t, []string{"job", "left"}, a.Args()[:2])
			rows, err := left.At(outlook(t, a), flag(a, "--at"))
			require.NoError(t, err)
			text, err := json.Marshal(answer.OfLeft(rows))
			require.NoError(t, err)
			require.NoError(t, a.Check(text))
		})
	}
}

// A readiness renders what was worked out, field by field.
func TestReadiness(t *testing.T) {
	t.Parallel()
	all, err := answers.Read(demo)
	require.NoError(t, err)
	a, err := answers.Find(all, "alp-cover")
	require.NoError(t, err)
	r, err := outlook(t, a).Ready(options(t, a), forecast.ReadyOptions{})
	require.NoError(t, err)
	text, err := json.Marshal(answer.OfReadiness(r))
	require.NoError(t, err)
	check := answers.Answer{ID: "readiness", Want: []answers.Want{
		{Path: "joint", Value: r.All.Joint, Tol: 1e-15},
		{Path: "without_short.product", Value: r.WithoutShort.Product, Tol: 1e-15},
		{Path: "short[part=KIT-VA75].enough", Value: 0.7724, Tol: 1e-6}, // known answer 5
		{Path: "short[part=CRW-10].enough", Value: 0.0},
		{Path: "services[service=AIR].joint", Value: r.Services[2].Joint, Tol: 1e-15},
		{Path: "on_site[part=N2-5L].enough", Value: 1.0},
		{Path: "method", Value: r.All.Method()},
	}}
	require.NoError(t, check.Check(text))
	require.Equal(t, "AIR", r.Services[2].Service)
}
