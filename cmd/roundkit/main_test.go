package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// asProgram tells this test binary to be roundkit: so the scripts run the real main,
// with a working folder and an environment of their own, and no build.
const asProgram = "ROUNDKIT_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		os.Exit(run())
	}
	os.Exit(m.Run())
}

// TestScripts runs the command lines of testdata/scripts. A script is steps of
//
//	$ [NAME=VALUE ...] roundkit WORDS    a command line; quotes hold a word together
//	= 2                                  its exit status (0 where not said)
//	> text                               its standard output, all of it, line by line
//	! text                               its standard error, likewise
//	>~ expression, !~ expression         each line that is given matches some line of it
//	file NAME / no file NAME             what is in the working folder afterwards
//
// and lines that begin with # or are empty. A stream that no line speaks of must be
// empty; "-- NAME --" to "--" writes a file before the steps run.
func TestScripts(t *testing.T) {
	t.Parallel()
	scripts, err := filepath.Glob("testdata/scripts/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, scripts)
	for _, path := range scripts {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txt"), func(t *testing.T) {
			t.Parallel()
			content, err := os.ReadFile(path)
			require.NoError(t, err)
			folder := openFolder(t)
			steps := readScript(t, folder, string(content))
			require.NotEmpty(t, steps)
			for _, s := range steps {
				s.run(t, folder)
			}
		})
	}
}

// openFolder is a working folder that another user can reach: as root the server runs
// as one, and t.TempDir lies in a folder that is closed to it. A server that a script
// left running is stopped.
func openFolder(t *testing.T) string {
	t.Helper()
	folder, err := os.MkdirTemp("", "rk-script-")
	require.NoError(t, err)
	require.NoError(t, os.Chmod(folder, 0o755))
	t.Cleanup(func() {
		(&step{words: []string{"roundkit", "db", "stop"}, status: "0", outLike: []string{"stopped|was not running"}, speaksOut: true}).run(t, folder)
		require.NoError(t, os.RemoveAll(folder))
	})
	return folder
}

type step struct {
	line                 int
	words                []string
	status               string
	out, err             []string
	outLike, errLike     []string
	present, notPresent  []string
	speaksOut, speaksErr bool
}

func readScript(t *testing.T, folder, content string) []*step {
	t.Helper()
	var steps []*step
	var file []string
	name := ""
	for i, line := range strings.Split(content, "\n") {
		if name != "" {
			if line != "--" {
				file = append(file, line+"\n")
				continue
			}
			require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(strings.Join(file, "")), 0o600))
			name, file = "", nil
			continue
		}
		if rest, ok := strings.CutPrefix(line, "-- "); ok {
			name = strings.TrimSuffix(rest, " --")
			continue
		}
		if line == "" || line[0] == '#' {
			continue
		}
		if rest, ok := strings.CutPrefix(line, "$ "); ok {
			steps = append(steps, &step{line: i + 1, words: splitWords(rest), status: "0"})
			continue
		}
		require.NotEmpty(t, steps, "line %d comes before any command", i+1)
		require.True(t, steps[len(steps)-1].expect(line), "line %d: %q is not a step", i+1, line)
	}
	return steps
}

func (s *step) expect(line string) bool {
	for prefix, list := range map[string]*[]string{
		">": &s.out, "!": &s.err, ">~": &s.outLike, "!~": &s.errLike, "file": &s.present, "no file": &s.notPresent,
	} {
		if rest, ok := strings.CutPrefix(line, prefix+" "); ok || line == prefix {
			*list = append(*list, rest)
			s.speaksOut = s.speaksOut || prefix[0] == '>'
			s.speaksErr = s.speaksErr || prefix[0] == '!'
			return true
		}
	}
	status, ok := strings.CutPrefix(line, "= ")
	if ok {
		s.status = status
	}
	return ok
}

func (s *step) run(t *testing.T, folder string) {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	environment := []string{asProgram + "=1", "HOME=" + folder, "ROUNDKIT_HOME=" + folder, "PATH=" + os.Getenv("PATH")}
	words := s.words
	for strings.Contains(words[0], "=") {
		environment, words = append(environment, words[0]), words[1:]
	}
	require.Equal(t, "roundkit", words[0], "line %d", s.line)

	var out, errs bytes.Buffer
	command := exec.Command(self, words[1:]...)
	command.Dir, command.Env, command.Stdout, command.Stderr = folder, environment, &out, &errs
	err = command.Run()
	if _, failed := err.(*exec.ExitError); err != nil && !failed {
		require.NoError(t, err)
	}
	where := fmt.Sprintf("line %d: %q\nstandard output:\n%sstandard error:\n%s", s.line, s.words, &out, &errs)
	require.Equal(t, s.status, fmt.Sprint(command.ProcessState.ExitCode()), where)
	requireText(t, s.out, s.outLike, s.speaksOut, out.String(), where)
	requireText(t, s.err, s.errLike, s.speaksErr, errs.String(), where)
	for _, name := range s.present {
		require.FileExists(t, filepath.Join(folder, name), where)
	}
	for _, name := range s.notPresent {
		require.NoFileExists(t, filepath.Join(folder, name), where)
		require.NoDirExists(t, filepath.Join(folder, name), where)
	}
}

func requireText(t *testing.T, exact, like []string, spoken bool, got, where string) {
	t.Helper()
	if !spoken {
		require.Empty(t, got, where)
	}
	if len(exact) > 0 {
		require.Equal(t, strings.Join(exact, "\n")+"\n", got, where)
	}
	for _, expression := range like {
		require.Regexp(t, regexp.MustCompile("(?m)"+expression), got, where)
	}
}

// splitWords splits at spaces outside quotes.
func splitWords(line string) []string {
	var words []string
	word, quote, any := "", rune(0), false
	for _, r := range line + " " {
		switch {
		case quote != 0 && r == quote:
			quote = 0
		case quote != 0:
			word += string(r)
		case r == '"' || r == '\'':
			quote, any = r, true
		case r == ' ':
			if word != "" || any {
				words = append(words, word)
			}
			word, any = "", false
		default:
			word += string(r)
		}
	}
	return words
}
