// Package version is the command that says which build this is.
package version

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
)

// build is what a bug report needs to name the program.
type build struct {
	Version  string `json:"version"`
	Revision string `json:"revision"`
	Changed  bool   `json:"changed"`
	Go       string `json:"go"`
	Platform string `json:"platform"`
}

// Command prints the version, the revision it was built from and by what.
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "version",
		Usage: "say which build this is",
		Flags: frame.Flags(frame.JSON),
		Action: func(c *cli.Context) error {
			if _, err := frame.Arguments(c); err != nil {
				return err
			}
			b := read()
			if c.Bool(string(frame.JSON)) {
				return env.PrintJSON(b)
			}
			_, err := fmt.Fprintf(env.Out, "roundkit %s (%s, %s)\n", b, b.Go, b.Platform)
			return err
		},
	}
}

func (b build) String() string {
	if b.Revision == "" {
		return b.Version
	}
	changed := ""
	if b.Changed {
		changed = ", changed since"
	}
	return b.Version + " revision " + b.Revision[:min(12, len(b.Revision))] + changed
}

// read asks the Go build information, which holds what the build knew: a revision only
// where it was made inside a checkout.
func read() build {
	b := build{Version: "development", Go: runtime.Version(), Platform: runtime.GOOS + "/" + runtime.GOARCH}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return b
	}
	// A version made up from the date of the revision says nothing that the revision
	// does not.
	if v := info.Main.Version; v != "" && v != "(devel)" && !strings.HasPrefix(v, "v0.0.0-") {
		b.Version = v
	}
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			b.Revision = s.Value
		case "vcs.modified":
			b.Changed = s.Value == "true"
		}
	}
	return b
}
