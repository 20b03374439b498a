package app

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
)

// typing runs a line for somebody at a terminal who types the answers, a line each.
func typing(t *testing.T, url string, status int, answers, line string) (out, asked string) {
	t.Helper()
	var o, e bytes.Buffer
	env := frame.Env{In: strings.NewReader(answers), Out: &o, Err: &e, OutTerminal: true, ErrTerminal: true, InTerminal: true, TerminalColumns: 100, SearchSeconds: untilDone,
		Lookup: func(name string) (string, bool) {
			v, ok := map[string]string{"DATABASE_URL": url, "NO_COLOR": "1", "ROUNDKIT_PERSON": "u3"}[name]
			return v, ok
		},
		Now: func() time.Time { return time.Date(2027, 6, 5, 17, 0, 0, 0, time.UTC) }}
	require.Equal(t, status, Run(t.Context(), env, words(t, line)), "%s: %s", line, e.String())
	return o.String(), e.String()
}

// A drawer is counted blind: nobody sees the book's figures before all is typed. By hand:
// T-D03 holds 51 foot-nut seals, 26 crush washers, 4 foot nuts (scenario, known answer 1).
func TestBlindCount(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := person(t, url)
	sheet, _ := run(frame.Done, "count", "T-D03")
	require.Contains(t, sheet, "then: roundkit count T-D03 FNS-10= CRW-10=")
	require.NotContains(t, sheet, "51")
	locker, _ := run(frame.Done, "count", "T-L01")
	require.Contains(t, locker, "to be weighed: B-104, B-118")

	_, asked := typing(t, url, frame.Done, "51\nabout ten\n24\n\n\n10\ny\n", "count T-D03")
	require.Contains(t, asked, "CRW-10, crush washer M10 (pc):")
	require.Contains(t, asked, `found "about ten", expected a quantity in pc`)
	require.Contains(t, asked, "CRW-10 at T-D03: 2 less than the book")
	require.Less(t, strings.Index(asked, "FNB-10, foot nut"), strings.Index(asked, "less than the book"), "the book comes after the counting")
	require.Contains(t, asked, "Book 2 counts, 1 with a difference?")
	found := reads[[]answer.Difference](t, run, "difference list --since 2027-06-05 CRW-10")
	require.Len(t, found, 1)
	require.Equal(t, []any{-2.0, "count slip"}, []any{found[0].Quantity, found[0].Reason})
	all, open := reads[[]answer.Difference](t, run, "difference list"), reads[[]answer.Difference](t, run, "difference list --open")
	var wanting []answer.Difference
	for _, d := range all {
		if d.Reason == "" && !d.Small {
			wanting = append(wanting, d)
		}
	}
	require.Equal(t, wanting, open)
	require.Less(t, len(open), len(all))
	require.NotEmpty(t, open, "the wipers of 2027-06-01")

	before := reads[[]answer.Stock](t, run, "stock --at T-D03")
	_, asked = typing(t, url, frame.Done, "50\n\n\n\n\nn\n", "count T-D03")
	require.Contains(t, asked, "nothing was booked")
	require.Equal(t, before, reads[[]answer.Stock](t, run, "stock --at T-D03"))
}

// A place that is not there: a terminal offers to make it, a pipe is told how.
func TestCountInANewPlace(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := person(t, url)
	_, errs := run(frame.Refused, "count", "T-D09", "CRW-10=3")
	require.Contains(t, errs, "no place T-D09; did you mean T-D01?")
	require.Contains(t, errs, "hint: if it is a new place: the same again with --new-place and the place it is in")
	_, errs = run(frame.Refused, "count", "T-D09", "CRW-10=3", "--new-place", "turck")
	require.Contains(t, errs, "did you mean truck?")
	_, errs = run(frame.Refused, "count", "T-D03", "CRW-10=3", "--new-place", "truck")
	require.Contains(t, errs, "place T-D03 is there already")
	_, errs = run(frame.Refused, "count", "supplier", "CRW-10=3", "--new-place", "truck")
	require.Contains(t, errs, "found kind outside, expected a place of ours")
	run(frame.Done, "count", "T-D09", "CRW-10=3", "--new-place", "truck")
	require.InDelta(t, 3, held(reads[[]answer.Stock](t, run, "stock --at T-D09"), "CRW-10"), 0)
	require.InDelta(t, 29, held(reads[[]answer.Stock](t, run, "stock --at truck"), "CRW-10"), 0, "it is in the truck")

	typing(t, url, frame.Refused, "\n", "count T-D10 CRW-10=3")
	_, asked := typing(t, url, frame.Done, "truck\n", "count T-D10 CRW-10=4")
	require.Contains(t, asked, "T-D10 is a place now, in truck")
	require.InDelta(t, 33, held(reads[[]answer.Stock](t, run, "stock --at truck"), "CRW-10"), 0)
}

