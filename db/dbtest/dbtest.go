// Package dbtest answers: how does a test get a database of its own, at once?
//
// Method: the test process starts one private server (package cluster) on its
// first use, with durability off, and migrates one template database on it; each
// test gets a clone of that, dropped when the test passes and kept, its address
// logged, when it fails. ROUNDKIT_TEST_SERVER names a server to use instead, so
// that a run of many packages starts one (see withserver) or runs over TCP.
// The template is named by the hash of the migrations and made under a lock on the
// server, so packages that share a server share it too.
//
// A small shell process waits for the test process to end, however it ends, and
// then stops and removes its server. What even that leaves behind (the machine was
// switched off) the next run sweeps.
//
// Source: PostgreSQL manual, CREATE DATABASE .. STRATEGY, and the measurements
// 48 ms (file_copy) against 178 ms (default) for a template of 40 tables.
//
// Limits: it starts a server where package cluster can, and never skips: without
// a server the test fails. A failed test's server stays for 15 minutes.
package dbtest

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"io/fs"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// ServerVariable names the environment variable with the address of a server to
// use instead of starting one. Its user must be allowed to create databases.
const ServerVariable = "ROUNDKIT_TEST_SERVER"

// Schema is what a template database holds.
type Schema struct {
	// Name tells apart templates made from the same files in different ways, such
	// as "empty" and "demo".
	Name string
	// Files are the migrations; with Name, their hash names the template.
	Files fs.FS
	// Up brings the empty database at the address to the schema, and closes its
	// connections before it returns. Nil leaves it empty.
	Up func(ctx context.Context, url string) error
}

// New returns a pool on a database of the test's own, and its address. Both go
// when the test ends; a failed test keeps the database.
func New(t testing.TB, s Schema) (*pgxpool.Pool, string) {
	t.Helper()
	address := URL(t, s)
	pool, err := pgxpool.New(context.Background(), address)
	if err != nil {
		t.Fatalf("open a pool on %s: %v", address, err)
	}
	t.Cleanup(pool.Close)
	return pool, address
}

// URL returns the address of a database of the test's own, with no connection
// open, for tests of what opens one.
func URL(t testing.TB, s Schema) string {
	t.Helper()
	server, err := server()
	if err != nil {
		t.Fatalf("a test needs a PostgreSQL server: %v", err)
	}
	return server.clone(t, s)
}

// clone makes the test's database from the schema's template.
func (s *testServer) clone(t testing.TB, schema Schema) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	template, err := s.template(ctx, schema)
	if err != nil {
		t.Fatalf("make the template database: %v", err)
	}
	name := databaseName(t.Name())
	if err := s.exec(ctx, `CREATE DATABASE `+quote(name)+` TEMPLATE `+quote(template)+` STRATEGY file_copy`); err != nil {
		t.Fatalf("clone the template database: %v", err)
	}
	address := withDatabase(s.url, name)
	t.Cleanup(func() { s.finish(t, name, address) })
	return address
}

// finish drops a test's database, or keeps it for looking at if the test failed.
func (s *testServer) finish(t testing.TB, name, address string) {
	if t.Failed() {
		if err := s.keep(); err != nil {
			t.Logf("the server will stop with this run: %v", err)
		}
		t.Logf("the database is kept (on a server of the tests' own for %d minutes): psql '%s'", keepMinutes, address)
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	if err := s.exec(ctx, `DROP DATABASE `+quote(name)+` WITH (FORCE)`); err != nil {
		t.Errorf("drop the test's database: %v", err)
	}
}

// exec runs one statement on the server in a session of its own: CREATE and DROP
// DATABASE cannot run in a transaction, and a pool would outlive the tests.
func (s *testServer) exec(ctx context.Context, sql string) error {
	conn, err := pgx.Connect(ctx, s.url)
	if err != nil {
		return err
	}
	_, err = conn.Exec(ctx, sql)
	if errClose := conn.Close(ctx); err == nil {
		err = errClose
	}
	return err
}

var notInNames = regexp.MustCompile(`[^a-z0-9]+`)

// databaseName makes a name that tells the test and is unique: at most 63 bytes.
func databaseName(test string) string {
	test = strings.Trim(notInNames.ReplaceAllString(strings.ToLower(test), "_"), "_")
	return fmt.Sprintf("test_%.40s_%s", test, randomHex())
}

func randomHex() string {
	var b [6]byte
	_, _ = rand.Read(b[:]) // never fails (crypto/rand)
	return hex.EncodeToString(b[:])
}

func quote(name string) string { return pgx.Identifier{name}.Sanitize() }

// withDatabase names another database in a server's URL.
func withDatabase(server, name string) string {
	u, err := url.Parse(server)
	if err != nil { // checked when the server was opened
		return server
	}
	u.Path = "/" + name
	return u.String()
}
