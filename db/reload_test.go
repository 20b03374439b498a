package db_test

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/units"
	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
)

// The ledger told row by row, in the order of arrival: what a saved season must bring back.
// A record's own hash and the day it was stored are not part of it; changes of the plan and of
// orders are told by their sheets.
const ledgerTold = `
	SELECT row_number() OVER (ORDER BY s.seq) || ' ' || concat_ws('|', e.id, e.kind, e.person, e.happened_at, e.undoes, e.code, e.reference, e.due_back_on,
		e.notes, j.round, j.service, j.assembly, j.arrived_at, j.used_nothing, cp.code, cq.code, cl.code, ct.code, c.counted, c.book,
		wt.code, w.gross_mg, w.bench_c, w.book_ul, pm.place, pm.parent,
		(SELECT string_agg(concat_ws(' ', m.n, l.code, t.code, f.code, '>', g.code, m.quantity, m.notes), '; ' ORDER BY m.n)
			FROM movement AS m JOIN lot AS l ON l.id = m.lot_id JOIN place AS f ON f.id = m.from_id JOIN place AS g ON g.id = m.to_id
				LEFT JOIN tag AS t ON t.id = m.tag_id WHERE m.entry_id = e.id))
	FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id
		LEFT JOIN job AS j ON j.entry_id = e.id
		LEFT JOIN count_line AS c ON c.entry_id = e.id LEFT JOIN place AS cp ON cp.id = c.place_id LEFT JOIN part AS cq ON cq.id = c.part_id
		LEFT JOIN lot AS cl ON cl.id = c.lot_id LEFT JOIN tag AS ct ON ct.id = c.tag_id
		LEFT JOIN weighing AS w ON w.entry_id = e.id LEFT JOIN tag AS wt ON wt.id = w.tag_id
		LEFT JOIN place_move AS pm ON pm.entry_id = e.id LEFT JOIN entry AS v ON v.id = e.undoes
	WHERE coalesce(v.kind, e.kind) NOT IN ('plan', 'order')
	ORDER BY s.seq`

// Every balance that is not zero, those beyond our places too.
const balancesTold = `
	SELECT concat_ws('|', l.code, t.code, p.code, b.quantity, b.used_at)
	FROM balance AS b JOIN lot AS l ON l.id = b.lot_id JOIN place AS p ON p.id = b.place_id LEFT JOIN tag AS t ON t.id = b.tag_id
	WHERE b.quantity <> 0 ORDER BY 1`

func told(t *testing.T, s *db.Store, query string) string {
	t.Helper()
	rows, err := s.Pool().Query(t.Context(), query)
	require.NoError(t, err)
	var all []string
	for rows.Next() {
		var line string
		require.NoError(t, rows.Scan(&line))
		all = append(all, line)
	}
	require.NoError(t, rows.Err())
	return strings.Join(all, "\n")
}

func writeSeason(tb testing.TB, path string, sheets []workbook.SheetOut) {
	tb.Helper()
	var b bytes.Buffer
	require.NoError(tb, seasonfile.WriteSpreadsheet(&b, sheets))
	require.NoError(tb, os.WriteFile(path, b.Bytes(), 0o600))
}

// saved writes the season as a spreadsheet and reads that.
func saved(t *testing.T, s *db.Store) workbook.Input {
	t.Helper()
	book, err := s.Book(t.Context(), "")
	require.NoError(t, err)
	path := t.TempDir() + "/season.xlsx"
	writeSeason(t, path, workbook.Format(book, zoneOf(t, book.Season[0].TimeZone)))
	in, err := seasonfile.Read(path, seasonfile.Limits{})
	require.NoError(t, err)
	return in
}

// requireReloads saves a living season and loads it into an empty database: the same ledger
// there, record by record in the order of arrival, and the same balances. It returns that.
func requireReloads(t *testing.T, s *db.Store) *db.Store {
	t.Helper()
	in := saved(t, s)
	again, err := s.Load(t.Context(), in, db.LoadOptions{})
	require.NoError(t, err)
	require.Empty(t, again.Changes.Lines(), "what was saved, over the same database")
	other := store(t)
	report, err := other.Load(t.Context(), in, db.LoadOptions{})
	require.NoError(t, err)
	require.Empty(t, report.Warnings)
	for _, x := range []*db.Store{s, other} {
		_, err := x.Pool().Exec(t.Context(), "ANALYZE")
		require.NoError(t, err)
	}
	require.Equal(t, told(t, s, ledgerTold), told(t, other, ledgerTold))
	require.Equal(t, told(t, s, balancesTold), told(t, other, balancesTold))
	requireSound(t, other)
	requireSameBook(t, s, other)
	return other
}