// Chance lines are asked for at a terminal, said to be taken as not replaced elsewhere.
func TestJobAsks(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := person(t, url)
	out, asked := typing(t, url, frame.Done, "y\nsome\n1\nn\n\n\n", "job log LLS --on F02")
	require.Contains(t, asked, "WIP-40, wiper, 40 mm leg: replaced? [N/y = 2, or how many]")
	require.Contains(t, asked, `found "some", expected Enter, y or a quantity in pc`)
	require.Contains(t, out, "LLS on F02: logged at ZDR")
	require.InDelta(t, 22, held(reads[[]answer.Stock](t, run, "stock --at truck"), "WIP-40"), 0, "24 - 2")
	require.InDelta(t, 15, held(reads[[]answer.Stock](t, run, "stock --at truck"), "OSL-40"), 0, "16 - 1")

	// Ctrl-D in the middle is no "no": nothing is recorded
	before := reads[[]answer.Job](t, run, "job list")
	_, asked = typing(t, url, frame.Refused, "y\n", "job log LLS --on F06")
	require.Contains(t, asked, "roundkit: stopped, nothing recorded")
	require.Equal(t, before, reads[[]answer.Job](t, run, "job list"))

	piped, _ := run(frame.Done, "job", "log", "LLS", "--on", "F04")
	require.Contains(t, piped, "taken as not replaced: WIP-40, OSL-40, FRG-40, CLP-40, FNB-10 (else undo, and say --used)")
	usual, _ := run(frame.Done, "job", "log", "LLS", "--on", "F06", "--as-usual")
	require.NotContains(t, usual, "taken as not replaced")
}

// What is out is offered from elsewhere, and what may stand in for it: 16 oil seals are in
// the truck, 6 in the workshop's drawer and 4 more there past their date; of the other make
// the season has none.
func TestOutIsOffered(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	out, _ := run(frame.Done, "job", "log", "LLS", "--on", "F02", "--used", "OSL-40=18")
	require.Contains(t, out, "look: 2 of OSL-40 was not in the book where the job was done")
	require.Contains(t, out, "OSL-40 is out: OSL-40B may stand in; maker's word first, your decision, recorded")
	require.Contains(t, out, "note: more of OSL-40: ")
	require.Contains(t, out, "in W-A1")
	require.Contains(t, out, "OSL-40B, oil seal, 40 mm leg, plain-lip make: none in the book")
}

// Times that cannot be, and loans due before they are made.
func TestImpossibleDates(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	for when, want := range map[string]string{
		"2027-02-30 10:00": "expected a day and a time that exist",
		"2027-06-05 25:00": "expected a day and a time that exist",
		"2027-03-28 02:30": "clocks go forward over it",
		"2026-10-25 02:30": "expected 2026-10-25 02:30+02:00 or 2026-10-25 02:30+01:00: clocks go back over that hour",
		"tomorrow":         "expected a time such as",
	} {
		_, errs := run(frame.Wrong, "scrap", "CRW-10", "1", "--when", when)
		require.Contains(t, errs, want)
	}
	_, errs := run(frame.Refused, "scrap", "CRW-10", "1", "--when", "2027-06-07 10:00")
	require.Contains(t, errs, "expected at most the present")
	_, errs = run(frame.Wrong, "lend", "SPF-84", "1", "--to", "lent-1", "--due", "2027-06-04")
	require.Contains(t, errs, "expected a day from 2027-06-05 on, when it is lent")
	_, errs = run(frame.Refused, "count", "T-D03", "CRW-10=24ml")
	require.Contains(t, errs, "expected pieces (pc)")
}

// What came of an order, by part and all of it: PO-014 is 30 wipers to the workshop.
func TestReceiveOrder(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	before := held(reads[[]answer.Stock](t, run, "stock --at workshop"), "WIP-40")
	out, _ := run(frame.Done, "receive", "WIP-40", "10", "--order", "PO-014")
	require.Contains(t, out, "PO-014 from SRN: part here; the rest is still on its way, due 2027-06-09")
	_, errs := run(frame.Refused, "receive", "WIP-40", "21", "--order", "PO-014")
	require.Contains(t, errs, "expected at most the 20 open on PO-014")
	_, errs = run(frame.Wrong, "receive", "WIP-40", "--order", "PO-014")
	require.Contains(t, errs, "expected PART QUANTITY, or neither")
	_, errs = run(frame.Wrong, "receive", "--order", "PO-014", "--cost", "10")
	require.Contains(t, errs, "it does not go with --order")
	out, _ = run(frame.Done, "receive", "--order", "PO-014")
	require.Contains(t, out, "PO-014 from SRN: here, all of it")
	require.InDelta(t, before+30, held(reads[[]answer.Stock](t, run, "stock --at workshop"), "WIP-40"), 0)

	// a record is named by the end of its id
	done := reads[answer.Recorded](t, run, "receive CRW-10 50 --by u1")
	id := done.ID.String()
	run(frame.Done, "undo", id[len(id)-6:])
	_, errs = run(frame.Refused, "undo", id[len(id)-6:])
	require.Contains(t, errs, "undone already")
}

