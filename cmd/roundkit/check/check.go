// Package check is the command that runs published examples through the planner, so
// that a reader can try one without reading the program.
package check

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/planner/check"
	"roundkit/reports/term"
	"roundkit/testdata"
)

// mostBytes is the largest file of cases; what is published fits many times over.
const mostBytes = 256 << 20

// Command is "check".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "check",
		Usage: "run the examples that came with the program and say which agree",
		Description: `Each case is one JSON object a line:
  {"id":"..","calc":"poisson","in":{"mean":2,"x":[0]},"want":{"pmf":[0.1353]},"tol":5e-5,"source":".."}
Without --cases the cases that came with the program are run; at the end stands how many
rest on a published value, and how many on something less. Exit status 0 where all
passed, 1 where one failed, 2 for wrong usage; nothing stops the other cases.`,
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "cases", Usage: "run the cases of `FILE`, - for the standard input"},
			&cli.BoolFlag{Name: "list", Usage: "list what can be calculated, with inputs and outputs"},
		}, frame.Flags(frame.JSON, frame.All)...),
		Action: func(c *cli.Context) error {
			if _, err := frame.Arguments(c); err != nil {
				return err
			}
			asJSON := c.Bool(string(frame.JSON))
			switch {
			case c.Bool("list") && c.IsSet("cases"):
				return frame.Usagef("check: found --list and --cases, expected one of them")
			case c.Bool("list"):
				return list(env, asJSON)
			}
			files, err := cases(env, c)
			if err != nil {
				return err
			}
			r := runner{env: env, json: asJSON, published: !c.IsSet("cases"), notBuilt: map[string]int{}, rests: map[check.Evidence]int{}}
			return r.run(c.Context, files)
		},
	}
}

// cases returns the contents of the files to run.
func cases(env *frame.Env, c *cli.Context) ([][]byte, error) {
	name := c.String("cases")
	switch {
	case !c.IsSet("cases"):
		return published()
	case name == "":
		return nil, frame.Usagef("option --cases: found nothing, expected a file")
	case name == "-":
		content, err := readAll(env.In)
		if err != nil {
			return nil, fmt.Errorf("read the standard input: %w", err)
		}
		return [][]byte{content}, nil
	}
	// Status 1 means that a case failed, so a file that is not there is wrong usage.
	file, err := os.Open(name)
	if err != nil {
		return nil, frame.Usagef("option --cases: %s: %s", name, cause(err))
	}
	defer file.Close()
	content, err := readAll(file)
	if err != nil {
		return nil, frame.Usagef("option --cases: %s: %s", name, cause(err))
	}
	return [][]byte{content}, nil
}

// cause is what happened to a file, without the words that repeat its name.
func cause(err error) error {
	var inner *fs.PathError
	if errors.As(err, &inner) {
		return inner.Err
	}
	return err
}

func readAll(r io.Reader) ([]byte, error) {
	content, err := io.ReadAll(io.LimitReader(r, mostBytes+1))
	if err == nil && len(content) > mostBytes {
		return nil, fmt.Errorf("found more than %d MB, expected less", mostBytes>>20)
	}
	return content, err
}

func published() ([][]byte, error) {
	names, err := fs.Glob(testdata.Checks, "checks/*.jsonl")
	if err != nil {
		return nil, fmt.Errorf("look for the published cases: %w", err)
	}
	var files [][]byte
	for _, name := range names {
		content, err := testdata.Checks.ReadFile(name)
		if err != nil {
			return nil, fmt.Errorf("read the published cases: %w", err)
		}
		files = append(files, content)
	}
	return files, nil
}

// runner prints cases as they are done, and counts them.
type runner struct {
	env                    *frame.Env
	json                   bool
	published              bool // the cases that came with the program
	caseCount, failedCount int
	notBuilt               map[string]int // cases by calc
	rests                  map[check.Evidence]int
}

