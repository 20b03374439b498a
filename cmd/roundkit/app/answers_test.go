package app

import (
	"context"
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/db/dbtest"
	"roundkit/reports/seasonfile"
	"roundkit/testdata"
	"roundkit/testdata/answers"
)

// knownAnswers is how many there are in all.
const knownAnswers = 37

// TestKnownAnswers runs the commands of the invented season's known answers against a
// database with the season in it, as a reader would. The answers were computed from the
// same sheets by exact methods, by another program.
func TestKnownAnswers(t *testing.T) {
	t.Parallel()
	demo, err := fs.Sub(testdata.Demo, "demo")
	require.NoError(t, err)
	all, err := answers.Read(demo)
	require.NoError(t, err)
	require.Len(t, all, knownAnswers)
	plain := seasonURL(t, nil)
	for _, a := range all {
		t.Run(a.ID, func(t *testing.T) {
			t.Parallel()
			url := plain
			if len(a.Patch) > 0 {
				url = seasonURL(t, a.Patch)
			}
			env, out, errs := terminal(map[string]string{"DATABASE_URL": url})
			require.Equal(t, frame.Done, Run(t.Context(), env, a.Args()), errs)
			require.NoError(t, a.Check(out.Bytes()))
		})
	}
}

// The same question for people: the first line is the answer, no line is wider than
// the terminal, and nothing goes to the standard error.
func TestAnswersForPeople(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	tests := []struct{ line, first string }{
		// Figures: known answers 2 to 5 of the season, alp-certain and alp-cover.
		{"forecast --trip TR-ALP --at truck --as-of 2027-06-05", "parts are short at 95 %: "},
		{"forecast --round COM --as-of 2027-06-05", "short at 95 %"},
		{"explain WIP-40 --trip TR-ALP --at truck --as-of 2027-06-05", "WIP-40, wiper, 40 mm leg: expected 15.04, 28 at 95 %"},
		{"--at truck explain --as-of=2027-06-05 OIL-B68 --trip TR-ALP", "OIL-B68, bath oil, 68 cSt: expected "},
		{"explain SPF-102 --trip TR-ALP --at truck --as-of 2027-06-05", "SPF-102, fork spring 58 lb/in: expected "},
		{"explain KIT-VA75 --trip TR-ALP --at truck --as-of 2027-06-05", "KIT-VA75, air-can seal kit: expected "},
		// 12 cans of 410 g at 3 points a kg, and a hired bottle of at most 9.5 l at 1 a litre
		{"papers TR-ALP --as-of 2027-06-05", "TR-ALP: 24.26 road points of 1000: within the limit"},
		{"papers TR-TES --as-of 2027-06-05", "TR-TES: nothing packed is known not to fly"},
		// known answer 3: 148.886 ml are left, a rebuild wants 212.75
		{"oil blend --want OIL-D22 --ml 212.75 --at truck", "OIL-D22 (22.4 cSt at 40 C): 212.8 ml wanted, 148.9 ml here, 63.9 ml short"},
		{"job left --at truck --as-of 2027-06-05", "no more can be done of "},
	}
	for _, test := range tests {
		t.Run(test.line, func(t *testing.T) {
			t.Parallel()
			env, out, errs := terminal(map[string]string{"DATABASE_URL": url, "NO_COLOR": "1"})
			env.TerminalColumns, env.ErrTerminal = 100, false // a slow machine shows a bar
			require.Equal(t, frame.Done, Run(t.Context(), env, strings.Fields(test.line)), errs)
			require.Empty(t, errs.String())
			lines := strings.Split(out.String(), "\n")
			require.Contains(t, lines[0], test.first)
			require.Contains(t, out.String(), "season clock 2027-06-05 ")
			for _, line := range lines {
				require.LessOrEqual(t, len([]rune(line)), 100, line)
			}
		})
	}
}

// An oil that stops a service is pointed to what the other oils would make.
func TestJobsLeftPointsToBlends(t *testing.T) {
	t.Parallel()
	env, out, errs := terminal(map[string]string{"DATABASE_URL": seasonURL(t, nil)})
	require.Equal(t, frame.Done, Run(t.Context(), env, strings.Fields("job left --at truck --as-of 2027-06-05")), errs)
	require.Equal(t, 1, strings.Count(out.String(), "roundkit oil blend --want OIL-D22"), out)
}

