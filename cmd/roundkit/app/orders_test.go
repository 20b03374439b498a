package app

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
)

// says runs a command at a desk and returns all that it prints, without line breaks.
func says(t *testing.T, url string, wanted int, line string) string {
	t.Helper()
	env, out, errs := terminal(map[string]string{"DATABASE_URL": url, "NO_COLOR": "1", "ROUNDKIT_PERSON": "u3"})
	env.TerminalColumns = 200
	require.Equal(t, wanted, Run(t.Context(), env, strings.Fields(line)), "%s: %s%s", line, out, errs)
	return strings.Join(strings.Fields(out.String()+errs.String()), " ")
}

// listed is "order list --json" by number.
func listed(t *testing.T, url string) map[string]answer.Order {
	t.Helper()
	env, out, errs := terminal(map[string]string{"DATABASE_URL": url})
	require.Equal(t, frame.Done, Run(t.Context(), env, []string{"order", "list", "--json"}), errs)
	var all []answer.Order
	require.NoError(t, json.Unmarshal(out.Bytes(), &all))
	by := map[string]answer.Order{}
	for _, o := range all {
		by[o.Order] = o
	}
	return by
}

// openOf is what is here and what is open of a part on an order.
func openOf(t *testing.T, o answer.Order, part string) [2]float64 {
	t.Helper()
	for _, l := range o.Lines {
		if l.Part == part {
			return [2]float64{l.Here, l.Open}
		}
	}
	require.Fail(t, "no line", "%s of %s", part, o.Order)
	return [2]float64{}
}

// Two people draft at the same moment: the orders are drafted once, and the other is told
// that nothing is to be drafted beyond them.
func TestDraftedByTwoAtOnce(t *testing.T) {
	t.Parallel()
	const rounds = 3
	for range rounds {
		url := seasonURL(t, nil)
		before := len(listed(t, url))
		said := make(chan string)
		for range 2 {
			env, out, errs := terminal(map[string]string{"DATABASE_URL": url, "NO_COLOR": "1", "ROUNDKIT_PERSON": "u3"})
			go func() {
				status := Run(t.Context(), env, strings.Fields("order draft --supplier PLG"))
				said <- fmt.Sprint(status, ": ", strings.Join(strings.Fields(out.String()+errs.String()), " "), "\n")
			}()
		}
		both := <-said + <-said
		require.Contains(t, both, "2 drafted")
		require.Contains(t, both, "nothing to draft beyond PO-015, PO-016")
		require.Len(t, listed(t, url), before+2)
	}
}

// An order from draft to the shelf, as the person in the office types it, on 2027-06-05 of
// the invented season: drafted from reorder, placed, confirmed for a later day, part here,
// the rest called off; another called off as a draft. Lead of PLG: 3 days.
func TestOrdersFromDraftToShelf(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	before := listed(t, url)
	require.Contains(t, says(t, url, frame.Done, "order draft --supplier PLG --dry-run"), "2 drafted; dry run, nothing was changed")
	require.Equal(t, before, listed(t, url))

	said := says(t, url, frame.Done, "order draft --supplier PLG")
	require.Contains(t, said, "2 drafted")
	require.Contains(t, said, "when one is sent: roundkit order place PO-015")
	require.Contains(t, says(t, url, frame.Done, "order draft --supplier PLG"), "nothing to draft beyond PO-015, PO-016", "what is drafted counts as ordered")
	// one command is one undo, and it can be put back
	undone := says(t, url, frame.Done, "undo")
	require.Contains(t, undone, "PO-015: drafted - PO-016: drafted", "it says what it takes back")
	require.Equal(t, []string{"called off", "called off"}, []string{listed(t, url)["PO-015"].State, listed(t, url)["PO-016"].State})
	require.Contains(t, says(t, url, frame.Done, "redo"), "PO-015: drafted")
	require.Contains(t, says(t, url, frame.Done, "reorder"), "2 drafts count as ordered; place PO-015 to PLG by 2027-06-23 (then PO-016)")
	require.NotContains(t, says(t, url, frame.Done, "reorder"), " PLG RAG-LF ", "what is drafted is not offered again")
	all := listed(t, url)
	require.Len(t, all, len(before)+2)
	require.Equal(t, "drafted", all["PO-015"].State)
	require.Equal(t, "50.90", *all["PO-015"].Total, "2 x 14.00 + 16.00 + 6.90 carriage")
	require.Equal(t, [2]float64{0, 50}, openOf(t, all["PO-015"], "CRW-10"))

	require.Contains(t, says(t, url, frame.Done, "order place PO-015 --dry-run"), "dry run, nothing was changed")
	require.Equal(t, all, listed(t, url))
	require.Contains(t, says(t, url, frame.Done, "order place PO-015"), "PO-015 to PLG: placed 2027-06-05, due 2027-06-08 at workshop")
	said = says(t, url, frame.Done, "order confirm PO-015 --due 2027-06-12")
	require.Contains(t, said, "PO-015 to PLG: confirmed, due 2027-06-12 at workshop")
	require.Contains(t, said, "look: 4 days later than expected: look at reorder, something may be short by then")
	require.Equal(t, "confirmed", listed(t, url)["PO-015"].State)

	// 20 of the 50 washers come
	said = says(t, url, frame.Done, "order arrive PO-015 --part CRW-10=20")
	require.Contains(t, said, "PO-015 from PLG: part here; the rest is still on its way, due 2027-06-12")
	require.Contains(t, said, "note: if the rest will not come: roundkit order call-off PO-015")
	all = listed(t, url)
	require.Equal(t, "part here", all["PO-015"].State)
	require.Equal(t, [2]float64{20, 30}, openOf(t, all["PO-015"], "CRW-10"))
	require.Equal(t, [2]float64{0, 400}, openOf(t, all["PO-015"], "RAG-LF"))
	require.Contains(t, says(t, url, frame.Done, "order list --supplier PLG"), "1 order on the way; 1 draft to place; 1 here or called off from PLG")

	said = says(t, url, frame.Done, "order call-off PO-015")
	require.Contains(t, said, "PO-015 to PLG: called off (was part here)")
	require.Contains(t, said, "look: what came of it stays; the rest will not come")
	require.Contains(t, said, "look: tell PLG; look at reorder, what it was to bring may be short")
	require.Contains(t, says(t, url, frame.Done, "order call-off PO-016"), "PO-016 to PLG: called off (was drafted)")
	all = listed(t, url)
	require.Equal(t, "called off", all["PO-015"].State)
	require.Equal(t, [2]float64{20, 0}, openOf(t, all["PO-015"], "CRW-10"))

	// reorder asks again for what was called off, less the 20 washers that came
	require.Contains(t, says(t, url, frame.Done, "order draft --supplier PLG"), "drafted")
}

