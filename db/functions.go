package db

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
)

// functions is the file of the database's functions as this program needs them.
type functions struct {
	revision int32
	sha256   string // of the text
	text     string
}

// readFunctions takes the file apart. Its first line says the revision, and the hash of
// what follows: a test holds the two together, so that nobody changes a function and leaves
// the databases that are out there with the old one.
func readFunctions(file string) (f functions, said string, err error) {
	head, text, _ := strings.Cut(file, "\n")
	if _, err := fmt.Sscanf(head, "-- revision %d sha256 %s", &f.revision, &said); err != nil {
		return f, "", fmt.Errorf("functions.sql, line 1: found %q: %w", head, err)
	}
	sum := sha256.Sum256([]byte(text))
	f.sha256, f.text = hex.EncodeToString(sum[:]), text
	return f, said, nil
}

// loadFunctions brings the database's functions to this program's revision: all of them, in
// one transaction, one program after the other. A newer revision is refused, as a newer
// schema is, and so is another text of the same revision: two programs that each load
// their own would take turns.
func loadFunctions(ctx context.Context, url, file string) (loaded bool, err error) {
	f, _, err := readFunctions(file)
	if err != nil {
		return false, err
	}
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return false, err
	}
	defer func() { err = errors.Join(err, conn.Close(context.WithoutCancel(ctx))) }()
	const tries = 5 // whoever records may hold what a trigger is put on
	for range tries {
		loaded, err = f.load(ctx, conn)
		wrap(&err, "load the database's functions")
		if !errors.Is(err, ErrConflict) {
			return loaded, err
		}
	}
	return loaded, err
}

func (f functions) load(ctx context.Context, conn *pgx.Conn) (loaded bool, err error) {
	have, err := sqlcgen.New(conn).FunctionsLoaded(ctx)
	if err != nil {
		return false, err
	}
	if fresh, err := f.fresh(have); fresh || err != nil { // mostly: nobody waits
		return false, err
	}
	tx, err := conn.Begin(ctx)
	if err != nil {
		return false, err
	}
	defer func() { _ = tx.Rollback(context.WithoutCancel(ctx)) }()
	q := sqlcgen.New(tx)
	locked, err := q.FunctionsLock(ctx)
	if err != nil {
		return false, err
	}
	if fresh, err := f.fresh(sqlcgen.FunctionsLoadedRow(locked)); fresh || err != nil { // another program was quicker
		return false, err
	}
	if _, err := tx.Exec(ctx, f.text, pgx.QueryExecModeSimpleProtocol); err != nil {
		return false, err
	}
	if err := q.FunctionsSay(ctx, f.revision, f.sha256); err != nil {
		return false, err
	}
	return true, tx.Commit(ctx)
}

// fresh reports whether the database's functions are these.
func (f functions) fresh(have sqlcgen.FunctionsLoadedRow) (bool, error) {
	switch {
	case have.Revision > f.revision:
		return false, fmt.Errorf("%w: found functions of revision %d, expected at most %d: this Roundkit is older than the database; use the newer one", ErrRefused, have.Revision, f.revision)
	case have.Revision == f.revision && have.Sha256 != f.sha256:
		return false, fmt.Errorf("%w: found other functions of revision %d than this Roundkit's: it and the one that last opened the database are two makes of one version; use the newer one", ErrRefused, f.revision)
	}
	return have.Revision == f.revision, nil
}
