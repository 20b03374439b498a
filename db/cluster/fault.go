//go:build linux || darwin || freebsd

package cluster

import (
	"os"
	"strings"
)

// lastFault finds why a start failed: the last fault in the log since the offset,
// else what pg_ctl printed.
func (p *place) lastFault(offset int64, printed string) string {
	text, err := os.ReadFile(p.logFile())
	if err != nil || int64(len(text)) <= offset {
		return faultLine(printed)
	}
	return faultLine(string(text[offset:]))
}

// faultLine is the line that tells of a full disk, for what follows it says less;
// else the last line with a fault in it, else the last line.
func faultLine(text string) string {
	fault := ""
	for line := range strings.Lines(text) {
		if strings.Contains(line, "No space left") {
			return strings.TrimSpace(line)
		}
		if strings.Contains(line, "FATAL:  terminating connection") || strings.Contains(line, "FATAL:  connection to client lost") {
			continue // a session that outlived the last server by a moment: it hinders, and is not why
		}
		for _, mark := range []string{"FATAL:", "PANIC:", "error:", "cannot create", "could not"} {
			if _, rest, ok := strings.Cut(line, mark); ok {
				if mark == "cannot create" || mark == "could not" {
					if fault != "" {
						continue // a plain line explains less than a marked one
					}
					rest = mark + rest
				}
				fault = strings.TrimSpace(rest)
				break
			}
		}
	}
	if fault == "" {
		return lastLine(text)
	}
	return fault
}

func lastLine(text string) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	return strings.TrimSpace(lines[len(lines)-1])
}

func fileSize(path string) int64 {
	info, err := os.Stat(path)
	if err != nil {
		return 0
	}
	return info.Size()
}
