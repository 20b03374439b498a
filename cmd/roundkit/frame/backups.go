package frame

import (
	"path/filepath"

	"github.com/adrg/xdg"

	"roundkit/db/backup"
	"roundkit/db/cluster"
)

// Backups is the folder where back-ups go that Roundkit makes by itself: in the data
// folder, beside the private cluster's, and beside the key that signs them.
func (e *Env) Backups() backup.Folder {
	home := e.Variable("ROUNDKIT_HOME")
	if home == "" {
		home = filepath.Join(xdg.DataHome, "roundkit")
	}
	return backup.Folder{Path: filepath.Join(home, "backups"), KeyFile: filepath.Join(home, "backup.key"), DiskBytes: cluster.DiskBytes}
}