// All of an order in two deliveries, each of which becomes a lot where it was sent: PO-014
// brings 30 wipers to the workshop, where 6 lie.
func TestOrderArrivesInTwoParts(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	require.Contains(t, says(t, url, frame.Done, "order arrive PO-014 --part WIP-40=10"), "PO-014 from SRN: part here; the rest is still on its way, due 2027-06-09")
	require.Equal(t, [2]float64{10, 20}, openOf(t, listed(t, url)["PO-014"], "WIP-40"))
	require.Contains(t, says(t, url, frame.Done, "order arrive PO-014"), "PO-014 from SRN: here, all of it")
	require.Equal(t, [2]float64{30, 0}, openOf(t, listed(t, url)["PO-014"], "WIP-40"))
	asks(t, url, "stock WIP-40 --at workshop --json", map[string]any{"[place=W-A1].sum quantity": 36})
	require.Equal(t, "here", listed(t, url)["PO-014"].State)

	// taken back, the last delivery is open again
	says(t, url, frame.Done, "undo")
	require.Equal(t, [2]float64{10, 20}, openOf(t, listed(t, url)["PO-014"], "WIP-40"))
	require.Equal(t, "part here", listed(t, url)["PO-014"].State)
}

// A step that does not lead on from where an order stands is refused with what it is and
// what was expected, and changes nothing.
func TestOrderRefusesWrongMoves(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	says(t, url, frame.Done, "order draft --supplier PLG")
	const hint = " hint: roundkit order list shows every order and its state"
	refused := func(line, because string) {
		t.Helper()
		before := listed(t, url)
		require.Equal(t, "roundkit: "+because+hint, says(t, url, frame.Refused, line), line)
		require.Equal(t, before, listed(t, url), line)
	}
	refused("order confirm PO-015", "refused: order PO-015 is drafted, expected one that is placed, confirmed or part here to confirm it")
	refused("order arrive PO-015", "refused: order PO-015 is drafted, expected one that is placed, confirmed or part here to book it in")
	says(t, url, frame.Done, "order place PO-015")
	refused("order place PO-015", "refused: order PO-015 is placed since 2027-06-05, expected one that is drafted to place it")
	says(t, url, frame.Done, "order call-off PO-015")
	for step, expected := range map[string]string{
		"place": "drafted to place it", "confirm": "placed, confirmed or part here to confirm it", "arrive": "placed, confirmed or part here to book it in",
		"call-off": "drafted, placed, confirmed or part here to call it off",
	} {
		refused("order "+step+" PO-015", "refused: order PO-015 is called off, expected one that is "+expected)
	}
	says(t, url, frame.Done, "order arrive PO-014")
	refused("order arrive PO-014", "refused: order PO-014 is here since 2027-06-05, expected one that is placed, confirmed or part here to book it in")
	refused("order call-off PO-014", "refused: order PO-014 is here since 2027-06-05, expected one that is drafted, placed, confirmed or part here to call it off")
	refused("order place PO-99", "no order PO-99; did you mean PO-009?")
}

// Drafts are written as they are sent, all or those named; what cannot be leaves no file.
func TestOrderSheets(t *testing.T) {
	t.Parallel()
	url := seasonURL(t, nil)
	folder := t.TempDir()
	file, csvs := filepath.Join(folder, "orders.xlsx"), filepath.Join(folder, "csv")
	require.Contains(t, says(t, url, frame.Refused, "order sheet --out "+file), "found no draft, expected one, or the number of an order")
	says(t, url, frame.Done, "order draft --supplier PLG")
	require.Contains(t, says(t, url, frame.Refused, "order sheet PO-015 PO-999 --out "+file), "no order PO-999")
	require.Contains(t, says(t, url, frame.Wrong, "order sheet PO-015"), "found neither --out nor --csv")
	require.NoFileExists(t, file)
	require.Contains(t, says(t, url, frame.Done, "order sheet --out "+file+" --csv "+csvs), "PO-015, PO-016: written to")
	require.FileExists(t, file)
	rows, err := os.ReadFile(filepath.Join(csvs, "PO-015.csv"))
	require.NoError(t, err)
	require.Contains(t, string(rows), "RAG-LF")
	require.FileExists(t, filepath.Join(csvs, "PO-016.csv"))
	says(t, url, frame.Refused, "order sheet --out "+file) // it is there: not without --replace
	says(t, url, frame.Done, "order sheet po-016 --replace --out "+file)
}
