//go:build unix

package load_test

import (
	"syscall"
	"testing"
	"time"
)

// cpuOf reports the CPU time of an operation beside the time by the clock, which says
// little on a machine with other work. It counts from the call on.
func cpuOf(b *testing.B) (report func()) {
	b.Helper()
	spent := func() time.Duration {
		var r syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
			b.Fatal(err)
		}
		return time.Duration(r.Utime.Nano() + r.Stime.Nano())
	}
	from := spent()
	return func() { b.ReportMetric(float64(spent()-from)/1e6/float64(b.N), "cpu-ms/op") }
}
