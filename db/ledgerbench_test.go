package db_test

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/db/dbtest"
	"roundkit/planner/ledger"
)

var logMovements = flag.Int("movements", 0, "how many movements the ledger of BenchmarkLogJob holds at the start")

// benchSQL is a season of 1,000 parts with two lots each, the first of which is used up
// first, in 20 drawers of a workshop; 100 forks, 20 services.
func benchSQL(movements int) []string {
	return []string{
		`UPDATE clock SET ahead_by = interval '0'`,
		`INSERT INTO season (code, time_zone, currency, first_on, last_on) VALUES ('B', 'Europe/Vienna', 'EUR', '2020-01-01', '2099-12-31')`,
		`INSERT INTO person (code, pos) VALUES ('u1', 1)`,
		`INSERT INTO model (code, kind, pos) VALUES ('M', 'fork', 1)`,
		`INSERT INTO service (code, model_kind, pos) SELECT 'S' || i, 'fork', i FROM generate_series(1, 20) AS i`,
		`INSERT INTO place (code, kind, pos) VALUES ('W', 'workshop', 1)`,
		`INSERT INTO place (code, kind, parent, pos) SELECT 'D' || i, 'drawer', 'W', 1 + i FROM generate_series(1, 20) AS i`,
		`INSERT INTO place (code, kind) SELECT 'F' || i, 'assembly' FROM generate_series(1, 100) AS i`,
		`INSERT INTO assembly (code, model, pos) SELECT 'F' || i, 'M', i FROM generate_series(1, 100) AS i`,
		`INSERT INTO part (code, kind, unit, home_in_workshop, pos) SELECT 'P' || i, 'seal', 'pc', 'D' || (i % 20 + 1), i FROM generate_series(0, 999) AS i`,
		`INSERT INTO lot (season_id, code, part_id, received_on, expires_on, quantity, currency, pos)
			SELECT s.id, 'L' || i, p.id, date '2026-01-01', date '2090-01-01' + i, 1000000000, 'EUR', i
			FROM season AS s, generate_series(0, 1999) AS i JOIN part AS p ON p.code = 'P' || (i % 1000)`,
		`INSERT INTO lot_cost (lot_id, kind, amount, currency, known_on) SELECT id, 'landed', 1000, 'EUR', '2026-01-01' FROM lot`,
		`INSERT INTO entry (id, season_id, kind, happened_at, recorded_at, request_hash) SELECT gen_random_uuid(), id, 'move', '2026-01-01', now(), '\x00' FROM season`,
		`INSERT INTO movement (entry_id, quantity, lot_id, from_id, to_id, n)
			SELECT e.id, l.quantity, l.id, f.id, d.id, row_number() OVER (ORDER BY l.id)
			FROM entry AS e, place AS f, lot AS l JOIN part AS p ON p.id = l.part_id JOIN place AS d ON d.code = p.home_in_workshop WHERE f.code = 'supplier'`,
		fmt.Sprintf(`INSERT INTO entry (id, season_id, kind, person, happened_at, recorded_at, request_hash)
			SELECT lpad(to_hex(i), 32, '0')::uuid, s.id, 'job', 'u1', timestamptz '2026-01-02 09:00+00' + i * interval '200 days' / %[1]d, now(), decode(repeat('00', 32), 'hex')
			FROM season AS s, generate_series(1, %[1]d) AS i`, max(movements/8, 1)),
		`INSERT INTO entry_seq (entry_id) SELECT id FROM entry ORDER BY happened_at`,
		`INSERT INTO job (entry_id, season_id, service, assembly, happened_at)
			SELECT e.id, e.season_id, 'S' || (n % 20 + 1), 'F' || (n % 100 + 1), e.happened_at FROM (SELECT *, row_number() OVER (ORDER BY id) AS n FROM entry WHERE kind = 'job') AS e`,
		`INSERT INTO movement (entry_id, quantity, lot_id, from_id, to_id, n)
			SELECT e.id, 1, l.id, d.id, u.id, i
			FROM (SELECT id, row_number() OVER (ORDER BY id) AS k FROM entry WHERE kind = 'job') AS e, generate_series(1, 8) AS i,
				lot AS l, part AS p, place AS d, place AS u
			WHERE l.code = 'L' || (e.k * 7919 + i * 127) % 1000 AND p.id = l.part_id AND d.code = p.home_in_workshop AND u.code = 'used'`,
		`INSERT INTO balance (lot_id, tag_id, place_id, kept, quantity)
			SELECT m.lot_id, NULL, p.id, p.kept, sum(m.q)
			FROM (SELECT lot_id, to_id AS place, quantity AS q FROM movement UNION ALL SELECT lot_id, from_id, -quantity FROM movement) AS m
				JOIN place AS p ON p.id = m.place
			GROUP BY m.lot_id, p.id, p.kept`,
		`VACUUM ANALYZE`,
	}
}

