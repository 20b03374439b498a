package dbtest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"

	"github.com/jackc/pgx/v5"
)

// templateLock is the advisory lock under which templates are made: any number
// that nothing else on a test server uses.
const templateLock = 7_070_215

// template returns the name of the template database for a schema, making it if
// the server has none yet. Others that ask at once wait for it.
func (s *testServer) template(ctx context.Context, schema Schema) (string, error) {
	name, err := templateName(schema)
	if err != nil {
		return "", err
	}
	conn, err := pgx.Connect(ctx, s.url)
	if err != nil {
		return "", err
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }() // the lock goes with the session
	done, err := isTemplate(ctx, conn, name)
	if err != nil || done {
		return name, err
	}
	if _, err := conn.Exec(ctx, `SELECT pg_advisory_lock($1)`, templateLock); err != nil {
		return "", err
	}
	if done, err = isTemplate(ctx, conn, name); err != nil || done {
		return name, err
	}
	// One that is there but not yet a template is left over from a killed run.
	if _, err := conn.Exec(ctx, `DROP DATABASE IF EXISTS `+quote(name)+` WITH (FORCE)`); err != nil {
		return "", err
	}
	if _, err := conn.Exec(ctx, `CREATE DATABASE `+quote(name)+` TEMPLATE template0 ENCODING 'UTF8' LOCALE 'C'`); err != nil {
		return "", err
	}
	if schema.Up != nil {
		if err := schema.Up(ctx, withDatabase(s.url, name)); err != nil {
			return "", fmt.Errorf("migrate it: %w", err)
		}
	}
	// Closed to connections, because one session on it would fail every clone.
	if _, err := conn.Exec(ctx, `ALTER DATABASE `+quote(name)+` IS_TEMPLATE true ALLOW_CONNECTIONS false`); err != nil {
		return "", err
	}
	return name, nil
}

func isTemplate(ctx context.Context, conn *pgx.Conn, name string) (bool, error) {
	var done bool
	err := conn.QueryRow(ctx, `SELECT EXISTS (SELECT FROM pg_database WHERE datname = $1 AND datistemplate AND NOT datallowconn)`, name).Scan(&done)
	return done, err
}

// templateName hashes the schema's name and every migration's path and text, each
// with its length so that no two sets run together.
func templateName(schema Schema) (string, error) {
	sum := sha256.New()
	put := func(text []byte) { _, _ = fmt.Fprintf(sum, "%d:%s", len(text), text) } // a hash never fails
	put([]byte(schema.Name))
	if schema.Files != nil {
		err := fs.WalkDir(schema.Files, ".", func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			text, err := fs.ReadFile(schema.Files, path)
			put([]byte(path))
			put(text)
			return err
		})
		if err != nil {
			return "", fmt.Errorf("read the migrations: %w", err)
		}
	}
	return "template_" + hex.EncodeToString(sum.Sum(nil)[:10]), nil
}