func requireSameBook(t *testing.T, a, b *db.Store) {
	t.Helper()
	was, err := a.Book(t.Context(), "")
	require.NoError(t, err)
	is, err := b.Book(t.Context(), "")
	require.NoError(t, err)
	zone := zoneOf(t, was.Season[0].TimeZone)
	want, got := workbook.Format(was, zone), workbook.Format(is, zone)
	for i := range want {
		require.Equal(t, numbers(want[i].Rows), numbers(got[i].Rows), want[i].Name)
	}
}

// What a season may live through, each saved and brought back. The first four lost stock, were
// refused, or put one bottle in two places when the rows were decided upon a second time.
func TestSavedSeasonComesBack(t *testing.T) {
	t.Parallel()
	const washers, drawer = "CRW-10", "T-D03"
	at := func(t *testing.T, text string) time.Time {
		when, err := time.ParseInLocation("2006-01-02 15:04:05.999999", text, zoneOf(t, "Europe/Vienna"))
		require.NoError(t, err)
		return when
	}
	job := func(t *testing.T, s *db.Store, when time.Time, parts ...planner.JobPart) uuid.UUID {
		id := newID(t)
		_, err := s.Record(t.Context(), db.Request{ID: id, Kind: "job", Person: "u1", At: when, Job: &planner.Job{Service: "LLS", Assembly: "F01", Round: "ZDR"}, JobParts: parts})
		require.NoError(t, err)
		return id
	}
	part := func(code string, q units.Quantity) planner.JobPart { return planner.JobPart{Part: code, Quantity: &q} }
	act := func(t *testing.T, when time.Time) db.Act { return db.Act{ID: newID(t), Person: "u1", At: when} }
	count := func(t *testing.T, s *db.Store, when time.Time, place, code string, q units.Quantity) uuid.UUID {
		a := act(t, when)
		_, err := s.CountPart(t.Context(), a, place, code, q)
		require.NoError(t, err)
		return a.ID
	}
	undo := func(t *testing.T, s *db.Store, when time.Time, id uuid.UUID) {
		_, err := s.Undo(t.Context(), act(t, when), id.String())
		require.NoError(t, err)
	}
	for _, c := range []struct {
		name string
		live func(t *testing.T, s *db.Store)
	}{
		{"nothing since", func(*testing.T, *db.Store) {}},
		{"a job as usual, three weeks late", func(t *testing.T, s *db.Store) {
			_, _, err := s.LogJob(t.Context(), db.JobLog{ID: newID(t), Person: "u1", At: at(t, "2027-05-14 10:00:00"), Service: "LLS", Assembly: "F01"})
			require.NoError(t, err)
		}},
		{"a count, then a job from half an hour before it", func(t *testing.T, s *db.Store) {
			count(t, s, at(t, "2027-06-05 18:30:00"), drawer, washers, 20)
			job(t, s, at(t, "2027-06-05 18:00:00"), part(washers, 2))
		}},
		{"a job, a count, both undone", func(t *testing.T, s *db.Store) {
			id := job(t, s, at(t, "2027-06-05 17:00:00"), part(washers, 2))
			counted := count(t, s, at(t, "2027-06-05 17:30:00"), drawer, washers, 24)
			undo(t, s, at(t, "2027-06-05 18:00:00"), counted)
			undo(t, s, at(t, "2027-06-05 18:10:00"), id)
		}},
		{"more used than there was, at one microsecond", func(t *testing.T, s *db.Store) {
			when := at(t, "2027-06-05 18:00:00.000001")
			job(t, s, when, part(washers, 40))
			count(t, s, when, drawer, washers, 3)
			job(t, s, when, part(washers, 1))
		}},
		{"a drawer that a late record empties", func(t *testing.T, s *db.Store) {
			job(t, s, at(t, "2027-06-05 18:00:00"), part(washers, 26))
			id := job(t, s, at(t, "2027-06-05 16:00:00"), part(washers, 5))
			undo(t, s, at(t, "2027-06-05 18:30:00"), id)
		}},
		{"a change of the plan, taken back, and a record put back", func(t *testing.T, s *db.Store) {
			id := newID(t)
			_, err := s.PlanAdd(t.Context(), db.PlanChange{Round: "KAR", Service: "LLS"}, 4, db.ChangeOptions{ID: id, Person: "u1"})
			require.NoError(t, err)
			undo(t, s, time.Time{}, id)
			_, err = s.PlanAdd(t.Context(), db.PlanChange{Round: "KAR", Service: "LLS"}, 1, db.ChangeOptions{ID: newID(t), Person: "u2"})
			require.NoError(t, err)
			worked := job(t, s, at(t, "2027-06-05 17:00:00"), part(washers, 2))
			a := act(t, time.Time{})
			_, err = s.Undo(t.Context(), a, worked.String())
			require.NoError(t, err)
			_, err = s.Redo(t.Context(), act(t, time.Time{}), a.ID.String())
			require.NoError(t, err)
		}},
		{"the stores' own work", func(t *testing.T, s *db.Store) {
			when := at(t, "2027-06-05 18:00:00")
			_, err := s.MoveCase(t.Context(), act(t, when), "FC-1", "truck")
			require.NoError(t, err)
			a := act(t, when.Add(time.Minute))
			_, err = s.MoveCase(t.Context(), a, "FC-2", "truck")
			require.NoError(t, err)
			undo(t, s, when.Add(2*time.Minute), a.ID)
			_, err = s.Weigh(t.Context(), act(t, when.Add(3*time.Minute)), "B-104", 300_000)
			require.NoError(t, err)
			_, err = s.Receive(t.Context(), db.Receipt{Act: act(t, when.Add(4*time.Minute)), Part: washers, Quantity: 50, To: drawer})
			require.NoError(t, err)
			_, err = s.MoveStock(t.Context(), db.Move{Act: act(t, when.Add(5*time.Minute)), Kind: "move", Part: washers, Quantity: 60, From: drawer, To: "T-D08"})
			require.NoError(t, err)
			a = act(t, when.Add(6*time.Minute))
			_, err = s.MoveStock(t.Context(), db.Move{Act: a, Kind: "scrap", Part: washers, Quantity: 1, From: "T-D08"})
			require.NoError(t, err)
			undo(t, s, when.Add(7*time.Minute), a.ID)
			count(t, s, when.Add(8*time.Minute), "truck", "WIP-40", 24)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := store(t)
			_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
			require.NoError(t, err)
			c.live(t, s)
			other := requireReloads(t, s)
			// and it lives on alike: an undo finds what belongs to it there
			for _, id := range lastOf(t, s) {
				_, here := s.Undo(t.Context(), db.Act{ID: newID(t), Person: "u1", At: at(t, "2027-06-05 19:00:00")}, id)
				_, there := other.Undo(t.Context(), db.Act{ID: newID(t), Person: "u1", At: at(t, "2027-06-05 19:00:00")}, id)
				require.Equal(t, here == nil, there == nil)
			}
			require.Equal(t, told(t, s, balancesTold), told(t, other, balancesTold))
		})
	}
}

