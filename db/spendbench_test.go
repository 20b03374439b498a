package db_test

import (
	"fmt"
	"os"
	"runtime/metrics"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/db/dbtest"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/spend"
	"roundkit/reports/answer"
)

// benchMovements is how many movements the season of the measurements has:
// ROUNDKIT_BENCH_MOVEMENTS, else a million.
func benchMovements(b *testing.B) int {
	b.Helper()
	text := os.Getenv("ROUNDKIT_BENCH_MOVEMENTS")
	if text == "" {
		return 1_000_000
	}
	n, err := strconv.Atoi(text)
	require.NoError(b, err)
	return n
}

// spendSeason makes a season of 60 rounds over a year, 1,000 lots, 8 movements a job, one
// in twenty scrapped; set by set, without asking each row whether what it names is there.
func spendSeason(b *testing.B, movements int) *db.Store {
	b.Helper()
	s := benchStore(b)
	conn, err := s.Pool().Acquire(b.Context())
	require.NoError(b, err)
	defer conn.Release()
	for _, sql := range []string{
		`SET session_replication_role = replica`,
		`INSERT INTO season (code, time_zone, currency, first_on, last_on) VALUES ('B', 'Europe/Vienna', 'EUR', '2025-01-01', '2025-12-31')`,
		`INSERT INTO service (code, pos) SELECT 'S' || i, i FROM generate_series(1, 8) AS i`,
		`INSERT INTO model (code, kind, pos) VALUES ('M', 'fork', 1)`,
		`INSERT INTO rider (code, pos) SELECT 'R' || i, i FROM generate_series(1, 4) AS i`,
		`INSERT INTO supplier (code, pos) SELECT 'V' || i, i FROM generate_series(1, 5) AS i`,
		`INSERT INTO place (code, kind) SELECT 'F' || i, 'assembly' FROM generate_series(1, 16) AS i`,
		`INSERT INTO assembly (code, model, rider, pos) SELECT 'F' || i, 'M', 'R' || (i % 4 + 1), i FROM generate_series(1, 16) AS i`,
		`INSERT INTO place (code, kind) SELECT 'D' || i, 'drawer' FROM generate_series(1, 12) AS i`,
		`INSERT INTO round (season_id, code, first_on, last_on, pos) SELECT s.id, 'RD' || i, date '2025-01-01' + 6 * i, date '2025-01-01' + 6 * i + 3, i FROM season s, generate_series(0, 59) AS i`,
		`INSERT INTO part (code, kind, unit, pos) SELECT 'P' || i, (ARRAY['seal','oil','grease','hardware'])[i % 4 + 1], 'pc', i FROM generate_series(1, 200) AS i`,
		`INSERT INTO lot (season_id, code, part_id, supplier, received_on, quantity, currency, pos)
			SELECT s.id, 'L' || i, p.id, 'V' || (i % 5 + 1), '2025-01-01', 10 * (1 + i % 97), 'EUR', i FROM season s, generate_series(1, 1000) AS i JOIN part p ON p.code = 'P' || (i % 200 + 1)`,
		`INSERT INTO lot_cost (lot_id, kind, amount, currency, known_on) SELECT id, 'landed', (id * 7919 % 100000) / 100.0, 'EUR', '2025-01-01' FROM lot`,
		fmt.Sprintf(`INSERT INTO entry (id, season_id, kind, happened_at, recorded_at, request_hash)
			SELECT lpad(to_hex(i), 32, '0')::uuid, s.id, 'job', timestamptz '2025-01-01 09:00+00' + i * interval '360 days' / %[1]d, now(), '\x00'
			FROM season s, generate_series(0, %[1]d - 1) AS i`, movements/8),
		`INSERT INTO entry_seq (entry_id) SELECT id FROM entry ORDER BY happened_at`,
		fmt.Sprintf(`INSERT INTO job (entry_id, season_id, round, service, assembly, happened_at)
			SELECT e.id, e.season_id, 'RD' || least(59, (n - 1) * 60 / %d), 'S' || (n %% 8 + 1), 'F' || (n %% 16 + 1), e.happened_at FROM (SELECT id, season_id, happened_at, row_number() OVER (ORDER BY id) AS n FROM entry) AS e`, movements/8),
		`INSERT INTO movement (entry_id, quantity, lot_id, from_id, to_id, n)
			SELECT e.id, 1 + (e.k * 8 + i) % 9, l.lo + (e.k * 7919 + i * 104729) % 1000, d.lo + (e.k + i) % 12, CASE WHEN (e.k * 8 + i) % 20 = 0 THEN z.scrap ELSE z.used END, i
			FROM (SELECT id, row_number() OVER (ORDER BY id) AS k FROM entry) AS e, generate_series(1, 8) AS i, (SELECT min(id) AS lo FROM lot) AS l,
				(SELECT min(id) AS lo FROM place WHERE kind = 'drawer') AS d,
				(SELECT (SELECT id FROM place WHERE code = 'used') AS used, (SELECT id FROM place WHERE code = 'scrap') AS scrap) AS z`,
		`INSERT INTO balance (lot_id, place_id, kept, quantity)
			SELECT m.lot_id, p.id, p.kept, sum(m.quantity) FROM movement AS m JOIN place AS p ON p.id = m.to_id GROUP BY 1, 2, 3`,
		`SET session_replication_role = DEFAULT`,
		`VACUUM ANALYZE`,
	} {
		_, err := conn.Exec(b.Context(), sql)
		require.NoError(b, err, sql)
	}
	return s
}

