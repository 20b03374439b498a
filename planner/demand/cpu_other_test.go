//go:build !unix

package demand

import "time"

var started = time.Now()

// cpuSeconds is wall time where there is no rusage.
func cpuSeconds() float64 { return time.Since(started).Seconds() }
