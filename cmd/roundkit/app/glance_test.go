package app

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
)

// Who rides what, by the sheets: F07 is the fork of Pim Okarro on PO-A, with oil OIL-D22 and
// SPF-93#1 fitted; an undone job is not the last one.
func TestWho(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := person(t, url)
	fork := func() answer.Thing {
		riders := reads[[]answer.Rider](t, run, "who f07")
		require.Len(t, riders, 1)
		require.Equal(t, "Pim Okarro", riders[0].Name)
		require.Len(t, riders[0].Things, 1)
		return riders[0].Things[0]
	}
	before := fork()
	require.Equal(t, []string{"F07", "fork", "PO-A", "OIL-D22", "SPF-93", "SPF-93#1", "53 lb/in"},
		[]string{before.Assembly, before.Kind, before.OnBike, before.DamperOil, before.Spring, before.SpringTag, before.SpringRate})
	require.Equal(t, "LLS", before.Last.Service)
	run(frame.Done, "log", "fss", "f07")
	require.Equal(t, "FSS", fork().Last.Service)
	run(frame.Done, "undo")
	require.Equal(t, before, fork())
	const riders, things = 4, 24 // riders.csv and assemblies.csv
	all := reads[[]answer.Rider](t, run, "who")
	n := 0
	for _, r := range all {
		n += len(r.Things)
	}
	require.Equal(t, []int{riders, things}, []int{len(all), n})
	require.Len(t, reads[[]answer.Rider](t, run, "who pim fork")[0].Things, 2)
	_, errs := run(frame.Refused, "who", "pin")
	require.Contains(t, errs, "pin")
	_, errs = run(frame.Refused, "who", "lls")
	require.Contains(t, errs, "found LLS, a service")
}

// What a service takes is what a job of it takes: 40 ml and 8 % of bath oil are 43.2 ml.
func TestWhat(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	lls := reads[[]answer.Service](t, run, "what lower leg service")
	require.Len(t, lls, 1)
	usual, inspected := map[string]float64{}, map[string]float64{}
	for _, l := range lls[0].Lines {
		if l.Usual != nil {
			usual[l.Part] = *l.Usual
		}
		if l.Inspection != nil {
			inspected[l.Part] = *l.Inspection
		}
	}
	require.InDeltaMapValues(t, map[string]float64{"CRW-10": 2, "FNS-10": 2, "OIL-B68": 43.2, "GRS-SIL": 5, "DGR-5L": 60, "RAG-LF": 4, "GLV-NIT": 1}, usual, 1e-9)
	require.InDeltaMapValues(t, map[string]float64{"WIP-40": 2, "OSL-40": 2, "FRG-40": 2, "CLP-40": 2, "FNB-10": 1}, inspected, 1e-9)
	done := reads[answer.Recorded](t, run, "log lls f03")
	used := map[string]float64{}
	for _, m := range done.Moves {
		used[m.Part] += m.Quantity
	}
	require.InDeltaMapValues(t, usual, used, 1e-9)
	const services = 10 // services.csv
	require.Len(t, reads[[]answer.Service](t, run, "what"), services)
	out, _ := run(frame.Done, "what", "lls")
	require.Contains(t, out, "caution: spring under load: follow the maker's manual")
}

// Where a part is, with the last hand: what is listed is what stock lists.
func TestWhere(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := person(t, url)
	run(frame.Done, "log", "lls", "f03")
	lies := reads[[]answer.Lie](t, run, "where crw-10")
	stock := reads[[]answer.Stock](t, run, "stock CRW-10")
	require.Len(t, lies, len(stock))
	for i, l := range lies {
		require.Equal(t, stock[i], l.Stock)
		require.NotNil(t, l.Last)
	}
	for _, l := range reads[[]answer.Lie](t, run, "where seal grease") { // the job's came out of T-D01
		require.Equal(t, l.Place == "T-D01", l.Last.Kind == "job" && l.Last.Person == "u3", l)
	}
	require.Equal(t, reads[[]answer.Lie](t, run, "where 53 lb/in"), reads[[]answer.Lie](t, run, "where spf-93"))
	_, errs := run(frame.Refused, "where", "crush")
	require.Contains(t, errs, "CRW-10, crush washer M10, or CRW-10C")
	_, errs = run(frame.Refused, "where", "wipr")
	require.Contains(t, errs, "did you mean: WIP-40, wiper, 40 mm leg")
	out, asked := typing(t, url, frame.Done, "1\n", "where crush")
	require.Contains(t, asked, "2  CRW-10C, crush washer M10, copper")
	require.Contains(t, out, "CRW-10, crush washer M10: 99 in 2 places")
}

