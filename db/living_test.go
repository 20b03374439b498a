package db_test

import (
	"io/fs"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner/units"
	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
	"roundkit/testdata"
	"roundkit/testdata/answers"
)

// demoWith is the invented season with rows added to sheets and cells changed.
func demoWith(t *testing.T, add map[string]string, patches ...answers.Patch) workbook.Input {
	t.Helper()
	folder, err := fs.Sub(testdata.Demo, "demo")
	require.NoError(t, err)
	patched, err := answers.Patched(folder, patches)
	require.NoError(t, err)
	files := fstest.MapFS{}
	names, err := fs.Glob(patched, "*.csv")
	require.NoError(t, err)
	for _, name := range names {
		text, err := fs.ReadFile(patched, name)
		require.NoError(t, err)
		files[name] = &fstest.MapFile{Data: append(text, add[name]...)}
	}
	in, err := seasonfile.ReadFolder(files, "demo", seasonfile.Limits{})
	require.NoError(t, err)
	return in
}

func zoneOf(t *testing.T, name string) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation(name)
	require.NoError(t, err)
	return zone
}

func held(t *testing.T, s *db.Store, part, place string) (q units.Quantity) {
	t.Helper()
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	for _, h := range snap.Stock {
		if h.Part == part && h.Place == place {
			q += h.Quantity
		}
	}
	return q
}

// Rows added to a season that is there. Each case says what the drawer holds before and
// after; every one leaves the ledger sound, and what is saved then says nothing new.
func TestLoadOverALivingLedger(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name        string
		add         map[string]string
		part, place string
		was, now    units.Quantity
		entries     int
	}{
		{"a job of today takes from the drawer", map[string]string{
			"job-log.csv":   "J-9001,2027-06-05 20:00,u1,ZDR,LLS,F02,,,,\n",
			"job-parts.csv": "J-9001,FNS-10,,,T-D03,used,2,pc,\n",
		}, "FNS-10", "T-D03", 51, 49, 1},
		// FNS-10 was counted as 51 on 2027-06-05 07:30: what was used at seven was gone by then.
		{"a job from before a count does not take twice", map[string]string{
			"job-log.csv":   "J-9002,2027-06-05 07:00,u1,ZDR,LLS,F02,,,,\n",
			"job-parts.csv": "J-9002,FNS-10,,,T-D03,used,2,pc,\n",
		}, "FNS-10", "T-D03", 51, 51, 2},
		// 2 crush washers, 2 foot-nut seals, 40 ml of bath oil, 5 g of grease, 60 ml of
		// degreaser, 4 wipes and a pair of gloves: the usual of a lower-leg service.
		{"a job without parts used the usual", map[string]string{
			"job-log.csv": "J-9003,2027-06-05 20:00,u1,ZDR,LLS,F02,,,,\n",
		}, "CRW-10", "T-D03", 26, 24, 1},
		{"a count without a book posts its difference", map[string]string{
			"counts.csv": "C-900,2027-06-05 20:00,u1,T-D03,CRW-10,24,pc,,\n",
		}, "CRW-10", "T-D03", 26, 24, 2},
		{"a count that finds more", map[string]string{
			"counts.csv": "C-901,2027-06-05 20:00,u1,T-D03,CRW-10,30,pc,,\n",
		}, "CRW-10", "T-D03", 26, 30, 2},
		{"more used than there was is found", map[string]string{
			"job-log.csv":   "J-9004,2027-06-05 20:00,u1,ZDR,LLS,F02,,,,\n",
			"job-parts.csv": "J-9004,CRW-10,,,T-D03,used,30,pc,\n",
		}, "CRW-10", "T-D03", 26, 0, 1},
		// B-104 holds 475.917 ml: 300 g less 92 g over 0.872 g/ml is 238.532 ml.
		{"a weighing without a book posts its difference", map[string]string{
			"weighings.csv": "G-900,2027-06-05 20:00,u1,B-104,300,20,,\n",
		}, "OIL-B68", "T-L01", 1_475_917, 1_238_532, 2},
		{"an undone job comes back", map[string]string{
			"job-log.csv":   "J-9005,2027-06-05 20:00,u1,ZDR,LLS,F02,,2027-06-05 20:10,u2,\n",
			"job-parts.csv": "J-9005,FNS-10,,,T-D03,used,2,pc,\n",
		}, "FNS-10", "T-D03", 51, 51, 2},
		{"stock counted again corrects", map[string]string{
			"stock.csv": "T-D03,FNB-10,LT-0007,,3,pc,2027-06-05 20:00,\n",
		}, "FNB-10", "T-D03", 4, 3, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := store(t)
			_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
			require.NoError(t, err)
			require.Equal(t, c.was, held(t, s, c.part, c.place))
			report, err := s.Load(t.Context(), demoWith(t, c.add), db.LoadOptions{})
			require.NoError(t, err)
			require.Equal(t, c.entries, report.Entries)
			require.Equal(t, c.now, held(t, s, c.part, c.place))
			requireSound(t, s)

			again, err := s.Load(t.Context(), demoWith(t, c.add), db.LoadOptions{})
			require.NoError(t, err)
			require.Empty(t, again.Changes.Lines(), "the same file again")
			requireSavedIsKnown(t, s)
		})
	}
}

// requireSavedIsKnown: what is saved loads into the same database without a change, and into
// an empty one to the same stock.
func requireSavedIsKnown(t *testing.T, s *db.Store) {
	t.Helper()
	book, err := s.Book(t.Context(), "")
	require.NoError(t, err)
	path := t.TempDir() + "/season.xlsx"
	writeSeason(t, path, workbook.Format(book, zoneOf(t, book.Season[0].TimeZone)))
	in, err := seasonfile.Read(path, seasonfile.Limits{})
	require.NoError(t, err)
	report, err := s.Load(t.Context(), in, db.LoadOptions{})
	require.NoError(t, err)
	require.Empty(t, report.Changes.Lines(), "what was saved, over the same database")
	other := store(t)
	_, err = other.Load(t.Context(), in, db.LoadOptions{})
	require.NoError(t, err)
	moved, err := other.Book(t.Context(), "")
	require.NoError(t, err)
	want, got := workbook.Format(book, zoneOf(t, book.Season[0].TimeZone)), workbook.Format(moved, zoneOf(t, book.Season[0].TimeZone))
	for i := range want {
		require.ElementsMatch(t, numbers(want[i].Rows), numbers(got[i].Rows), want[i].Name)
	}
}

// The plan is the whole truth of a sheet that is present: a row that is gone is removed, and
// refused where the history refers to it.
func TestPlanRowsThatAreGone(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	in := demoInput(t)
	for i, sheet := range in.Sheets {
		if sheet.Name == "planned-jobs" {
			in.Sheets[i].Rows = sheet.Rows[:len(sheet.Rows)-1]
		}
	}
	report, err := s.Load(t.Context(), in, db.LoadOptions{})
	require.NoError(t, err)
	_, _, removed := report.Changes.Count("planned-jobs")
	require.Equal(t, 1, removed)

	for i, sheet := range in.Sheets {
		if sheet.Name == "rounds" {
			in.Sheets[i].Rows = append(sheet.Rows[:1:1], sheet.Rows[2:]...) // CMP, where jobs were done
		}
	}
	_, err = s.Load(t.Context(), in, db.LoadOptions{})
	var faults workbook.Faults
	require.ErrorAs(t, err, &faults)
}
