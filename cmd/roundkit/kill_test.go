package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/db/backup"
	"roundkit/db/dbtest"
	"roundkit/testdata"
)

var kills = flag.Int("kills", 18, "how often TestKilled kills the program, and a third as often the server")

// The program, or the server under it, is killed at a random point of a back-up, a restore
// and a load, again and again on one database. After each, what was acknowledged is there,
// once, nothing half done is, and the next command works by itself. Each round first records
// a charge of its own, so that the charges say which state of the database stands.
func TestKilled(t *testing.T) {
	t.Parallel()
	const seed = 20270607
	t.Logf("seed %d", seed)
	k := &killing{random: rand.New(rand.NewPCG(seed, 2)), durable: dbtest.NewDurable(t), folder: t.TempDir()}
	k.url = k.durable.URL(t, season())
	demo, err := fs.Sub(testdata.Demo, "demo")
	require.NoError(t, err)
	require.NoError(t, os.CopyFS(filepath.Join(k.folder, "season"), demo))
	k.parts, err = os.ReadFile(filepath.Join(k.folder, "season", "parts.csv"))
	require.NoError(t, err)
	k.name = k.first(t)
	k.back = k.charges(t)
	k.run(t, "db", "backup", "base.backup")
	took := map[string]time.Duration{}
	for i := range *kills {
		k.round(t, i, took)
	}
	k.rename(t, "the last")
	k.run(t, "workbook", "load", "season")
	require.Equal(t, "the last", k.first(t))
	k.run(t, "db", "restore", "base.backup")
	for _, name := range k.databases(t) {
		require.NotContains(t, name, "_restoring_", "the next restore takes it away")
	}
	require.Contains(t, k.run(t, "db", "verify"), "sound")
	t.Logf("faults tried %d, lost %d, doubled %d", k.tried, k.lost, k.doubled)
	require.Zero(t, k.lost)
	require.Zero(t, k.doubled)
}

// killing is what one run knows of its database.
type killing struct {
	random               *rand.Rand
	durable              *dbtest.Durable
	url, folder          string
	parts                []byte
	name                 string // of the first part, as it must stand
	back                 []string
	tried, lost, doubled int
}

// round does one thing and kills it in the middle, by the time the last of its kind took.
func (k *killing) round(t *testing.T, i int, took map[string]time.Duration) {
	t.Helper()
	k.charge(t, i)
	before := k.charges(t)
	kind := []string{"backup", "restore", "load"}[i%3]
	words := map[string][]string{"backup": {"db", "backup", fmt.Sprintf("b%d.backup", i)}, "restore": {"db", "restore", "base.backup"}, "load": {"workbook", "load", "season"}}[kind]
	renamed := fmt.Sprintf("seal kit %d", i)
	if kind == "load" {
		k.rename(t, renamed)
	}
	cmd, out := program(t, k.folder, k.url, words...)
	began := time.Now()
	require.NoError(t, cmd.Start())
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	limit := took[kind]
	if limit == 0 {
		limit = time.Second
	}
	var err error
	select {
	case err = <-ended: // it was quicker
		took[kind] = time.Since(began)
	case <-time.After(time.Duration(k.random.Int64N(int64(limit)))):
		if i%4 == 3 {
			require.NoError(t, k.durable.Kill(t.Context()))
		} else {
			require.NoError(t, cmd.Process.Kill())
		}
		err = <-ended
		k.tried++
	}
	acknowledged := err == nil
	k.settle(t)
	after, name := k.charges(t), k.first(t)
	switch kind {
	case "backup":
		k.same(t, before, after, out)
		key, err := backup.ReadKey(filepath.Join(k.folder, "data", "backup.key"))
		require.NoError(t, err)
		file, err := backup.Open(filepath.Join(k.folder, words[2]), key)
		if !errors.Is(err, os.ErrNotExist) || acknowledged {
			require.NoError(t, err, "a back-up that has its name is whole")
			file.Close()
		}
	case "restore":
		switch {
		case slices.Equal(after, k.back):
			k.name = "" // that of the back-up stands again
		case acknowledged:
			k.lost++
			t.Errorf("restored, and not there: %s", out)
		default:
			k.same(t, before, after, out)
		}
	case "load":
		k.same(t, before, after, out)
		switch {
		case name == renamed:
			k.name = renamed
		case acknowledged:
			k.lost++
			t.Errorf("loaded, and not there: %s", out)
		}
	}
	if k.name != "" && kind != "restore" && name != k.name {
		k.lost++
		t.Errorf("round %d: the first part is %q, expected %q", i, name, k.name)
	}
	k.name = name
}

