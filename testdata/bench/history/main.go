// Command history measures the methods of planner/series on files of histories: pinball loss and
// coverage over rolling origins, with nothing used that came later.
//
//	go run ./testdata/bench/history [-methods mix,belief,...] FILE.csv[.gz] ...
package main

import (
	"compress/gzip"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/pprof"
	"strings"
	"syscall"

	"roundkit/planner/series"
)

func main() {
	methods := flag.String("methods", "mix,belief,hurdle,tsb,sba,croston", "what to measure")
	profile := flag.String("profile", "", "write a CPU profile here")
	flag.Parse()
	if *profile != "" {
		f, err := os.Create(*profile)
		check(err)
		check(pprof.StartCPUProfile(f))
		defer pprof.StopCPUProfile()
	}
	fmt.Println("| file, method | months P90 P95 P98 | mean | total P90 P95 P98 | mean | off P90 P95 P98 | off, total | CPU s |")
	fmt.Println("|---|---|---|---|---|---|---|---|")
	for _, path := range flag.Args() {
		t, err := read(path)
		check(err)
		for _, m := range strings.Split(*methods, ",") {
			before := cpu()
			s, err := series.Measure(t, series.Method(m), 12)
			check(err)
			fmt.Printf("| %s, %s | %s | %.4f | %s | %.4f | %s | %s | %.1f |\n", strings.SplitN(filepath.Base(path), ".", 2)[0], m,
				losses(s.Months), s.Months.Mean(), losses(s.Total), s.Total.Mean(), offs(s.Months), offs(s.Total), cpu()-before)
		}
	}
}

func losses(s series.Score) string {
	return fmt.Sprintf("%.4f %.4f %.4f", s.Loss[1], s.Loss[2], s.Loss[3])
}

func offs(s series.Score) string {
	o := s.Off()
	return fmt.Sprintf("%+.1f %+.1f %+.1f", o[1]*100, o[2]*100, o[3]*100)
}

func read(path string) (t *series.Table, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	in := io.Reader(f)
	if strings.HasSuffix(path, ".gz") {
		if in, err = gzip.NewReader(f); err != nil {
			return nil, err
		}
	}
	return series.Read(filepath.Base(path), in)
}

func cpu() float64 {
	var u syscall.Rusage
	check(syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return float64(u.Utime.Sec) + float64(u.Utime.Usec)/1e6
}

func check(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