// lastOf names the last three live records.
func lastOf(t *testing.T, s *db.Store) []string {
	t.Helper()
	rows, err := s.Pool().Query(t.Context(), `SELECT e.id::text FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id
		WHERE e.code IS NULL AND e.kind NOT IN ('undo', 'plan', 'order') AND substr(e.id::text, 15, 1) = '7' ORDER BY s.seq DESC LIMIT 3`)
	require.NoError(t, err)
	var ids []string
	for rows.Next() {
		var id string
		require.NoError(t, rows.Scan(&id))
		ids = append(ids, id)
	}
	require.NoError(t, rows.Err())
	return ids
}

// Jobs that somebody adds to the files before a count that is there: what was counted stays
// counted, and the movement that told the count's difference takes no more than there was.
func TestJobsAddedBeforeACount(t *testing.T) {
	t.Parallel()
	rows := ""
	for i := range 13 {
		rows += fmt.Sprintf("J-9%02d,2027-05-26 10:%02d,u1,,LLS,F01,,,,\n", i, i)
	}
	s, demo := store(t), store(t)
	_, err := demo.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	report, err := s.Load(t.Context(), demoWith(t, map[string]string{"job-log.csv": rows}), db.LoadOptions{})
	require.NoError(t, err)
	require.Contains(t, strings.Join(report.Warnings, "\n"), "count C-017: the rows before it leave 57 of CRW-10 at workshop, counted were 75")
	// counted on 1 June: C-016 and C-017, 25 and 75 in the workshop; what was used since is the demo's
	for _, part := range []string{"FNS-10", "CRW-10"} {
		for _, drawer := range []string{"W-A1", "W-A2", "W-A3", "W-A4"} {
			require.Equal(t, held(t, demo, part, drawer), held(t, s, part, drawer), "%s in %s", part, drawer)
		}
	}
	requireReloads(t, s)
}

