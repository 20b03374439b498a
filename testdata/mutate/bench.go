package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"
)

// fate is what became of a planted change.
type fate int

const (
	unbuilt fate = iota // it does not compile: no change at all
	noticed
	unnoticed
)

// bench runs tests on the tree with one change laid over it.
type bench struct {
	folder string
	root   string
	limit  time.Duration
	kept   []string                 // replay files that were there before
	took   map[string]time.Duration // by tests, with nothing planted
}

// replays are the files that property tests leave when they are red.
const replays = "*/*/testdata/rapid/*/*.fail"

func newBench(limit time.Duration) (*bench, error) {
	root, err := os.Getwd()
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat("go.mod"); err != nil {
		return nil, errors.New("run it where go.mod is")
	}
	folder, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return nil, err
	}
	kept, err := filepath.Glob(replays)
	return &bench{folder, root, limit, kept, map[string]time.Duration{}}, err
}

// tidy takes away the replay files of a planted change: they say nothing of the program as
// it is.
func (b *bench) tidy() error {
	found, err := filepath.Glob(replays)
	for _, name := range found {
		if !slices.Contains(b.kept, name) {
			err = errors.Join(err, os.Remove(name))
			_ = os.Remove(filepath.Dir(name)) // where it is empty now
		}
	}
	return err
}

func (b *bench) close() { _ = os.RemoveAll(b.folder) }

// far is how many times the unchanged run a run may take before it counts as noticed: so
// a busy machine kills nothing.
const far = 5

// green runs the tests with nothing planted: an alarm that always rings proves nothing, nor
// does one that rings because the time is short.
func (b *bench) green(ctx context.Context, tests [][]string) error {
	for _, args := range tests {
		if b.took[args[0]] > 0 {
			continue // known of the room before
		}
		began := time.Now()
		if ok, output, err := b.test(ctx, args); err != nil || !ok {
			return errors.Join(err, fmt.Errorf("%v is red:\n%s", args, output))
		}
		b.took[args[0]] = time.Since(began)
		if least := far * b.took[args[0]]; least > b.limit {
			return fmt.Errorf("%v took %s with nothing planted: -limit must be at least %s", args, b.took[args[0]].Round(time.Second), least.Round(time.Second))
		}
	}
	return nil
}

// try plants one change and says whether any of the tests noticed it.
func (b *bench) try(ctx context.Context, s site, tests [][]string) (fate, error) {
	changed := filepath.Join(b.folder, "changed.go")
	if err := os.WriteFile(changed, s.changed(), 0o600); err != nil {
		return unbuilt, err
	}
	overlay, err := json.Marshal(map[string]any{"Replace": map[string]string{filepath.Join(b.root, s.file): changed}})
	if err != nil {
		return unbuilt, err
	}
	name := filepath.Join(b.folder, "overlay.json")
	if err := os.WriteFile(name, overlay, 0o600); err != nil {
		return unbuilt, err
	}
	for _, args := range tests {
		ok, output, err := b.test(ctx, slices.Concat([]string{"-overlay", name}, args))
		switch {
		case err != nil:
			return unbuilt, err
		case bytes.Contains(output, []byte("[build failed]")):
			return unbuilt, nil
		case !ok:
			return noticed, nil
		}
	}
	return unnoticed, nil
}

// asked is the package that the arguments name: what is run is timed by it.
func asked(args []string) string {
	for _, a := range args {
		if strings.HasPrefix(a, "./") {
			return a
		}
	}
	return ""
}

// test runs go test; a run beyond the limit counts as red. Its children go with it.
func (b *bench) test(ctx context.Context, args []string) (bool, []byte, error) {
	limit := b.limit
	if took := b.took[asked(args)]; took > 0 {
		limit = min(limit, far*took+20*time.Second)
	}
	timed, cancel := context.WithTimeout(ctx, limit+30*time.Second)
	defer cancel()
	run := exec.CommandContext(timed, "go", slices.Concat([]string{"test", "-vet=off", "-failfast", "-timeout", limit.String()}, args)...)
	run.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	run.Cancel = func() error { return syscall.Kill(-run.Process.Pid, syscall.SIGKILL) }
	output, err := run.CombinedOutput()
	if err := b.tidy(); err != nil {
		return false, output, err
	}
	if ctx.Err() != nil {
		return false, output, ctx.Err()
	}
	var failed *exec.ExitError
	switch {
	case err == nil:
		return true, output, nil
	case errors.As(err, &failed), timed.Err() != nil:
		return false, output, nil
	}
	return false, output, err
}