// printed is the command's own path: snapshot, outlook, facts, result, the figures as text.
func printed(b testing.TB, s *db.Store, view string) answer.Spend {
	b.Helper()
	o := db.SpendOptions{View: view}
	snap, err := s.Snapshot(b.Context(), o.SnapshotOptions)
	require.NoError(b, err)
	outlook, err := forecast.New(snap)
	require.NoError(b, err)
	facts, err := s.Spend(b.Context(), o, snap)
	require.NoError(b, err)
	r, err := spend.Of(outlook, view, facts)
	require.NoError(b, err)
	return answer.OfSpend(r)
}

// plainAggregate is quantity x lot cost in a plain hash aggregate by the key of a view,
// with what the key needs joined: what a spreadsheet's author would ask of the database.
func plainAggregate(view string) string {
	key := map[string]string{"round": "j.round", "service": "j.service", "assembly": "j.assembly", "rider": "a.rider", "kind": "p.kind", "supplier": "l.supplier",
		"line": "CASE WHEN p.kind IN ('oil', 'grease', 'cleaner', 'gas') THEN 'oils and waste' ELSE 'parts' END", "month": "date_trunc('month', e.happened_at AT TIME ZONE 'Europe/Vienna')"}[view]
	join := map[string]string{"kind": "JOIN part AS p ON p.id = l.part_id", "line": "JOIN part AS p ON p.id = l.part_id", "supplier": "", "month": "JOIN entry AS e ON e.id = m.entry_id",
		"rider": "JOIN job AS j ON j.entry_id = m.entry_id JOIN assembly AS a ON a.code = j.assembly"}
	more, ok := join[view]
	if !ok {
		more = "JOIN job AS j ON j.entry_id = m.entry_id"
	}
	return `SELECT ` + key + `, sum(m.quantity * c.amount / l.quantity) FROM movement AS m JOIN lot AS l ON l.id = m.lot_id JOIN lot_cost AS c ON c.lot_id = l.id ` + more + `
		WHERE m.to_id = (SELECT id FROM place WHERE code = 'used') GROUP BY 1`
}

// asPlain runs the plain aggregate with the settings that the spend has.
func asPlain(b testing.TB, s *db.Store, view string) (took time.Duration) {
	b.Helper()
	require.NoError(b, pgx.BeginFunc(b.Context(), s.Pool(), func(tx pgx.Tx) error {
		if _, err := tx.Exec(b.Context(), `SELECT set_config('work_mem', '64MB', true), set_config('plan_cache_mode', 'force_custom_plan', true)`); err != nil {
			return err
		}
		start := time.Now()
		rows, err := tx.Query(b.Context(), plainAggregate(view))
		if err != nil {
			return err
		}
		for rows.Next() {
		}
		took = time.Since(start)
		return rows.Err()
	}))
	return took
}

// beside times a view and its plain aggregate in turn, and reports both medians, their
// ratio and the most memory the program held.
func beside(b *testing.B, s *db.Store, view string) {
	var plain, ours []time.Duration
	peak, stop := uint64(0), make(chan struct{})
	done := make(chan struct{})
	go func() {
		defer close(done)
		tick := time.NewTicker(2 * time.Millisecond)
		defer tick.Stop()
		heap := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}, {Name: "/memory/classes/heap/unused:bytes"}}
		for {
			select {
			case <-stop:
				return
			case <-tick.C:
				metrics.Read(heap)
				peak = max(peak, heap[0].Value.Uint64()+heap[1].Value.Uint64())
			}
		}
	}()
	for b.Loop() {
		b.StopTimer()
		plain = append(plain, asPlain(b, s, view))
		b.StartTimer()
		start := time.Now()
		printed(b, s, view)
		ours = append(ours, time.Since(start))
	}
	close(stop)
	<-done
	slices.Sort(plain)
	slices.Sort(ours)
	middle := len(ours) / 2
	b.ReportMetric(float64(plain[middle].Milliseconds()), "plain-ms")
	b.ReportMetric(float64(ours[middle].Milliseconds()), "ours-ms")
	b.ReportMetric(float64(ours[middle])/float64(plain[middle]), "ratio")
	b.ReportMetric(float64(ours[0])/float64(plain[0]), "best-ratio")
	b.ReportMetric(float64(peak)/1e6, "peak-MB")
}

// BenchmarkSpendByRound asks for the spend of the season by each view, each in turn with
// its plain aggregate; then with eleven and with all twelve months closed. The total used
// must be the aggregate's to four decimals.
func BenchmarkSpendByRound(b *testing.B) {
	s := spendSeason(b, benchMovements(b))
	var want string
	require.NoError(b, s.Pool().QueryRow(b.Context(), `SELECT round(sum(x), 4)::text FROM (`+plainAggregate("round")+`) AS a (r, x)`).Scan(&want))
	got := printed(b, s, "round")
	require.Equal(b, want, got.Total.Used)
	for _, v := range spend.Views() {
		b.Run("by "+v, func(b *testing.B) { beside(b, s, v) })
	}
	for m := range time.Month(12) {
		_, err := s.CloseMonth(b.Context(), db.MonthClose{Month: day.Of(2025, m+1, 1)})
		require.NoError(b, err)
		if m < 10 {
			continue
		}
		_, err = s.Pool().Exec(b.Context(), "VACUUM ANALYZE")
		require.NoError(b, err)
		require.Equal(b, got.Total.Used, printed(b, s, "round").Total.Used)
		b.Run(fmt.Sprintf("by round, %d months closed", m+1), func(b *testing.B) { beside(b, s, "round") })
	}
}

func benchStore(b *testing.B) *db.Store {
	b.Helper()
	s, err := db.Connect(b.Context(), dbtest.URL(b, schema()))
	require.NoError(b, err)
	b.Cleanup(s.Close)
	return s
}
