//go:build unix

package dbtest

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"syscall"

	"golang.org/x/sys/unix"
)

// makeFolder makes the folder of a test server, marked as owned for as long as
// this process lives. Root's server runs as another user, who must be able to
// enter it; what matters inside is closed.
func makeFolder(temp string) (string, error) {
	folder, err := os.MkdirTemp(temp, prefix)
	if err != nil {
		return "", err
	}
	if os.Geteuid() == 0 {
		if err := os.Chmod(folder, 0o755); err != nil {
			return "", err
		}
	}
	fd, err := unix.Open(filepath.Join(folder, ownerMark), unix.O_CREAT|unix.O_RDWR|unix.O_CLOEXEC, 0o600)
	if err != nil {
		return "", fmt.Errorf("mark the folder as owned: %w", err)
	}
	// Never closed: the lock is to go with the process.
	if err := unix.Flock(fd, unix.LOCK_EX|unix.LOCK_NB); err != nil {
		return "", fmt.Errorf("mark the folder as owned: %w", err)
	}
	return folder, nil
}

// tryLock takes the owner mark if nobody holds it.
func tryLock(path string) (release func(), free bool) {
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return func() {}, false
	}
	release = func() { _ = file.Close() }
	return release, unix.Flock(int(file.Fd()), unix.LOCK_EX|unix.LOCK_NB) == nil
}

func ours(info fs.FileInfo) bool {
	stat, ok := info.Sys().(*syscall.Stat_t)
	return ok && int(stat.Uid) == os.Geteuid()
}

// watchScript waits until its input ends, which happens when the process that
// holds the other end does, whatever killed it, and longer if a failed test asked
// for it. Then it ends the server without ceremony (SIGQUIT: nothing is to be
// saved), waits until it is gone and removes the folder. A dead server nobody
// collects still answers kill -0, so the wait has an end.
const watchScript = `
read -r _
[ -e "$1/keep" ] && sleep "$3"
[ -d "$1" ] || exit 0
pid=$(head -n 1 "$2") && kill -QUIT "$pid" || pid=
n=0
while [ -n "$pid" ] && [ -e "$2" ] && kill -0 "$pid" && [ $n -lt 100 ]; do sleep 0.1; n=$((n+1)); done
cd / && rm -rf -- "$1"
`

// startWatch starts the process that clears up when the hold it returns is closed
// or this process ends. The hold is a bare descriptor, because an *os.File would be
// closed once collected.
func startWatch(folder, pidFile string, keepMinutes int) (hold holdFD, err error) {
	var ends [2]int
	syscall.ForkLock.RLock() // no child may start between, inherit the hold and so prolong it
	if err = unix.Pipe(ends[:]); err == nil {
		unix.CloseOnExec(ends[0])
		unix.CloseOnExec(ends[1])
	}
	syscall.ForkLock.RUnlock()
	if err != nil {
		return 0, err
	}
	input := os.NewFile(uintptr(ends[0]), "hold")
	defer func() { _ = input.Close() }()
	cmd := exec.Command("/bin/sh", "-c", watchScript, "roundkit-test-watch", folder, pidFile, strconv.Itoa(keepMinutes*60))
	cmd.Stdin = input
	cmd.Dir = "/"
	// A session of its own: Ctrl-C at the prompt must not end it before us.
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	if err := cmd.Start(); err != nil {
		return 0, errors.Join(err, unix.Close(ends[1]))
	}
	return holdFD(ends[1]), nil
}

// holdFD is the writing end of the watching process's input.
type holdFD int

func (h holdFD) Close() error { return unix.Close(int(h)) }
