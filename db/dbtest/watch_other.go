//go:build !unix

package dbtest

import (
	"fmt"
	"io/fs"
)

func unsupported() error {
	return fmt.Errorf("no test server can be started on this system: set %s", ServerVariable)
}

func makeFolder(string) (string, error) { return "", unsupported() }
func startWatch(folder, pidFile string, keepMinutes int) (holdFD, error) {
	return 0, unsupported()
}

type holdFD int

func (holdFD) Close() error { return nil }

func tryLock(string) (release func(), free bool) { return func() {}, false }
func ours(fs.FileInfo) bool                      { return false }
