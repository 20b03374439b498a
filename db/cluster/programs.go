package cluster

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// serverPrograms must lie in one folder to count as a server: Debian's client
// package alone makes the same folder with psql in it.
var serverPrograms = []string{"initdb", "pg_ctl", "postgres"}

// packageFolders is where packages put the programs, off PATH: Debian and Ubuntu,
// PGDG on Red Hat, openSUSE, Alpine, Gentoo, Homebrew (ARM, Intel, Linux),
// Postgres.app; and the common folders, for a PATH that is empty or short.
var packageFolders = []string{
	"/usr/lib/postgresql/*/bin",
	"/usr/pgsql-*/bin",
	"/usr/lib/postgresql[0-9]*/bin",
	"/usr/libexec/postgresql[0-9]*",
	"/usr/lib64/postgresql-*/bin",
	"/opt/homebrew/opt/postgresql*/bin",
	"/usr/local/opt/postgresql*/bin",
	"/home/linuxbrew/.linuxbrew/opt/postgresql*/bin",
	"/Applications/Postgres.app/Contents/Versions/*/bin",
	"/usr/local/pgsql/bin",
	"/usr/local/bin",
	"/usr/bin",
}

// programs is one installed PostgreSQL.
type programs struct {
	folder string
	major  int
}

// findServers lists the complete servers installed, the newest first.
func findServers(ctx context.Context, binDirs []string) []programs {
	var found []programs
	for _, folder := range searchFolders(binDirs, "pg_ctl") {
		if slices.ContainsFunc(serverPrograms, func(p string) bool { return !executable(filepath.Join(folder, p)) }) {
			continue
		}
		if major, err := majorOf(ctx, filepath.Join(folder, "postgres")); err == nil {
			found = append(found, programs{folder, major})
		}
	}
	slices.SortStableFunc(found, func(a, b programs) int { return b.major - a.major })
	return found
}

// serverFor picks the server for a cluster of the given major version, or the
// newest for a new cluster (0).
func serverFor(ctx context.Context, binDirs []string, clusterMajor int, clusterFolder string) (programs, error) {
	found := findServers(ctx, binDirs)
	if len(found) == 0 {
		return programs{}, fmt.Errorf("%w (initdb, pg_ctl and postgres in one folder): install the package "+
			"(apt-get install postgresql, brew install postgresql@17), or run 'docker compose up -d' and set DATABASE_URL "+
			"as docker-compose.yml says, or set DATABASE_URL to any server of PostgreSQL %d or newer", ErrNoPrograms, MinMajor)
	}
	majors := make([]string, len(found))
	for i, p := range found {
		majors[i] = strconv.Itoa(p.major)
		if p.major == clusterMajor || clusterMajor == 0 && p.major >= MinMajor {
			return p, nil
		}
	}
	if clusterMajor == 0 {
		return programs{}, fmt.Errorf("%w: found PostgreSQL %s, expected %d or newer; install one, or set DATABASE_URL", ErrNoPrograms, strings.Join(majors, ", "), MinMajor)
	}
	return programs{}, fmt.Errorf("%w: the database in %s is of PostgreSQL %d, but only %s is installed: install PostgreSQL %d again, "+
		"or take a backup on a machine that has it ('roundkit db backup') and restore it into a new data folder ('roundkit db restore')",
		ErrWrongMajor, clusterFolder, clusterMajor, strings.Join(majors, ", "), clusterMajor)
}

// searchFolders lists the folders that may hold a program, each once. A link on
// PATH is followed to the folder it comes from, for its companions are there.
func searchFolders(binDirs []string, program string) []string {
	var folders []string
	add := func(folder string) {
		if real, err := filepath.EvalSymlinks(folder); err == nil && !slices.Contains(folders, real) {
			folders = append(folders, real)
		}
	}
	if binDirs != nil {
		for _, folder := range binDirs {
			add(folder)
		}
		return folders
	}
	for _, folder := range filepath.SplitList(os.Getenv("PATH")) {
		if !filepath.IsAbs(folder) {
			continue // "." on PATH would run whatever lies in the current folder
		}
		if real, err := filepath.EvalSymlinks(filepath.Join(folder, program)); err == nil {
			add(filepath.Dir(real))
		}
	}
	for _, pattern := range packageFolders {
		matches, _ := filepath.Glob(pattern) // the only error is a bad pattern, and a test runs them all
		for _, folder := range matches {
			add(folder)
		}
	}
	return folders
}

func executable(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular() && info.Mode()&0o111 != 0
}

var versionPattern = regexp.MustCompile(`\(PostgreSQL\) (\d+)`)

// majorOf asks a program for its version: "postgres (PostgreSQL) 15.14 (Debian ...)".
func majorOf(ctx context.Context, path string) (int, error) {
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	out, err := exec.CommandContext(ctx, path, "--version").Output()
	if err != nil {
		return 0, fmt.Errorf("ask %s for its version: %w", path, err)
	}
	match := versionPattern.FindSubmatch(out)
	if match == nil {
		return 0, fmt.Errorf("ask %s for its version: found %q", path, strings.TrimSpace(string(out)))
	}
	return strconv.Atoi(string(match[1]))
}