func TestQuestionsRefused(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	tests := []struct {
		line   string
		status int
		want   string
	}{
		{"forecast --round KRA", frame.Refused, "no round KRA; did you mean KAR?"},
		{"forecast --trip TR-APL", frame.Refused, "did you mean TR-ALP?"},
		{"forecast --at turck", frame.Refused, "did you mean truck?"},
		{"explain WIP-4", frame.Refused, "did you mean WIP-40?"},
		{"forecast --trip TR-ALP --round KAR", frame.Wrong, "found --round and --trip, expected one of them"},
		{"forecast --confidence 95", frame.Wrong, `option --confidence: found "95"`},
		{"explain", frame.Wrong, "explain: found nothing for PART, expected PART"},
		{"oil blend --want OIL-D21", frame.Refused, "no oil OIL-D21; did you mean OIL-D22?"},
		{"pack diff TR-COM", frame.Wrong, "expected two lists, or --was FILE"},
		{"pack diff TR-COM TR-TSE", frame.Refused, "no trip TR-TSE; did you mean TR-TES?"},
		{"pack diff TR-COM nowhere.json", frame.Refused, "nowhere.json"},
		{"labels T-D1", frame.Refused, "no place T-D1; did you mean T-D01?"},
		{"papers TR-WB3", frame.Refused, "trip TR-WB3 stays at home"},
		{"explain A B", frame.Wrong, `explain: found "B" left over, expected only PART`},
		{"forecast --season 1999", frame.Refused, "1999"},
	}
	for _, test := range tests {
		t.Run(test.line, func(t *testing.T) {
			t.Parallel()
			env, out, errs := terminal(map[string]string{"DATABASE_URL": url})
			require.Equal(t, test.status, Run(t.Context(), env, strings.Fields(test.line)), errs)
			require.Empty(t, out.String())
			require.Contains(t, errs.String(), test.want)
			require.Equal(t, 1, strings.Count(errs.String(), "\n"), errs)
		})
	}
}

// An empty database says what to do.
func TestQuestionOfAnEmptyDatabase(t *testing.T) {
	t.Parallel()
	env, _, errs := terminal(map[string]string{"DATABASE_URL": dbtest.URL(t, empty())})
	require.Equal(t, frame.Refused, Run(t.Context(), env, []string{"forecast"}))
	require.Contains(t, errs.String(), "holds no season yet")
	require.Contains(t, errs.String(), "roundkit workbook load FILE")
}

func empty() dbtest.Schema {
	return dbtest.Schema{Name: "empty", Files: db.Migrations, Up: func(ctx context.Context, url string) error {
		_, err := db.Migrate(ctx, url)
		return err
	}}
}

// seasonURL returns a database with the invented season, with an answer's changes.
func seasonURL(t *testing.T, patch []answers.Patch) string {
	t.Helper()
	demo, err := fs.Sub(testdata.Demo, "demo")
	require.NoError(t, err)
	folder, err := answers.Patched(demo, patch)
	require.NoError(t, err)
	url := dbtest.URL(t, empty())
	store, err := db.Connect(t.Context(), url)
	require.NoError(t, err)
	defer store.Close()
	in, err := seasonfile.ReadFolder(folder, "demo", seasonfile.Limits{})
	require.NoError(t, err)
	_, err = store.Load(t.Context(), in, db.LoadOptions{})
	require.NoError(t, err)
	return url
}

// The known answers as a mechanic types the questions: services and forks by their words, and the
// Saturday's weighings again by a line, which find nothing (what the scale said is in the
// season's sheet of weighings, what the bottle held among the known answers).
func TestKnownAnswersByTheLine(t *testing.T) {
	t.Parallel()
	demo, err := fs.Sub(testdata.Demo, "demo")
	require.NoError(t, err)
	all, err := answers.Read(demo)
	require.NoError(t, err)
	url := seasonURL(t, nil)
	ask := func(line string) []byte {
		env, out, errs := terminal(map[string]string{"DATABASE_URL": url, "ROUNDKIT_PERSON": "u1"})
		require.Equal(t, frame.Done, Run(t.Context(), env, strings.Fields(line)), "%s: %s", line, errs)
		return out.Bytes()
	}
	asked := 0
	for _, c := range []struct{ words, id, of string }{
		{"lls", "left-lls", "service=LLS"}, {"lower-leg service", "left-lls", "service=LLS"},
		{"dmp f01", "left-dmp", "assembly=F01"}, {"damper rebuild f03", "left-dmp", "assembly=F03"}, {"DMP F05", "left-dmp", "assembly=F05"},
		{"dmp pim's a fork", "left-dmp", "assembly=F07"}, {"dmp pim b", "left-dmp", "assembly=F08"},
		{"fss", "left-truck", "service=FSS"}, {"shk", "left-truck", "service=SHK"}, {"air", "left-truck", "service=AIR"}, {"wsh", "left-truck", "service=WSH"},
	} {
		a, err := answers.Find(all, c.id)
		require.NoError(t, err)
		var wants []answers.Want
		for _, w := range a.Want {
			if strings.Contains(w.Path, c.of) {
				wants = append(wants, w)
			}
		}
		require.NotEmpty(t, wants, c)
		a.Want = wants
		require.NoError(t, a.Check(ask("job left "+c.words+" --as-of 2027-06-05 --at truck --json")), c.words)
		asked += len(wants)
	}
	require.Equal(t, 30, asked)
	for _, line := range []string{"weigh b-104 507", "b-109 weighs 583g", "b-121=701 weigh"} {
		require.Contains(t, string(ask("log "+line+" --dry-run")), "as the book says", line)
	}
	require.Contains(t, string(ask("log weigh b-104 517 --dry-run")), "11.5 ml more than the book", "10 g / 0.872 g/ml")
	require.Contains(t, string(ask("where 43 lb/in")), "SPF-75, fork spring 43 lb/in")
}
