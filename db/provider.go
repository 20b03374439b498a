package db

import (
	"database/sql"
	"io/fs"

	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
)

// provider applies the embedded migrations, one session at a time.
func provider(conn *sql.DB) (*goose.Provider, error) {
	files, err := fs.Sub(Migrations, "migrations")
	if err != nil {
		return nil, err
	}
	locker, err := lock.NewPostgresSessionLocker()
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(goose.DialectPostgres, conn, files, goose.WithSessionLocker(locker), goose.WithDisableGlobalRegistry(true))
}
