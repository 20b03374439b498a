package frame

import (
	"path/filepath"

	"github.com/adrg/xdg"
)

// Backups is the folder where back-ups go that Roundkit makes by itself: in the data
// folder, beside the private cluster's.
func (e *Env) Backups() string {
	home := e.Variable("ROUNDKIT_HOME")
	if home == "" {
		home = filepath.Join(xdg.DataHome, "roundkit")
	}
	return filepath.Join(home, "backups")
}
