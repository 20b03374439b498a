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
	"roundkit/db/dbtest"
	"roundkit/testdata/answers"
)

// loaded returns the address of a database into which the folder was loaded by the command.
func loaded(t *testing.T, folder string) string {
	t.Helper()
	url := dbtest.URL(t, empty())
	env, _, errs := terminal(map[string]string{"DATABASE_URL": url, "ROUNDKIT_HOME": t.TempDir()})
	require.Equal(t, frame.Done, Run(t.Context(), env, []string{"workbook", "load", folder}), errs)
	return url
}

// asks runs a command and checks figures in its JSON, by the paths of the known answers.
func asks(t *testing.T, url, line string, want map[string]any) {
	t.Helper()
	env, out, errs := terminal(map[string]string{"DATABASE_URL": url})
	require.Equal(t, frame.Done, Run(t.Context(), env, strings.Fields(line)), errs)
	for path, value := range want {
		text, err := json.Marshal(map[string]any{"answers": []any{map[string]any{"id": line, "command": "roundkit " + line,
			"want": []any{map[string]any{"path": path, "value": value, "tol": 1e-9}}}}})
		require.NoError(t, err)
		folder := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(folder, "answers.json"), text, 0o600))
		all, err := answers.Read(os.DirFS(folder))
		require.NoError(t, err)
		require.NoError(t, all[0].Check(out.Bytes()), fmt.Sprintf("%s: %s", line, path))
	}
}

// An enduro team with two motorcycles, written by hand in the workbook's format: other
// services, two currencies, rates in lb/in, each rider's own damper oil. The figures were
// worked out on paper:
//
//   - Fork seal kits: 4 rebuilds x 2 = 8 for certain; 3 on the shelf, so 5 short.
//   - Fork oil of Milo's fork: a fork takes 320 ml in the damper leg and 80 to 100 ml in
//     the spring leg (common practice), here 400-410-420 ml a rebuild: two take 820 ml, so a
//     1 l bottle does two rebuilds and a third would want 1230 ml.
//     Variance of a symmetric triangle of half-width 10: 100/6; of two: 33.3; sd 5.7735.
//   - Dust wipers, pairs K. Gorsedale (2 jobs, rain 1/2): P(0) = .5 x .8^2 + .5 x .4^2 = .40,
//     P(1) = .5 x .32 + .5 x .48 = .40, P(2) = .5 x .04 + .5 x .36 = .20. Mirefoot (rain .2):
//     P(0) = .8 x .64 + .2 x .16 = .544, P(1) = .8 x .32 + .2 x .48 = .352, P(2) = .104.
//     Together P(K<=2) = .2176 + .3584 + .2912 = .8672, P(K<=3) = .9792: at 90 % 3 pairs = 6.
//     Mean 2 x [2 x (.5 x .2 + .5 x .6) + 2 x (.8 x .2 + .2 x .6)] = 2.72. 4 in stock: .8672.
//   - Spring 48 lb/in: Milo wants it with 30 % at each of two rounds: at least once with
//     1 - .7^2 = .51; none in stock covers .49.
//   - Reorder: 5 kits in packs of 2 are 3 packs x 18.50 EUR = 55.50 EUR; 2 dust wipers are
//     1 pack x 6.40 EUR.
func TestAnotherDiscipline(t *testing.T) {
	t.Parallel()
	url := loaded(t, "../../../testdata/enduro")
	asks(t, url, "forecast --trip SPRING --json", map[string]any{
		"parts[part=FSK-48].mean": 8, "parts[part=FSK-48].sd": 0, "parts[part=FSK-48].at_confidence": 8, "parts[part=FSK-48].short": 5,
		"parts[part=OIL-7W].containers": 1,
		"parts[part=DUST-48].mean":      2.72, "parts[part=DUST-48].at_confidence": 6, "parts[part=DUST-48].cover": 0.8672,
		"parts[part=SP-48].mean": 0.51, "parts[part=SP-48].cover": 0.49, "parts[part=SP-48].at_confidence": 1,
	})
	asks(t, url, "explain OIL-7W --trip SPRING --json", map[string]any{"mean": 820})
	asks(t, url, "job left --json", map[string]any{
		"[service=RBF,assembly=FM].next[part=OIL-7W].left": 2, "[service=RBF,assembly=FA].next[part=OIL-5W].left": 4,
		"[service=RBF,assembly=FM].limited_by": "FSK-48", "[service=RBS].limited_by": "NIT-10", "[service=RBS].left": 0,
	})
	asks(t, url, "reorder --json", map[string]any{
		"orders[supplier=NSH].lines[part=FSK-48].sum packs": 3, "orders[supplier=NSH].lines[part=FSK-48].sum amount": 55.5,
		"orders[supplier=NSH].lines[part=DUST-48].sum packs": 1, "orders[supplier=NSH].lines[part=DUST-48].sum amount": 6.4,
		"orders[supplier=NSH].currency": "EUR",
	})
}

// A first plan from the seven needed sheets alone, typed as a person would: units in the
// cells, a decimal comma, a percent sign, no trips, places, lots or suppliers.
//
// By hand: washers 7 x 2 = 14; oil 7 x 25 ml = 175 ml; wipers 2 x [4 x (.8 x .25 + .2 x .7)
// + 3 x .25] = 2 x (1.36 + .75) = 4.22.
func TestFirstPlanFromSevenSheets(t *testing.T) {
	t.Parallel()
	url := loaded(t, "../../../testdata/first")
	asks(t, url, "forecast --season 2029 --json", map[string]any{
		"parts[part=WASHER].mean": 14, "parts[part=WASHER].short": 0, "parts[part=OIL].mean": 175, "parts[part=OIL].on_hand": 500,
		"parts[part=WIPER].mean": 4.22,
	})
	asks(t, url, "stock --json", map[string]any{"[part=WIPER].place": "shelf", "[part=OIL].quantity": 500})
	asks(t, url, "pack ONE --json", map[string]any{"trip": "ONE"})
}