func logStore(b *testing.B) *db.Store {
	b.Helper()
	movements := *logMovements
	schema := dbtest.Schema{Name: fmt.Sprint("log job ", movements), Files: db.Migrations, Up: func(ctx context.Context, url string) error {
		s, err := db.Connect(ctx, url)
		if err != nil {
			return err
		}
		defer s.Close()
		for _, sql := range benchSQL(movements) {
			if _, err := s.Pool().Exec(ctx, sql); err != nil {
				return fmt.Errorf("%.60s: %w", sql, err)
			}
		}
		return nil
	}}
	s, err := db.Connect(b.Context(), dbtest.URL(b, schema))
	require.NoError(b, err)
	b.Cleanup(s.Close)
	return s
}

// logJobs lets 16 clients log jobs of eight parts through the operation that a person's
// record takes: idempotent, first expired first out, likely doubles, what came later.
func logJobs(b *testing.B, parts int, repeat bool) {
	const clients = 16
	s := logStore(b)
	var (
		mu    sync.Mutex
		all   []time.Duration
		n     atomic.Uint64
		known = db.JobLog{ID: newID(b), Service: "S1", Assembly: "F1", Person: "u1", Used: benchParts(rand.New(rand.NewPCG(1, 1)), 1000), At: time.Now()}
	)
	if repeat {
		_, _, err := s.LogJob(b.Context(), known)
		require.NoError(b, err)
	}
	b.SetParallelism(max(1, clients/runtime.GOMAXPROCS(0)))
	b.ReportAllocs()
	b.ResetTimer()
	b.RunParallel(func(pb *testing.PB) {
		chance := rand.New(rand.NewPCG(1, n.Add(1)))
		var took []time.Duration
		for pb.Next() {
			j := known
			if !repeat {
				j = db.JobLog{ID: newID(b), Service: fmt.Sprint("S", 1+chance.IntN(20)), Assembly: fmt.Sprint("F", 1+chance.IntN(100)), Person: "u1", Used: benchParts(chance, parts)}
			}
			start := time.Now()
			done, _, err := s.LogJob(b.Context(), j)
			took = append(took, time.Since(start))
			if err != nil || done.Repeat != repeat {
				b.Errorf("repeat %v: %v", done.Repeat, err)
				return
			}
		}
		mu.Lock()
		defer mu.Unlock()
		all = append(all, took...)
	})
	b.StopTimer()
	slices.Sort(all)
	b.ReportMetric(float64(len(all))/b.Elapsed().Seconds(), "jobs/s")
	b.ReportMetric(float64(all[len(all)*99/100].Microseconds())/1000, "p99-ms")
	reportMemory(b)
	if bytes := movementBytes(b, s); bytes > 0 {
		b.ReportMetric(bytes, "B/movement")
	}
}

// reportMemory tells what the program holds: what is in use when the garbage is out, and
// the most it has had of the operating system. -benchtime 1000x and 100000x show growth.
func reportMemory(b *testing.B) {
	b.Helper()
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	b.ReportMetric(float64(m.HeapAlloc)/1e6, "MB-live")
	b.ReportMetric(float64(m.Sys)/1e6, "MB-of-system")
}

// benchParts are eight different parts of the first so many.
func benchParts(chance *rand.Rand, parts int) []ledger.Amount {
	const lines = 8
	var used []ledger.Amount
	for _, i := range chance.Perm(parts)[:lines] {
		used = append(used, ledger.Amount{Part: fmt.Sprint("P", i), Quantity: 1})
	}
	return used
}

// movementBytes is what a movement takes on disk with its indexes.
func movementBytes(b *testing.B, s *db.Store) float64 {
	b.Helper()
	var bytes float64
	require.NoError(b, s.Pool().QueryRow(b.Context(), `SELECT pg_total_relation_size('movement')::float8 / count(*) FROM movement`).Scan(&bytes))
	return bytes
}

// BenchmarkLogJob takes eight of 1,000 lots at random.
func BenchmarkLogJob(b *testing.B) { logJobs(b, 1000, false) }

// BenchmarkLogJobSameLots takes the same eight, by everybody.
func BenchmarkLogJobSameLots(b *testing.B) { logJobs(b, 8, false) }

// BenchmarkLogJobRepeat sends a record that is there already.
func BenchmarkLogJobRepeat(b *testing.B) { logJobs(b, 1000, true) }
