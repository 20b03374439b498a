package app

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
)

// untilDone lets a search for a load end by itself, however slow the machine: what is checked
// does not depend on the clock.
const untilDone = 3600

// terminal returns the environment of a person in front of a terminal, with the given
// variables, and what they see.
func terminal(variables map[string]string) (frame.Env, *bytes.Buffer, *bytes.Buffer) {
	var out, errs bytes.Buffer
	return frame.Env{
		In: strings.NewReader(""), Out: &out, Err: &errs,
		OutTerminal: true, ErrTerminal: true, TerminalColumns: 60, SearchSeconds: untilDone,
		Lookup: func(name string) (string, bool) { value, ok := variables[name]; return value, ok },
		Now:    func() time.Time { return time.Date(2027, 6, 5, 17, 0, 0, 0, time.UTC) },
	}, &out, &errs
}

func TestColourOnlyWhereWanted(t *testing.T) {
	t.Parallel()
	tests := map[string]struct {
		variables    map[string]string
		piped        bool
		colour, rule bool
	}{
		"terminal":       {nil, false, true, true},
		"NO_COLOR":       {map[string]string{"NO_COLOR": "1"}, false, false, true},
		"NO_COLOR=0":     {map[string]string{"NO_COLOR": "0"}, false, false, true}, // no-color.org: any value
		"NO_COLOR empty": {map[string]string{"NO_COLOR": ""}, false, true, true},
		"dumb":           {map[string]string{"TERM": "dumb"}, false, false, true},
		"piped":          {map[string]string{"TERM": "xterm"}, true, false, false},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			env, out, errs := terminal(test.variables)
			env.OutTerminal = !test.piped
			require.Equal(t, frame.Done, Run(t.Context(), env, nil))
			require.Empty(t, errs.String())
			require.Equal(t, test.colour, strings.Contains(out.String(), "\x1b["))
			require.Equal(t, test.rule, strings.Contains(out.String(), "─"))
		})
	}
}

func TestWidth(t *testing.T) {
	t.Parallel()
	widest := func(out string) int {
		most := 0
		_, rows, _ := strings.Cut(out, "what it does")
		for _, line := range strings.Split(rows, "\n") {
			most = max(most, len([]rune(line)))
		}
		return most
	}
	env, out, _ := terminal(map[string]string{"NO_COLOR": "1"})
	require.Equal(t, frame.Done, Run(t.Context(), env, []string{"help", "completion"}))
	require.LessOrEqual(t, widest(out.String()), 60)

	env, out, _ = terminal(map[string]string{"NO_COLOR": "1", "COLUMNS": "30"})
	require.Equal(t, frame.Done, Run(t.Context(), env, []string{"version", "--help"}))
	require.LessOrEqual(t, widest(out.String()), 30)
}

// A disk that is full behind the standard output must not look like success.
func TestFullOutput(t *testing.T) {
	t.Parallel()
	env, _, errs := terminal(nil)
	env.Out = fullDisk{}
	require.Equal(t, frame.Refused, Run(t.Context(), env, []string{"version"}))
	require.Equal(t, "roundkit: write the answer: no space left\n", errs.String())
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no space left") }

// An option means the same on every command: the order of options and arguments is
// sorted out before the command is known.
func TestOptionsMeanTheSameEverywhere(t *testing.T) {
	t.Parallel()
	env, _, _ := terminal(nil)
	isSwitch := map[string]bool{}
	var visit func(path string, all []*cli.Command)
	visit = func(path string, all []*cli.Command) {
		for _, c := range all {
			require.NotEmpty(t, c.Usage, path+c.Name)
			require.True(t, c.Action != nil || len(c.Subcommands) > 0, path+c.Name)
			for _, f := range c.Flags {
				_, is := f.(*cli.BoolFlag)
				for _, name := range f.Names() {
					before, seen := isSwitch[name]
					require.True(t, !seen || before == is, "%s%s --%s", path, c.Name, name)
					isSwitch[name] = is
				}
				require.NotEmpty(t, f.(cli.DocGenerationFlag).GetUsage(), "%s%s --%s", path, c.Name, f.Names()[0])
			}
			visit(path+c.Name+" ", c.Subcommands)
		}
	}
	visit("", commands(&env))
}

func TestHelpOfEveryCommand(t *testing.T) {
	t.Parallel()
	var visit func(path []string, all []*cli.Command)
	visit = func(path []string, all []*cli.Command) {
		for _, c := range all {
			words := append(append([]string{"help"}, path...), c.Name)
			env, out, errs := terminal(map[string]string{"NO_COLOR": "1"})
			require.Equal(t, frame.Done, Run(t.Context(), env, words))
			require.Empty(t, errs.String())
			require.Contains(t, out.String(), "usage: roundkit "+strings.Join(words[1:], " "))
			visit(words[1:], c.Subcommands)
		}
	}
	env, _, _ := terminal(nil)
	visit(nil, commands(&env))
}

func TestJSONIsValid(t *testing.T) {
	t.Parallel()
	env, out, _ := terminal(nil)
	require.Equal(t, frame.Done, Run(t.Context(), env, []string{"version", "--json"}))
	require.True(t, json.Valid(out.Bytes()))
	require.NotContains(t, out.String(), "\x1b")
}

// bash itself completes a word with the script: the program it asks is a stand-in that
// prints the words it was asked with, one a line.
func TestBashCompletion(t *testing.T) {
	t.Parallel()
	env, script, _ := terminal(nil)
	require.Equal(t, frame.Done, Run(t.Context(), env, []string{"completion", "bash"}))
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "script"), script.Bytes(), 0o600))
	got, err := exec.CommandContext(t.Context(), "bash", "-c", `
		roundkit() { printf '%s\n' "$@"; }
		source "$1"
		COMP_WORDS=(roundkit pack "TR-ALP" --ou later) COMP_CWORD=3
		_roundkit
		printf '[%s]' "${COMPREPLY[@]}"
		complete -p roundkit`, "bash", filepath.Join(folder, "script")).CombinedOutput()
	require.NoError(t, err, string(got))
	require.Equal(t, "[complete-words][pack][TR-ALP][--ou]complete -o default -F _roundkit roundkit\n", string(got))
}
