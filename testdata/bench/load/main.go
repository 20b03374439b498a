// Command load compares the best load with a mixed-integer solver, CBC, of the
// distribution's packages: the same problems, one thread, gap tolerances 0, CPU time of the
// whole process, each load's value reckoned anew from its quantities.
//
//	go run ./testdata/bench/load -cbc cbc -cap 120 -limits 1,3 -parts 50,200,1000,5000 -seeds 2
//
// Without -cbc only ours is timed. The table goes to the standard output.
package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"roundkit/planner/load"
	"roundkit/testdata/bench/load/instance"
)

// one is a problem of the comparison.
type one struct {
	parts, limits int
	mixed         bool
	seed          uint64
}

func (o one) String() string {
	return fmt.Sprintf("%d,%d,%v,%d", o.parts, o.limits, o.mixed, o.seed)
}

// solved is what a child process prints.
type solved struct {
	Quantity []int
	Gap      float64
}

// side is one solver on one problem.
type side struct {
	value float64
	cpu   time.Duration
	kb    int64
	how   string
}

func main() {
	cbc := flag.String("cbc", "", "the solver's program; empty: none")
	most := flag.Int("cap", 120, "CPU seconds the solver may take")
	limits := flag.String("limits", "1,3", "numbers of limits")
	parts := flag.String("parts", "50,200,1000,5000", "numbers of parts")
	seeds := flag.Int("seeds", 2, "how many of each")
	child := flag.String("solve", "", "solve one problem and print it")
	flag.Parse()
	if err := run(*cbc, *most, *limits, *parts, *seeds, *child); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(cbc string, most int, limits, parts string, seeds int, child string) error {
	if child != "" {
		return solve(child)
	}
	dir, err := os.MkdirTemp("", "load")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	fmt.Println("| limits | parts | need | seed | CBC CPU s | CBC | ours CPU s | ours MB | ratio | ours - CBC, log | gap |")
	fmt.Println("|---|---|---|---|---|---|---|---|---|---|---|")
	for _, l := range strings.Split(limits, ",") {
		for _, n := range strings.Split(parts, ",") {
			lim, err := strconv.Atoi(l)
			if err != nil {
				return err
			}
			number, err := strconv.Atoi(n)
			if err != nil {
				return err
			}
			var ratios []float64
			for _, mixed := range []bool{false, true} {
				for seed := range uint64(seeds) {
					r, err := compare(one{number, lim, mixed, seed}, cbc, most, dir)
					if err != nil {
						return err
					}
					ratios = append(ratios, r)
				}
			}
			if cbc != "" {
				fmt.Printf("| %d | %d | all | | | | | | geometric mean %.1f, least %.1f | | |\n", lim, number, mean(ratios), least(ratios))
			}
		}
	}
	return nil
}

func mean(of []float64) float64 {
	t := 0.0
	for _, v := range of {
		t += math.Log(v)
	}
	return math.Exp(t / float64(len(of)))
}

func least(of []float64) float64 {
	t := math.Inf(1)
	for _, v := range of {
		t = min(t, v)
	}
	return t
}

// compare runs both on a problem and prints a row.
func compare(o one, cbc string, most int, dir string) (float64, error) {
	w, err := instance.New(o.parts, o.limits, o.mixed, o.seed)
	if err != nil {
		return 0, err
	}
	ours, gap, err := runOurs(w, o)
	if err != nil {
		return 0, fmt.Errorf("%s: ours: %w", o, err)
	}
	need := map[bool]string{false: "concave", true: "mixed"}[o.mixed]
	if cbc == "" {
		fmt.Printf("| %d | %d | %s | %d | | | %.3f | %d | | | %.2g |\n", o.limits, o.parts, need, o.seed, ours.cpu.Seconds(), ours.kb/1024, gap)
		return 0, nil
	}
	theirs, err := runCBC(w, cbc, most, dir)
	if err != nil {
		return 0, fmt.Errorf("%s: cbc: %w", o, err)
	}
	ratio := theirs.cpu.Seconds() / ours.cpu.Seconds()
	fmt.Printf("| %d | %d | %s | %d | %.2f | %s | %.3f | %d | %.1f | %.2g | %.2g |\n", o.limits, o.parts, need, o.seed,
		theirs.cpu.Seconds(), theirs.how, ours.cpu.Seconds(), ours.kb/1024, ratio, ours.value-theirs.value, gap)
	return ratio, nil
}

// solve is the child: it makes the problem, tables and all, and solves it.
func solve(text string) error {
	var o one
	f := strings.Split(text, ",")
	if len(f) != 4 {
		return fmt.Errorf("found %q, expected parts,limits,mixed,seed", text)
	}
	o.parts, _ = strconv.Atoi(f[0])
	o.limits, _ = strconv.Atoi(f[1])
	o.mixed = f[2] == "true"
	o.seed, _ = strconv.ParseUint(f[3], 10, 64)
	w, err := instance.New(o.parts, o.limits, o.mixed, o.seed)
	if err != nil {
		return err
	}
	c, err := load.Choose(context.Background(), w)
	if err != nil {
		return err
	}
	return json.NewEncoder(os.Stdout).Encode(solved{c.Quantity, c.Gap})
}

// spent is the CPU time and the largest memory of a process that has ended.
func spent(cmd *exec.Cmd) (time.Duration, int64) {
	s := cmd.ProcessState
	kb := int64(0)
	if r, ok := s.SysUsage().(*syscall.Rusage); ok {
		kb = r.Maxrss
	}
	return s.UserTime() + s.SystemTime(), kb
}

func runOurs(w load.Wish, o one) (side, float64, error) {
	self, err := os.Executable()
	if err != nil {
		return side{}, 0, err
	}
	cmd := exec.Command(self, "-solve", o.String())
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return side{}, 0, err
	}
	var got solved
	if err := json.Unmarshal(out, &got); err != nil {
		return side{}, 0, err
	}
	s := side{}
	s.cpu, s.kb = spent(cmd)
	s.value, err = instance.Check(w, got.Quantity)
	return s, got.Gap, err
}

func runCBC(w load.Wish, cbc string, most int, dir string) (side, error) {
	in, out := filepath.Join(dir, "load.lp"), filepath.Join(dir, "load.sol")
	file, err := os.Create(in)
	if err != nil {
		return side{}, err
	}
	err = instance.WriteLP(file, w)
	if closed := file.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return side{}, err
	}
	cmd := exec.Command(cbc, in, "-threads", "1", "-timeMode", "cpu", "-seconds", strconv.Itoa(most),
		"-ratioGap", "0", "-allowableGap", "0", "-solve", "-solution", out)
	if text, err := cmd.CombinedOutput(); err != nil {
		return side{}, fmt.Errorf("%w: %s", err, text)
	}
	s := side{}
	s.cpu, s.kb = spent(cmd)
	text, err := os.ReadFile(out)
	if err != nil {
		return s, err
	}
	lines := strings.Split(string(text), "\n")
	s.how = "optimal"
	if !strings.HasPrefix(lines[0], "Optimal") {
		s.how = "stopped"
	}
	quantity := make([]int, len(w.Supplies))
	for _, l := range lines[1:] {
		f := strings.Fields(l)
		if len(f) < 3 || !strings.HasPrefix(f[1], "x_") {
			continue
		}
		v, err := strconv.ParseFloat(f[2], 64)
		if err != nil || v < 0.5 {
			continue
		}
		var i, q int
		if _, err := fmt.Sscanf(f[1], "x_%d_%d", &i, &q); err != nil {
			return s, err
		}
		quantity[i] = q
	}
	s.value, err = instance.Check(w, quantity)
	return s, err
}