func TestPlaces(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	const ours, lent = 24, 1 // places.csv
	all := reads[[]answer.Drawer](t, run, "places")
	require.Len(t, all, ours+lent)
	for _, d := range all {
		if d.Place == "T-D03" { // crush washers, foot-nut seals, foot nuts
			require.Equal(t, answer.Drawer{Place: "T-D03", Name: "crush washers, foot-nut seals, foot nuts", In: "truck", Kind: "drawer", Parts: 3}, d)
		}
	}
	require.Len(t, reads[[]answer.Drawer](t, run, "places truck"), 13)
	_, errs := run(frame.Refused, "places", "trck")
	require.Contains(t, errs, "did you mean truck?")
}

// One line for one fork, the same figures as the table's.
func TestJobsLeftForOne(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	out, _ := run(frame.Done, "job", "left", "LLS", "pim", "--at", "truck")
	// 26 crush washers are in T-D03, 2 a job: known answer 1
	require.Equal(t, "LLS on F07 or F08: 13 more with what is at truck, then CRW-10 stops it; 9 beyond the plan\n", out)
	require.Equal(t, 1, strings.Count(out, "\n"))
	out, _ = run(frame.Done, "job", "left", "dmp", "po-a", "fork", "--at", "truck")
	require.Equal(t, "DMP on F07: none can be done with what is at truck, OIL-D22 is short\n", out)
	for _, r := range reads[[]answer.JobsLeft](t, run, "job left pim --at truck") {
		require.True(t, r.Assembly == "" || r.Assembly == "F07" || r.Assembly == "F08", r)
	}
	_, errs := run(frame.Refused, "job", "left", "lls", "s04")
	require.Contains(t, errs, "a shock, expected a fork")
	_, errs = run(frame.Refused, "job", "left", "lsl")
	require.Contains(t, errs, "did you mean LLS?")
}

// The evening in at most 20 lines at any width, once a season is known; before, the help.
func TestEveningAtAGlance(t *testing.T) {
	t.Parallel()
	url, home := seasonURL(t, nil), t.TempDir()
	line := func(columns int, words ...string) string {
		env, out, errs := terminal(map[string]string{"DATABASE_URL": url, "NO_COLOR": "1", "ROUNDKIT_PERSON": "u1", "ROUNDKIT_HOME": home})
		env.TerminalColumns = columns
		require.Equal(t, frame.Done, Run(t.Context(), env, words), errs)
		return out.String()
	}
	require.Contains(t, line(80), "usage: roundkit COMMAND")
	line(80, "stock")
	for _, columns := range []int{60, 80, 120} {
		out := line(columns)
		require.LessOrEqual(t, strings.Count(out, "\n"), 20, out)
		for _, l := range strings.Split(out, "\n") {
			require.LessOrEqual(t, len([]rune(l)), columns, l)
		}
		// by hand, from the sheets: the third of four days; dry was seen on the 5th; the
		// wipers of 1 June differ and have no reason; one spring is lent until the 6th
		for _, want := range []string{"ZDR, Zdravelj: day 3 of 4, dry", "KAR, Kargratkogel: from 2027-06-10", "OIL-D22 is short", "WIP-40", "SPR-435#2 to lent-1, back 2027-06-06"} {
			require.Contains(t, strings.Join(strings.Fields(out), " "), want)
		}
	}
	run := person(t, url)
	e := reads[answer.Evening](t, run, "evening")
	require.Equal(t, []any{"ZDR", "KAR", 3, 4, "dry", "truck"}, []any{e.Round, e.Next, e.Day, e.Days, e.Weather, e.At})
	left := map[string]int{}
	for _, j := range e.Left {
		left[j.Service] = j.Jobs
	}
	run(frame.Done, "log", "lls", "f03")
	for _, j := range reads[answer.Evening](t, run, "evening").Left {
		if j.Service == "LLS" {
			require.Equal(t, left["LLS"]-1, j.Jobs)
		}
	}
	// a job that used what the book did not have wants a count
	run(frame.Done, "log", "lls", "f04", "alloy=9")
	found := reads[answer.Evening](t, run, "evening").WantCount
	require.Len(t, found, 1)
	require.Equal(t, "FNB-10", found[0].Part)
}
