//go:build unix

package backup

import "io/fs"

// openToOthers tells whether more than its owner may read or change a file.
func openToOthers(info fs.FileInfo) bool { return info.Mode().Perm()&0o077 != 0 }
