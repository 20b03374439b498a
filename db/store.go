package db

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"roundkit/db/backup"
	"roundkit/db/cluster"
	"roundkit/db/sqlcgen"
)

// Store is an open database whose schema is this program's.
type Store struct {
	pool    *pgxpool.Pool
	URL     string
	Private bool // the private cluster, not a DATABASE_URL
	Created bool // the database was made by this call

	memory memory
}

// Open finds the database (see cluster.Options), brings its schema up to date and
// connects. A database with an older schema is first backed up into the folder given.
// Close the store when done; a private server is left running.
func Open(ctx context.Context, o cluster.Options, backups backup.Folder) (*Store, error) {
	server, err := cluster.Open(ctx, o)
	if err != nil {
		return nil, err
	}
	if err := newEnough(ctx, server.URL); err != nil {
		return nil, err
	}
	if err := backUpBeforeMigration(ctx, server.URL, backups); err != nil {
		return nil, err
	}
	s, err := Connect(ctx, server.URL)
	if err != nil {
		return nil, err
	}
	s.Private, s.Created = server.Private, server.Created
	return s, nil
}

// Connect opens the database at a URL and brings its schema up to date.
func Connect(ctx context.Context, url string) (_ *Store, err error) {
	if err := newEnough(ctx, url); err != nil {
		return nil, err
	}
	if _, err := Migrate(ctx, url); err != nil {
		return nil, err
	}
	return open(ctx, url)
}

// backUpBeforeMigration copies a database whose schema is about to change.
func backUpBeforeMigration(ctx context.Context, url string, backups backup.Folder) error {
	pending, err := Pending(ctx, url)
	if err != nil || !pending {
		return err
	}
	s, err := open(ctx, url)
	if err != nil {
		return err
	}
	defer s.Close()
	_, err = s.SafetyCopy(ctx, backups, "migration", time.Now())
	return err
}

// sessions is how many of a program's records may be written at once: more people than
// work in one truck, few enough for a server's usual limit of 100.
const sessions = 16

func open(ctx context.Context, url string) (_ *Store, err error) {
	defer wrap(&err, "connect to the database")
	config, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, err
	}
	// dates and times travel as text inside JSON: one zone on the wire
	config.ConnConfig.RuntimeParams["timezone"] = "UTC"
	config.ConnConfig.RuntimeParams["application_name"] = "roundkit"
	config.MaxConns = sessions
	pool, err := pgxpool.NewWithConfig(ctx, config)
	if err != nil {
		return nil, err
	}
	if err := pool.Ping(ctx); err != nil {
		pool.Close()
		return nil, err
	}
	return &Store{pool: pool, URL: url}, nil
}

// newEnough refuses a server that is too old for the schema, in words, before the schema
// would fail on it.
func newEnough(ctx context.Context, url string) (err error) {
	defer wrap(&err, "connect to the database")
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return err
	}
	major, err := sqlcgen.New(conn).ServerMajor(ctx)
	if err = errors.Join(err, conn.Close(ctx)); err != nil {
		return err
	}
	if major < cluster.MinMajor {
		return fmt.Errorf("%w: found a PostgreSQL %d server, expected %d or newer", ErrRefused, major, cluster.MinMajor)
	}
	return nil
}

// Close lets the connections go.
func (s *Store) Close() { s.pool.Close() }

// Transact runs f in one transaction. Where the database asks for another try
// (serialization failure, deadlock), f runs again from the start: it must change
// nothing outside the transaction until it returns.
func (s *Store) Transact(ctx context.Context, mode pgx.TxOptions, f func(*sqlcgen.Queries, pgx.Tx) error) error {
	const tries = 5
	var err error
	for range tries {
		err = s.once(ctx, mode, f)
		if !errors.Is(err, ErrConflict) {
			return err
		}
	}
	return fmt.Errorf("given up after %d tries: %w", tries, err)
}

func (s *Store) once(ctx context.Context, mode pgx.TxOptions, f func(*sqlcgen.Queries, pgx.Tx) error) (err error) {
	tx, err := s.pool.BeginTx(ctx, mode)
	if err != nil {
		wrap(&err, "begin")
		return err
	}
	// a cancelled context must still give the connection back clean
	defer func() { _ = tx.Rollback(context.WithoutCancel(ctx)) }()
	if err := f(sqlcgen.New(tx), tx); err != nil {
		return err
	}
	err = tx.Commit(ctx)
	wrap(&err, "commit")
	return err
}

// readOnly is one consistent look at the database.
var readOnly = pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}

// Now is the season clock: the computer's clock plus the database's offset. Ahead is
// that offset, 0 for a real season.
func (s *Store) Now(ctx context.Context) (now time.Time, ahead time.Duration, err error) {
	defer wrap(&err, "read the season clock")
	row, err := sqlcgen.New(s.pool).ClockNow(ctx)
	if err != nil {
		return time.Time{}, 0, err
	}
	return row.Now, time.Duration(row.AheadMicroseconds) * time.Microsecond, nil
}