// A row taken out of a saved season, or changed in it, is found out by the numbers of arrival.
func TestSavedSeasonThatWasChanged(t *testing.T) {
	t.Parallel()
	s := store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	two := units.Quantity(2)
	for range 2 {
		_, err = s.Record(t.Context(), db.Request{ID: newID(t), Kind: "job", Person: "u1", Job: &planner.Job{Service: "LLS", Assembly: "F01", Round: "ZDR"},
			JobParts: []planner.JobPart{{Part: "CRW-10", Quantity: &two}}})
		require.NoError(t, err)
	}
	in := saved(t, s)
	column := func(sheet, heading string) (*workbook.Sheetful, int) {
		for i := range in.Sheets {
			if in.Sheets[i].Name != sheet {
				continue
			}
			for j, c := range in.Sheets[i].Rows[0].Cells {
				if c.Text == heading {
					return &in.Sheets[i], j
				}
			}
		}
		t.Fatalf("no column %s of %s", heading, sheet)
		return nil, 0
	}
	refused := func(into *db.Store, says string) {
		t.Helper()
		_, err := into.Load(t.Context(), in, db.LoadOptions{DryRun: true})
		require.ErrorContains(t, err, says)
	}
	jobs, at := column("job-log", "arrival")
	whole, last := jobs.Rows, len(jobs.Rows)-1
	number := jobs.Rows[last].Cells[at].Text
	jobs.Rows = whole[: last-1 : last-1]
	jobs.Rows = append(jobs.Rows, whole[last])
	parts, q := column("job-parts", "quantity")
	all, end := parts.Rows, len(parts.Rows)-1
	parts.Rows = append(all[:end-1:end-1], all[end])
	refused(store(t), "rows are missing that were booked before this one")
	jobs.Rows, parts.Rows = whole, all

	cell := &parts.Rows[len(parts.Rows)-1].Cells[q]
	was := cell.Text
	cell.Text = "400"
	refused(store(t), "less than nothing")
	cell.Text = was

	whole[last].Cells[at].Text = whole[last-1].Cells[at].Text
	refused(store(t), "each number once")
	whole[last].Cells[at].Text = number

	// another database that went on by itself
	other := store(t)
	_, err = other.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	_, err = other.CountPart(t.Context(), db.Act{ID: newID(t), Person: "u2"}, "T-D03", "CRW-10", 20)
	require.NoError(t, err)
	refused(other, "the book has gone on since this was saved")
}

// What went on in the copy comes back into the book it was saved from, which meanwhile changed
// its plan: the numbers go on where its records end.
func TestSavedSeasonGoesOnElsewhere(t *testing.T) {
	t.Parallel()
	s, other := store(t), store(t)
	_, err := s.Load(t.Context(), demoInput(t), db.LoadOptions{})
	require.NoError(t, err)
	_, err = s.CountPart(t.Context(), db.Act{ID: newID(t), Person: "u1"}, "T-D03", "CRW-10", 20)
	require.NoError(t, err)
	_, err = s.PlanAdd(t.Context(), db.PlanChange{Round: "KAR", Service: "LLS"}, 1, db.ChangeOptions{ID: newID(t), Person: "u2"})
	require.NoError(t, err)
	_, err = other.Load(t.Context(), saved(t, s), db.LoadOptions{})
	require.NoError(t, err)
	_, err = other.CountPart(t.Context(), db.Act{ID: newID(t), Person: "u1"}, "T-D03", "CRW-10", 17)
	require.NoError(t, err)
	_, err = s.Load(t.Context(), saved(t, other), db.LoadOptions{})
	require.NoError(t, err)
	require.Equal(t, told(t, other, ledgerTold), told(t, s, ledgerTold))
	require.Equal(t, told(t, other, balancesTold), told(t, s, balancesTold))
}
