//go:build !unix

package backup

import "io/fs"

// openToOthers cannot be told from the mode here.
func openToOthers(fs.FileInfo) bool { return false }
