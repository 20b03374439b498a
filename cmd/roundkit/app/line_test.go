package app

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
)

// The usual rebuild takes few keystrokes: "log lls pim", Enter, and which of Pim's forks;
// or, asked for everything, Enter only.
func TestFewKeystrokes(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := person(t, url)
	const most = 14
	line, answers := "log lls pim", "1\n"
	require.LessOrEqual(t, len(line)+1+len(answers), most)
	out, asked := typing(t, url, frame.Done, answers, line)
	require.Contains(t, asked, `found "pim", which could be:`)
	require.Contains(t, asked, "2  F08, fork of Pim Okarro on PO-B")
	require.Contains(t, out, "LLS on F07 (fork of Pim Okarro on PO-A); uses CRW-10 2,")
	require.Contains(t, out, "LLS on F07: logged at ZDR")

	// the plan's first line of the round that is on is LLS; F07 has just been done, and F02
	// is the first that was not: by hand from the job log of the round
	before := held(reads[[]answer.Stock](t, run, "stock --at truck"), "CRW-10")
	out, asked = typing(t, url, frame.Done, "\n\n\n\n", "log")
	require.Contains(t, asked, "what was done? [LLS]")
	require.Contains(t, asked, "Record it? [Y/n]")
	require.Contains(t, out, "LLS on F")
	require.Contains(t, out, ": logged at ZDR")
	require.InDelta(t, before-2, held(reads[[]answer.Stock](t, run, "stock --at truck"), "CRW-10"), 0)

	// what was replaced is asked once, in the same words
	out, _ = typing(t, url, frame.Done, "fss\nteo b\n2 clip\n\n", "log")
	require.Contains(t, out, "FSS on F04 (fork of Teo Vandrell on TV-B)")
	require.Contains(t, out, "CLP-40 2; not replaced")
}

// Whoever stops has recorded nothing: at a question by Enter, n, or the end of the input.
func TestStoppedLine(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := person(t, url)
	before := reads[[]answer.Job](t, run, "job list")
	for _, c := range []struct{ answers, line string }{
		{"", "log"}, {"\n", "log"}, {"\n\n\n", "log"}, {"\n\n\nn\n", "log"}, {"\n", "log lls pim"}, {"", "log lls pim"},
	} {
		_, asked := typing(t, url, frame.Refused, c.answers, c.line)
		require.Contains(t, asked, "stopped, nothing recorded", "%q", c)
	}
	require.Equal(t, before, reads[[]answer.Job](t, run, "job list"))
}

// Away from a terminal what could mean two things is refused, with both.
func TestLineRefused(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	before := reads[[]answer.Stock](t, run, "stock")
	_, errs := run(frame.Refused, "log", "lls", "pim")
	require.Equal(t, "roundkit: refused: found \"pim\", which could be: F07, fork of Pim Okarro on PO-A, or F08, fork of Pim Okarro on PO-B\n", errs)
	_, errs = run(frame.Wrong, "log")
	require.Contains(t, errs, "expected a line such as: log lls f03 wip=2")
	_, errs = run(frame.Wrong, "log", "lls", "f03", "by", "u1", "--by", "u2")
	require.Contains(t, errs, "found --by and the same in the line")
	out, _ := run(frame.Done, "log", "lls", "f03", "wip=2", "--dry-run")
	require.Contains(t, out, "WIP-40 2; not replaced OSL-40")
	require.Contains(t, out, "dry run, nothing was recorded")
	require.Equal(t, before, reads[[]answer.Stock](t, run, "stock"))
}

