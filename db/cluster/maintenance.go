package cluster

import (
	"context"

	"github.com/jackc/pgx/v5"
)

// Maintenance connects to the server's maintenance database: what renames or drops a
// database must not be connected to it. The caller closes it.
func (s *Server) Maintenance(ctx context.Context) (*pgx.Conn, error) {
	address, err := withDatabase(s.URL, maintenance)
	if err != nil {
		return nil, err
	}
	return connect(ctx, address)
}
