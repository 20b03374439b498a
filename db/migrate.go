package db

import (
	"context"
	"embed"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
)

// Migrations are the schema's files and its functions; tests make a template database of them.
//
//go:embed migrations/*.sql functions.sql
var Migrations embed.FS

// Migrate brings the schema of the database at the URL up to this program's, under a
// lock, forward only: its tables by the migrations, then its functions, of which the one
// file that holds them is loaded whole. It returns how many migrations it applied. A schema
// or functions newer than the program are refused: an old program must not write there.
// Stopped anywhere, or called again, it goes on where it was.
func Migrate(ctx context.Context, url string) (applied int, err error) {
	defer wrap(&err, "bring the database's schema up to date")
	config, err := pgx.ParseConfig(url)
	if err != nil {
		return 0, err
	}
	conn := stdlib.OpenDB(*config)
	defer conn.Close()
	p, err := provider(conn)
	if err != nil {
		return 0, err
	}
	have, newest, err := versions(ctx, p)
	if err != nil {
		return 0, err
	}
	if have > newest {
		return 0, fmt.Errorf("%w: found schema version %d, expected at most %d: this Roundkit is older than the database; use the newer one", ErrRefused, have, newest)
	}
	results, err := p.Up(ctx)
	if err != nil {
		return len(results), err
	}
	file, err := Migrations.ReadFile("functions.sql")
	if err != nil {
		return len(results), err
	}
	_, err = loadFunctions(ctx, url, string(file))
	return len(results), err
}

// schemaVersion is the version of the schema in the database, 0 for an empty one.
func schemaVersion(ctx context.Context, url string) (have int64, err error) {
	defer wrap(&err, "look at the database's schema")
	config, err := pgx.ParseConfig(url)
	if err != nil {
		return 0, err
	}
	conn := stdlib.OpenDB(*config)
	defer conn.Close()
	p, err := provider(conn)
	if err != nil {
		return 0, err
	}
	have, _, err = versions(ctx, p)
	return have, err
}

// Pending reports whether the database holds an older schema than this program's. An empty
// database does not.
func Pending(ctx context.Context, url string) (pending bool, err error) {
	defer wrap(&err, "look at the database's schema")
	config, err := pgx.ParseConfig(url)
	if err != nil {
		return false, err
	}
	conn := stdlib.OpenDB(*config)
	defer conn.Close()
	p, err := provider(conn)
	if err != nil {
		return false, err
	}
	have, newest, err := versions(ctx, p)
	return have > 0 && have < newest, err
}

// versions returns the schema's version in the database (0 for an empty one) and the
// newest this program knows.
func versions(ctx context.Context, p *goose.Provider) (have, newest int64, err error) {
	have, err = p.GetDBVersion(ctx)
	if err != nil {
		return 0, 0, err
	}
	for _, s := range p.ListSources() {
		newest = max(newest, s.Version)
	}
	return have, newest, nil
}
