package db

import "github.com/jackc/pgx/v5/pgxpool"

// Pool is for tests and measurements that must look at the tables themselves.
func (s *Store) Pool() *pgxpool.Pool { return s.pool }
