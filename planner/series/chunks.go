package series

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// eachChunk asks f of some parts at a time, on as many cores as there are, and returns the answers in the
// order of the parts: sums over them are the same on any number of cores.
func eachChunk[T any](parts []Part, f func([]Part) T) []T {
	const inChunk = 40
	n := (len(parts) + inChunk - 1) / inChunk
	out := make([]T, n)
	var at atomic.Int64
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		all.Go(func() {
			for i := int(at.Add(1)) - 1; i < n; i = int(at.Add(1)) - 1 {
				out[i] = f(parts[i*inChunk : min(len(parts), (i+1)*inChunk)])
			}
		})
	}
	all.Wait()
	return out
}