// A line records what the command with its options written out records.
func TestLineIsTheLongForm(t *testing.T) {
	t.Parallel()
	long, short := person(t, seasonURL(t, nil)), person(t, seasonURL(t, nil))
	for _, pair := range [][2]string{
		{`job log LLS --on F03 --used WIP-40=2 --used OIL-B68=49.312ml --when 18:55 --as-usual`, `log lls f03 wip=2 oil=43g 18:55`},
		{`job log LLS --on F04 --used DGR-5L=90ml --not GLV-NIT --as-usual`, `log no gloves, 90 ml degreaser lls teo b`},
		{`job log SWF --on F05 --spring SPF-84 --as-usual`, `log swap f05 48`},
		{`job log SWF --on F01 --spring SPF-67#1 --as-usual`, `log swf f01 SPF-67#1`},
		{`job log DMP --on F07 --as-usual`, `log damper rebuild po-a fork`},
		{`job log SHK --on S02 --used BMP-75=1 --by u2`, `log shk s02 bumper by ravi`},
		{`job log WSH --on YM-A --as-usual`, `log wash ym-a`},
		{`count T-D03 FNS-10=41 CRW-10=17`, `log count t-d03 fns 41 crw-10 17`},
		{`weigh B-118 700`, `log b-118 weighs 700g`},
		{`move CRW-10 4 --from W-A2 --to T-D03`, `log move 4 crw-10 from w-a2 to t-d03`},
		{`scrap CRW-10 1 --from T-D03`, `log scrap 1 crw-10 t-d03`},
		{`lend --tag SPF-84#3 --to lent-1 --due 2027-06-08`, `log lend spf-84#3 to neighbour until 2027-06-08`},
		{`open-kit KIT-DMP40 --from W-A1`, `log open kit dmp40 at w-a1`},
		{`receive WIP-40 30 --to W-A1`, `log receive 30 wipers to w-a1`},
	} {
		long(frame.Done, strings.Fields(pair[0])...)
		out, _ := short(frame.Done, strings.Fields(pair[1])...)
		require.NotEmpty(t, out)
	}
	type at struct{ part, place, tag string }
	sums := func(run func(int, ...string) (string, string)) map[at]float64 {
		out := map[at]float64{}
		for _, s := range reads[[]answer.Stock](t, run, "stock") {
			out[at{s.Part, s.Place, s.Tag}] += s.Quantity
		}
		return out
	}
	require.Equal(t, sums(long), sums(short))
	for _, question := range []string{"job left --at truck", "forecast --trip TR-ALP --at truck", "spend --by rider"} {
		a, _ := long(frame.Done, append(strings.Fields(question), "--json")...)
		b, _ := short(frame.Done, append(strings.Fields(question), "--json")...)
		require.Equal(t, a, b, question)
	}
}

// ROUNDKIT_DB names the database where --db does not.
func TestDatabaseByVariable(t *testing.T) {
	t.Parallel()
	env, _, _ := terminal(map[string]string{"ROUNDKIT_DB": "demo"})
	require.Equal(t, "demo", env.Cluster(frame.Options{}).Database)
	require.Equal(t, "mine", env.Cluster(frame.Options{Database: "mine"}).Database)
}

// Names take any case everywhere; what is not known in any case is refused with a near one.
// The file that shells complete from follows the database.
func TestNamesInAnyCase(t *testing.T) {
	t.Parallel()
	url, home := seasonURL(t, nil), t.TempDir()
	line := func(status int, words ...string) (string, string) {
		t.Helper()
		env, out, errs := terminal(map[string]string{"DATABASE_URL": url, "NO_COLOR": "1", "ROUNDKIT_PERSON": "u3", "ROUNDKIT_HOME": home})
		env.OutTerminal, env.TerminalColumns = false, 0
		require.Equal(t, status, Run(t.Context(), env, words), "%v: %s", words, errs)
		return out.String(), errs.String()
	}
	before, _ := line(frame.Done, "complete-words", "stock", "--at", "")
	require.Empty(t, before, "no file yet")
	for _, pair := range [][2]string{
		{"stock --at TRUCK", "stock --at truck"},
		{"forecast --trip tr-alp --at Truck", "forecast --trip TR-ALP --at truck"},
		{"explain wip-40 --round kar", "explain WIP-40 --round KAR"},
		{"job list --service lls --on f03", "job list --service LLS --on F03"},
		{"stock history crw-10", "stock history CRW-10"},
	} {
		a, _ := line(frame.Done, append(strings.Fields(pair[0]), "--json")...)
		b, _ := line(frame.Done, append(strings.Fields(pair[1]), "--json")...)
		require.Equal(t, b, a, pair[0])
	}
	line(frame.Done, "job", "log", "lls", "--on", "f03", "--used", "wip-40=2", "--not", "glv-nit", "--by", "U1")
	line(frame.Done, "count", "t-d03", "crw-10=20")
	_, errs := line(frame.Refused, "count", "t-d33", "crw-10=20")
	require.Contains(t, errs, "did you mean T-D03?")

	words := func(typed ...string) []string {
		out, errs := line(frame.Done, append([]string{"complete-words"}, typed...)...)
		require.Empty(t, errs)
		return strings.Fields(out)
	}
	require.Equal(t, []string{"TR-ALP"}, words("pack", "tr-a"))
	require.Equal(t, []string{"LLS"}, words("job", "log", "l"))
	require.Equal(t, []string{"F01", "F02", "F03", "F04", "F05", "F06", "F07", "F08"}, words("job", "log", "LLS", "--on", "f0"))
	require.NotContains(t, words("weigh", "b-9"), "B-999")
	line(frame.Done, "receive", "OIL-B68", "1000", "--to", "W-A3")
	line(frame.Done, "tag", "new", "B-999", "OIL-B68", "--from", "W-A3", "--tare", "92")
	line(frame.Done, "stock", "--at", "truck")
	require.Equal(t, []string{"B-999"}, words("weigh", "b-9"))
}