// At a terminal an undo shows what it takes, and Enter takes it; a second one in a row says what
// comes next, and Enter leaves it; a redo likewise. What somebody else recorded wants a yes.
func TestUndoShowsAndAsks(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := person(t, url)
	washers := func() float64 { return held(reads[[]answer.Stock](t, run, "stock --at T-D03"), "CRW-10") }
	run(frame.Done, "move", "CRW-10", "1", "--from", "T-D03", "--to", "T-D08")
	run(frame.Done, "count", "T-D03", "CRW-10=20", "FNS-10=40")
	require.InDelta(t, 20, washers(), 0)

	_, asked := typing(t, url, frame.Done, "n\n", "undo")
	require.Contains(t, asked, "the count of 2 parts at T-D03, 2027-06-05 19:00, by u3\n  CRW-10 at T-D03: 20 counted, 5 less than the book\n  FNS-10 at T-D03: 40 counted, 11 less than the book\nTake it back? [Y/n]")
	require.Contains(t, asked, "nothing was taken back")
	require.InDelta(t, 20, washers(), 0)
	out, _ := typing(t, url, frame.Done, "\n", "undo")
	require.Contains(t, out, "undone: the count of 2 parts at T-D03")
	require.Contains(t, out, "note: to put it back: roundkit redo")
	require.InDelta(t, 25, washers(), 0)

	_, asked = typing(t, url, frame.Done, "\n", "undo")
	require.Contains(t, asked, "the move, 2027-06-05 19:00, by u3\n  1 CRW-10 from T-D03 into T-D08\nlook: the last thing you did is taken back already; this is what you did before\nTake it back? [y/N]")
	require.InDelta(t, 25, washers(), 0, "Enter is no")
	typing(t, url, frame.Done, "y\n", "undo")
	require.InDelta(t, 26, washers(), 0)
	_, asked = typing(t, url, frame.Refused, "y\n", "undo")
	require.Contains(t, asked, "u3 has recorded nothing more here that could be undone")

	_, asked = typing(t, url, frame.Done, "\n", "redo")
	require.Contains(t, asked, "Put it back? [Y/n]")
	require.InDelta(t, 25, washers(), 0)
	_, asked = typing(t, url, frame.Done, "\n", "redo")
	require.Contains(t, asked, "look: the last thing you did is no undo; this is what you took back before\nPut it back? [y/N]")
	typing(t, url, frame.Done, "y\n", "redo")
	require.InDelta(t, 20, washers(), 0)

	run(frame.Done, "move", "CRW-10", "2", "--from", "T-D03", "--to", "T-D08", "--by", "u1")
	_, errs := run(frame.Refused, "undo", "--by", "u2")
	require.Contains(t, errs, "u2 has recorded nothing here that could be undone")
	moves := reads[[]answer.Moved](t, run, "stock history CRW-10")
	last := moves[len(moves)-1].Record.String()
	_, asked = typing(t, url, frame.Done, "\n", "undo "+last)
	require.Contains(t, asked, "look: u1 recorded it, not u3\nTake it back? [y/N]")
	require.InDelta(t, 18, washers(), 0)

	_, errs = run(frame.Wrong, "undo", "--by", "")
	require.Contains(t, errs, "option --by")
	marks := map[string]int{}
	for _, m := range moves {
		for mark, is := range map[string]bool{"undo": m.Undo, "undone": m.Undone, "redo": m.Redo, "put back": m.PutBack} {
			if is {
				marks[mark]++
			}
		}
	}
	require.Equal(t, 1, marks["put back"], "the move; what the count booked is not a record by itself")
}

