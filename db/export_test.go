package db

import (
	"context"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5/pgxpool"
)

// Pool is for tests and measurements that must look at the tables themselves.
func (s *Store) Pool() *pgxpool.Pool { return s.pool }

// Another is another program on the same database, its connections made as said.
func (s *Store) Another(ctx context.Context, change func(*pgxpool.Config)) (*Store, error) {
	config := s.pool.Config()
	change(config)
	pool, err := pgxpool.NewWithConfig(ctx, config)
	return &Store{pool: pool, URL: s.URL}, err
}

// MemberID names a further record of a command.
func MemberID(command, of uuid.UUID) uuid.UUID { return memberID(command, of) }
