package ledger_test

import (
	"io/fs"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
	"roundkit/testdata"
)

// demo reads the invented season.
func demo(t *testing.T) (*planner.Book, *time.Location) {
	t.Helper()
	folder, err := fs.Sub(testdata.Demo, "demo")
	require.NoError(t, err)
	in, err := seasonfile.ReadFolder(folder, "demo", seasonfile.Limits{})
	require.NoError(t, err)
	parsed, faults := workbook.Parse(in, nil)
	require.Empty(t, faults)
	return &parsed.Book, parsed.Zone
}

// The invented season is explicit from the first day to its clock: the ledger has
// nothing to add, and at the clock the truck holds what the scenario says.
func TestDemoSeason(t *testing.T) {
	t.Parallel()
	b, zone := demo(t)
	got, problems := ledger.Post(ledger.Input{Book: b, Zone: zone})
	require.Empty(t, problems)
	require.Empty(t, got.Warnings)
	require.Empty(t, got.Opened)

	facts := ledger.FactsOf(b)
	truck := map[string]units.Quantity{}
	at := map[string]string{}
	sum := map[ledger.Key]units.Quantity{}
	perLot := map[string]units.Quantity{}
	for _, e := range got.Entries {
		for _, m := range e.Moves {
			require.Positive(t, int64(m.Quantity))
			sum[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.From}] -= m.Quantity
			sum[ledger.Key{Lot: m.Lot, Tag: m.Tag, Place: m.To}] += m.Quantity
		}
	}
	for k, q := range sum {
		perLot[k.Lot] += q
		if facts.Within(k.Place, "truck") {
			truck[facts.Lots[k.Lot].Part] += q
		}
		if k.Tag != "" && q > 0 {
			at[k.Tag] = k.Place
		}
	}
	for lot, q := range perLot {
		require.Zero(t, q, "lot %s: all places sum to zero", lot)
	}
	// scenario, known answers 1 and 9, and its table of weighed bottles
	for part, want := range map[string]units.Quantity{"WIP-40": 24, "OSL-40": 16, "FRG-40": 24, "CRW-10": 26, "FNS-10": 51,
		"KIT-DMP40": 2, "SPF-75": 0, "OIL-B68": 1475917, "OIL-D22": 148886, "OIL-D10": 726730, "DGR-5L": 7980000} {
		require.Equal(t, want, truck[part], part)
	}
	require.Equal(t, "F05", at["SPF-75#5"])
	require.Equal(t, "lent-1", at["SPR-435#2"])
	require.Equal(t, "scrap", at["SPF-75#1"])
}
