//go:build linux || darwin || freebsd

package cluster

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// pidFile is what a server writes of itself into its data folder.
type pidFile struct {
	pid    int
	socket string // folder
}

// readPIDFile reads postmaster.pid: process number, data folder, start time, port,
// socket folder, each on its line. found is false if there is no such file; a
// file cut short (the disk was full) gives what it holds.
func readPIDFile(data string) (f pidFile, found bool, err error) {
	text, err := os.ReadFile(filepath.Join(data, "postmaster.pid"))
	if errors.Is(err, fs.ErrNotExist) {
		return f, false, nil
	}
	if err != nil {
		return f, false, notWritable(data, err)
	}
	lines := strings.Split(string(text), "\n")
	f.pid, _ = strconv.Atoi(strings.TrimSpace(lines[0])) // 0 if cut short: no such process
	if len(lines) > 4 {
		f.socket = strings.TrimSpace(lines[4])
	}
	return f, true, nil
}

// processState says what a process number stands for now.
type processState int

const (
	gone        processState = iota
	zombie                   // dead, not yet collected by its parent
	postgres                 // a PostgreSQL process, perhaps another cluster's
	another                  // something else got the number
	cannotJudge              // the system did not say
)

// stateOf asks the system about a process.
func stateOf(pid int) processState {
	if pid <= 0 {
		return gone
	}
	if err := syscall.Kill(pid, 0); errors.Is(err, syscall.ESRCH) {
		return gone
	}
	state, name := "", ""
	if stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid)); err == nil {
		// "pid (name) state ...", and the name may itself hold brackets.
		open, shut := strings.IndexByte(string(stat), '('), strings.LastIndexByte(string(stat), ')')
		if open < 0 || shut < open || len(stat) < shut+3 {
			return cannotJudge
		}
		name, state = string(stat[open+1:shut]), string(stat[shut+2:])
	} else if out, err := exec.Command("ps", "-o", "stat=,comm=", "-p", strconv.Itoa(pid)).Output(); err == nil {
		fields := strings.Fields(string(out))
		if len(fields) < 2 {
			return cannotJudge
		}
		state, name = fields[0], filepath.Base(fields[1])
	} else {
		return cannotJudge
	}
	switch {
	case strings.HasPrefix(state, "Z"), strings.HasPrefix(state, "X"):
		return zombie
	case strings.HasPrefix(name, "postgres"), strings.HasPrefix(name, "postmaster"):
		return postgres
	}
	return another
}

// runningIn lists the living processes that work in the data folder, as every
// PostgreSQL process of a cluster does. sure is false where the system has no
// /proc to tell. Other users' processes cannot be seen and need not be: PostgreSQL
// runs a cluster only as its owner, who is us or whom root looks after.
func runningIn(data string) (pids []int, sure bool) {
	want, err := os.Stat(data)
	if err != nil {
		return nil, false
	}
	entries, err := filepath.Glob("/proc/[0-9]*/cwd")
	if err != nil || len(entries) == 0 {
		return nil, false
	}
	for _, cwd := range entries {
		if got, err := os.Stat(cwd); err == nil && os.SameFile(got, want) {
			pid, _ := strconv.Atoi(filepath.Base(filepath.Dir(cwd))) // the pattern lets only digits through
			pids = append(pids, pid)
		}
	}
	return pids, true
}

// stale tells whether postmaster.pid is left over from a server that is no more,
// though its process number is taken: by a dead process, by another program, or by
// the server of another folder. Only then may it be removed: it also guards the
// shared memory of backends that outlived their server.
func stale(data string, pid int) bool {
	if stateOf(pid) == cannotJudge {
		return false
	}
	pids, sure := runningIn(data)
	return sure && len(pids) == 0
}