func (r *runner) run(ctx context.Context, files [][]byte) error {
	encoder := json.NewEncoder(r.env.Out)
	encoder.SetEscapeHTML(false)
	var broken error
	for _, file := range files {
		check.RunAll(file, func(result check.Result) {
			if broken != nil || !r.count(result) {
				return
			}
			if r.json {
				broken = encoder.Encode(result)
			} else {
				broken = say(r.env.Out, r.env.Look(), result)
			}
		})
	}
	switch {
	case broken != nil:
		return fmt.Errorf("write the answer: %w", broken)
	case ctx.Err() != nil:
		return ctx.Err()
	case r.caseCount == 0:
		return errors.New("found no case, expected one JSON object a line")
	}
	if !r.json {
		r.sum()
	}
	if r.failedCount > 0 {
		return frame.ErrFailed
	}
	return nil
}

// count counts a result and says whether to print it. The published record reaches
// further than the planner: its cases of a calculation that is not built are counted
// apart and named, where a case of the user's own would fail.
func (r *runner) count(result check.Result) bool {
	if r.published && result.Error != nil && strings.HasPrefix(*result.Error, "unknown calc") {
		r.notBuilt[result.Calc]++
		return false
	}
	r.caseCount++
	r.rests[result.Rests]++
	if !result.Pass {
		r.failedCount++
	}
	return true
}

func (r *runner) sum() {
	fmt.Fprintf(r.env.Out, "%d cases, %d passed, %d failed\n", r.caseCount, r.caseCount-r.failedCount, r.failedCount)
	for _, kind := range check.Evidences() {
		if n := r.rests[kind]; r.published && n > 0 {
			fmt.Fprintf(r.env.Out, "%5d  %s\n", n, kind)
		}
	}
	if len(r.notBuilt) == 0 {
		return
	}
	total := 0
	for _, n := range r.notBuilt {
		total += n
	}
	fmt.Fprintf(r.env.Out, "%d more not run: this program does not calculate %s\n",
		total, strings.Join(slices.Sorted(maps.Keys(r.notBuilt)), ", "))
}

// say prints one case: what it is, what was wanted, what came out.
func say(w io.Writer, look term.Look, r check.Result) error {
	word := "pass"
	if !r.Pass {
		word = look.Warn("FAIL")
	}
	_, err := fmt.Fprintf(w, "%s  %s  %s  (%s)\n      wanted %s\n      got    %s\n",
		word, term.Clean(r.ID), term.Clean(r.Calc), term.Clean(r.Source), term.Clean(string(r.Want)), got(r))
	if err == nil && !r.Pass && r.Error == nil {
		_, err = fmt.Fprintf(w, "      %s\n", term.Clean(r.Differs))
	}
	return err
}

// got is what came out, of it only what was asked for: a distribution has many fields.
func got(r check.Result) string {
	if r.Error != nil {
		return "refused: " + term.Clean(*r.Error)
	}
	var all, wanted map[string]json.RawMessage
	if json.Unmarshal(r.Got, &all) != nil || json.Unmarshal(r.Want, &wanted) != nil {
		return string(r.Got)
	}
	for name := range all {
		if _, ok := wanted[name]; !ok {
			delete(all, name)
		}
	}
	short, err := json.Marshal(all)
	if err != nil {
		return string(r.Got)
	}
	return string(short)
}

// list prints what can be calculated.
func list(env *frame.Env, asJSON bool) error {
	calcs := check.List()
	if asJSON {
		return env.PrintJSON(calcs)
	}
	look := env.Look()
	for _, calc := range calcs {
		if err := look.Say(env.Out, calc.Name+": "+calc.About); err != nil {
			return err
		}
		t := term.Table{Columns: []term.Column{{}, {}, {Wrap: true}}}
		for _, side := range []struct {
			word   string
			fields []check.Field
		}{{"  in", calc.In}, {"  out", calc.Out}} {
			for _, f := range side.fields {
				name := f.Name
				if f.Optional {
					name += "?"
				}
				t.Rows = append(t.Rows, []string{side.word, name, f.What})
			}
		}
		if err := look.Print(env.Out, t); err != nil {
			return err
		}
		fmt.Fprintln(env.Out)
	}
	_, err := fmt.Fprintf(env.Out, "%d calcs; a field marked ? may be left out\n", len(calcs))
	return err
}
