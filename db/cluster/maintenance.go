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

// InUse tells a refusal because somebody is connected to the database (55006).
func InUse(err error) bool { return sqlState(err) == "55006" }

// DiskBytes is the size of the disk that a folder is, or would be, on; 0 where the system
// does not say.
func DiskBytes(folder string) (uint64, error) { return diskBytes(folder) }
