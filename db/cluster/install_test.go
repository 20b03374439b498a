//go:build linux || darwin || freebsd

package cluster

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// installer is the script that make runs before it needs a server. Its folders
// must be those searched here, or make and the program would disagree.
const installer = "../../.ci/postgres"

func TestInstallerLooksWhereWeLook(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile(installer)
	require.NoError(t, err)
	_, list, ok := strings.Cut(string(text), "folders='\n")
	require.True(t, ok)
	list, _, _ = strings.Cut(list, "\n'")
	require.Equal(t, packageFolders, strings.Split(list, "\n"))
	for _, pattern := range packageFolders {
		_, err := filepath.Glob(pattern)
		require.NoError(t, err, pattern)
	}
}

// TestInstaller runs the script with package managers that only note how they were
// called; the one "install" that works puts programs where the script looks. The
// real thing was tried by hand on a Debian without PostgreSQL.
func TestInstaller(t *testing.T) {
	t.Parallel()
	const installs = "\nfor p in initdb pg_ctl postgres; do cp \"$SERVER/sh\" \"$SERVER/bin/$p\"; done"
	for name, c := range map[string]struct {
		programs map[string]string // fake programs and what they do besides noting
		uid      string
		there    []string // installed before
		fails    bool
		calls    []string // how they were called, in order
		says     string
	}{
		"there": {uid: "0", there: []string{"initdb", "pg_ctl", "postgres"}, programs: map[string]string{"apt-get": ""}},
		"root": {uid: "0", programs: map[string]string{"apt-get": installs}, says: "no cluster of Debian's own",
			calls: []string{"apt-get -qq update", "apt-get -qq install -y --no-install-recommends postgresql"}},
		"only the client": {uid: "0", there: []string{"psql", "pg_ctl"}, programs: map[string]string{"apt-get": installs},
			calls: []string{"apt-get -qq update", "apt-get -qq install -y --no-install-recommends postgresql"}},
		"sudo": {uid: "1000", programs: map[string]string{"apt-get": installs, "sudo": "\nshift; \"$@\""},
			calls: []string{"sudo -n true", "apt-get -qq update", "apt-get -qq install -y --no-install-recommends postgresql"}},
		"sudo asks": {uid: "1000", fails: true, programs: map[string]string{"apt-get": installs, "sudo": "\nexit 1"},
			calls: []string{"sudo -n true"}, says: "run: sudo apt-get install postgresql"},
		"no sudo":  {uid: "1000", fails: true, programs: map[string]string{"apt-get": installs}, says: "run: sudo apt-get install postgresql"},
		"homebrew": {uid: "501", programs: map[string]string{"brew": installs}, calls: []string{"brew install postgresql@17"}},
		"dnf":      {uid: "0", fails: true, programs: map[string]string{"dnf": ""}, says: "run: sudo dnf install postgresql-server"},
		"nothing":  {uid: "0", fails: true, says: "set DATABASE_URL"},
		"install fails": {uid: "0", fails: true, programs: map[string]string{"apt-get": "\nexit 100"},
			calls: []string{"apt-get -qq update"}},
		"install brings nothing": {uid: "0", fails: true, programs: map[string]string{"apt-get": ""}, says: "in none of the usual folders",
			calls: []string{"apt-get -qq update", "apt-get -qq install -y --no-install-recommends postgresql"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			temp := openTemp(t)
			path, server, etc := filepath.Join(temp, "path"), filepath.Join(temp, "server"), filepath.Join(temp, "etc")
			for _, folder := range []string{path, filepath.Join(server, "bin")} {
				require.NoError(t, os.MkdirAll(folder, 0o755))
			}
			for _, real := range []string{"sh", "mkdir", "rmdir", "rm", "tee", "cp", "env", "readlink", "true", "cat"} {
				target, err := exec.LookPath(real)
				require.NoError(t, err)
				require.NoError(t, os.Symlink(target, filepath.Join(path, real)))
			}
			script := func(file, body string) {
				writeProgram(t, file, strings.NewReader("#!/bin/sh\n"+body+"\n"))
			}
			script(filepath.Join(path, "id"), "echo "+c.uid)
			script(filepath.Join(path, "dpkg"), "exit 1") // owns none of our folders
			script(filepath.Join(server, "sh"), "exit 0")
			for _, program := range c.there {
				script(filepath.Join(server, "bin", program), "exit 0")
			}
			for program, does := range c.programs {
				note := `echo "` + program + ` $*" >> "$NOTES"`
				if program == "sudo" { // only the question; what it runs notes itself
					note = `[ "$*" != "-n true" ] || ` + note
				}
				if program == "apt-get" {
					note += "\n" + `cat "$ROUNDKIT_CI_ETC/createcluster.d/roundkit.conf" > "$NOTES.conf"`
				}
				script(filepath.Join(path, program), note+does)
			}
			notes := filepath.Join(temp, "notes")
			require.NoError(t, os.WriteFile(notes, nil, 0o644))
			cmd := exec.Command("/bin/sh", installer)
			cmd.Env = []string{"PATH=" + path, "NOTES=" + notes, "SERVER=" + server,
				"ROUNDKIT_CI_FOLDERS=" + filepath.Join(server, "b*"), "ROUNDKIT_CI_ETC=" + etc}
			out, err := cmd.CombinedOutput()
			require.Equal(t, c.fails, err != nil, string(out))
			require.Contains(t, string(out), c.says)
			calls, err := os.ReadFile(notes)
			require.NoError(t, err)
			require.Equal(t, strings.Join(c.calls, "\n"), strings.TrimSpace(string(calls)), string(out))
			if strings.Contains(string(calls), "apt-get -qq") {
				conf, err := os.ReadFile(notes + ".conf")
				require.NoError(t, err)
				require.Equal(t, "create_main_cluster = false\n", string(conf), "in force during the installation")
			}
			require.NoFileExists(t, filepath.Join(etc, "createcluster.d", "roundkit.conf"), "and only then")
			require.NoDirExists(t, etc, "folders made for it are gone")
		})
	}
}