// Who records nothing by name is told how to say it; a change of the plan says how to take it
// back, and goes by that name.
func TestUndoOfAPlanChange(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := person(t, url)
	out, _ := run(frame.Done, "plan", "add", "KAR", "LLS", "4")
	require.Contains(t, out, "note: to take it back: roundkit undo; later: roundkit undo ")
	_, name, _ := strings.Cut(strings.TrimSpace(out), "later: roundkit undo ")
	out, _ = run(frame.Done, "undo", "--dry-run")
	require.Contains(t, out, "undone: the change of the plan, 2027-06-05 19:00, by u3 (dry run, nothing was recorded)\n- KAR: +4 LLS, ")
	took := reads[answer.Undone](t, run, "undo "+name)
	require.Equal(t, "plan", took.Of.Kind)
	out, _ = run(frame.Done, "redo")
	require.Contains(t, out, "put back: the change of the plan")
	out, _ = run(frame.Done, "round", "weather", "ZDR", "wet")
	require.Contains(t, out, "roundkit undo")
	out, _ = run(frame.Done, "undo")
	require.Contains(t, out, "- ZDR: wet, before dry")

	env, _, errs := terminal(map[string]string{"DATABASE_URL": url, "NO_COLOR": "1"})
	env.InTerminal = false
	require.Equal(t, frame.Refused, Run(t.Context(), env, []string{"undo"}))
	require.Contains(t, errs.String(), "found neither a record nor a person")
	require.Contains(t, errs.String(), "say who you are: roundkit undo --by PERSON (u1, u2, u3, u4, u5")
}

// What is wrong is told before anything is asked, and what is missing is asked once, the
// spring of a swap too. Loose in the truck that evening: no 43 lb/in (known answer 9).
func TestChecksBeforeQuestions(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	run := person(t, url)
	_, asked := typing(t, url, frame.Refused, "y\ny\ny\ny\ny\n", "job log LLS --on F99")
	require.Contains(t, asked, "no fork F99")
	require.NotContains(t, asked, "replaced?")
	_, asked = typing(t, url, frame.Refused, "43 lb/in\n", "job log SWF --on F05")
	require.Contains(t, asked, "Which spring goes in?")
	require.NotContains(t, asked, "SPR-")
	require.Contains(t, asked, "found no loose spring 43 lb/in")
	require.NotContains(t, asked, "replaced?")
	out, asked := typing(t, url, frame.Done, "F05\n48 lb/in\n\n", "job log SWF")
	require.Equal(t, 1, strings.Count(asked, "On which?"))
	require.Equal(t, 1, strings.Count(asked, "Which spring goes in?"))
	require.Contains(t, out, "SWF on F05: logged at ZDR")

	// 60 g at 0.872 g/ml: 60/0.872 = 68.807339... ml
	done := reads[answer.Recorded](t, run, "job log LLS --on F02 --used OIL-B68=60g")
	i := slices.IndexFunc(done.Moves, func(m answer.RecordedMove) bool { return m.Part == "OIL-B68" })
	require.InDelta(t, 68.807, done.Moves[i].Quantity, 1e-9)
	_, errs := run(frame.Refused, "job", "log", "LLS", "--on", "F02", "--used", "DGR-5L=3furlong")
	require.Contains(t, errs, "DGR-5L")
}

// A count of several parts is one JSON document, a record for each part; of one part it is that
// record.
func TestCountsAsOneDocument(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	out, _ := run(frame.Done, "count", "T-D01", "WIP-40=24", "OSL-40=15", "--dry-run", "--json")
	var several []answer.Recorded
	require.NoError(t, json.Unmarshal([]byte(out), &several), out)
	require.Len(t, several, 2)
	require.Empty(t, several[0].Moves)
	require.Len(t, several[1].Moves, 1)
	require.Equal(t, "OSL-40", several[1].Moves[0].Part)
	out, _ = run(frame.Done, "count", "T-D01", "OSL-40=15", "--dry-run", "--json")
	var one answer.Recorded
	require.NoError(t, json.Unmarshal([]byte(out), &one), out)
	require.Equal(t, several[1].Moves, one.Moves)
}

// Ctrl-C at a question says that nothing was recorded, as Ctrl-D does.
func TestInterruptedAtAQuestion(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	ctx, interrupt := context.WithCancel(t.Context())
	in, _ := io.Pipe() // somebody who types nothing
	env, _, _ := terminal(map[string]string{"DATABASE_URL": url, "ROUNDKIT_PERSON": "u1"})
	asked := &whenAsked{interrupt: interrupt}
	env.In, env.Err, env.InTerminal = in, asked, true
	require.Equal(t, frame.Refused, Run(ctx, env, []string{"log"}))
	require.Contains(t, asked.String(), "what was done?")
	require.Contains(t, asked.String(), "\nroundkit: stopped, nothing recorded\n")
}

// whenAsked is a standard error that interrupts at the first question.
type whenAsked struct {
	sync.Mutex
	said      bytes.Buffer
	interrupt func()
}

func (w *whenAsked) Write(text []byte) (int, error) {
	w.Lock()
	defer w.Unlock()
	if bytes.Contains(text, []byte("? ")) {
		w.interrupt()
	}
	return w.said.Write(text)
}

func (w *whenAsked) String() string {
	w.Lock()
	defer w.Unlock()
	return w.said.String()
}