// same counts what is missing of the charges that must stand, and what stands beside them.
func (k *killing) same(t *testing.T, want, got []string, out *bytes.Buffer) {
	t.Helper()
	for _, c := range want {
		if !slices.Contains(got, c) {
			k.lost++
			t.Errorf("lost %s: %s", c, out)
		}
	}
	if extra := len(got) - len(want); extra > 0 {
		k.doubled += extra
		t.Errorf("%d too many: %s", extra, out)
	}
}

// settle waits until the server has let the killed program's sessions go.
func (k *killing) settle(t *testing.T) {
	t.Helper()
	require.Eventually(t, func() bool {
		conn, err := pgx.Connect(t.Context(), k.url)
		if err != nil {
			return false // the name is away for the moment of the swap at most
		}
		defer func() { _ = conn.Close(t.Context()) }()
		var others int
		err = conn.QueryRow(t.Context(), `SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid() AND backend_type = 'client backend'`).Scan(&others)
		return err == nil && others == 0
	}, 30*time.Second, 50*time.Millisecond)
}

func (k *killing) rename(t *testing.T, name string) {
	t.Helper()
	lines := strings.SplitN(string(k.parts), "\n", 3)
	fields := regexp.MustCompile(`^([^,]*,)("[^"]*"|[^,]*)(,.*)$`).FindStringSubmatch(lines[1])
	require.NotNil(t, fields, lines[1])
	lines[1] = fields[1] + name + fields[3]
	require.NoError(t, os.WriteFile(filepath.Join(k.folder, "season", "parts.csv"), []byte(strings.Join(lines, "\n")), 0o600))
}

func (k *killing) run(t *testing.T, words ...string) string {
	t.Helper()
	cmd, out := program(t, k.folder, k.url, words...)
	require.NoError(t, cmd.Run(), "%s: %s", words, out)
	return out.String()
}

func (k *killing) charge(t *testing.T, i int) {
	t.Helper()
	s, err := db.Connect(t.Context(), k.url)
	require.NoError(t, err)
	defer s.Close()
	_, err = s.AddCharge(t.Context(), db.ChargeAdd{ID: uuid.Must(uuid.NewV7()), Line: "freight", Amount: decimal.New(int64(i)+1, 0)})
	require.NoError(t, err)
}

func (k *killing) rows(t *testing.T, sql string) []string {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), k.url)
	require.NoError(t, err)
	defer func() { require.NoError(t, conn.Close(t.Context())) }()
	rows, err := conn.Query(t.Context(), sql)
	require.NoError(t, err)
	all, err := pgx.CollectRows(rows, pgx.RowTo[string])
	require.NoError(t, err)
	return all
}

func (k *killing) charges(t *testing.T) []string {
	t.Helper()
	return k.rows(t, `SELECT code FROM charge ORDER BY 1`)
}

func (k *killing) first(t *testing.T) string {
	t.Helper()
	line := strings.SplitN(string(k.parts), "\n", 3)[1]
	code, _, _ := strings.Cut(line, ",")
	return k.rows(t, `SELECT name FROM part WHERE code = '`+code+`'`)[0]
}

func (k *killing) databases(t *testing.T) []string {
	t.Helper()
	return k.rows(t, `SELECT datname::text FROM pg_database ORDER BY 1`)
}
