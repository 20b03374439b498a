package planner_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// allowed is what a file below planner may import, outside tests, and why. The rule is
// that planning is a function of what it is handed: no file, network, database, clock,
// environment or unseeded chance. A package ending in "/" stands for all below it.
var allowed = map[string]string{
	"bufio":                         "looking ahead into a reader that is handed in",
	"bytes":                         "text as bytes",
	"cmp":                           "comparison",
	"container/heap":                "best-first search",
	"context":                       "to be stopped in the middle of long work",
	"embed":                         "tables of a standard, part of the program",
	"encoding/csv":                  "the embedded tables; the text of a sheet, handed in",
	"encoding/json":                 "the cases of planner/check, handed in",
	"errors":                        "errors",
	"fmt":                           "words of errors; printing is refused below",
	"io":                            "readers and writers that are handed in",
	"iter":                          "sequences",
	"maps":                          "maps",
	"math":                          "arithmetic",
	"math/big":                      "exact arithmetic",
	"math/bits":                     "arithmetic",
	"math/cmplx":                    "transforms",
	"math/rand/v2":                  "a generator made from a seed that is handed in; the unseeded functions are refused below",
	"reflect":                       "the columns of a sheet are struct tags",
	"regexp":                        "the form of a name",
	"runtime":                       "the number of workers; no answer depends on it",
	"slices":                        "slices",
	"sort":                          "sorting",
	"strconv":                       "numbers as text",
	"strings":                       "text",
	"sync":                          "workers; scratch memory",
	"sync/atomic":                   "workers",
	"time":                          "instants and zones that are handed in; the clock is refused below",
	"unicode":                       "letters",
	"unicode/utf8":                  "letters",
	"roundkit/planner/":             "our own",
	"roundkit/planner":              "our own",
	"github.com/google/uuid":        "identities that callers choose; making one at random is refused below",
	"github.com/shopspring/decimal": "money, exact",
	"golang.org/x/text/":            "letters with accents, folded",
}

// refused are functions of allowed packages that reach outside, or to chance without a
// seed, or end the program.
var refused = map[string][]string{
	"time": {"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker",
		"Local", "LoadLocation"}, // Local and LoadLocation are the machine's
	"github.com/google/uuid": {"New", "NewString", "NewRandom", "NewUUID", "NewV6", "NewV7", "NewDCEPerson", "NewDCEGroup",
		"NewDCESecurity", "GetTime", "NodeID", "EnableRandPool", "SetRand", "SetNodeID", "SetNodeInterface"},
	"fmt": {"Print", "Printf", "Println", "Scan", "Scanf", "Scanln"},
}

// seeded are the only things of math/rand/v2 that a seed decides.
var seeded = []string{"New", "NewPCG", "NewChaCha8", "NewZipf", "Rand", "Source", "PCG", "ChaCha8", "Zipf"}

// arrows are the folders that must not know another: the house's arrows go down only.
var arrows = []struct{ below, refuses, because string }{
	{"db", "roundkit/cmd", "the database serves commands and knows none"},
	{"db", "roundkit/web", "the database serves pages and knows none"},
	{"db", "roundkit/reports", "what is stored does not depend on how it is shown"},
	{"reports", "roundkit/cmd", "a sheet is drawn for whoever asks"},
	{"reports", "roundkit/web", "a sheet is drawn for whoever asks"},
	{"reports", "roundkit/db", "a sheet is drawn from results, not from rows"},
	{"web", "roundkit/cmd", "pages and commands stand side by side"},
	{"queries", "roundkit/", "queries are read by sqlc only"},
	{"cmd", "roundkit/db/sqlcgen", "a command asks the store, which alone talks SQL"},
	{"web", "roundkit/db/sqlcgen", "a page asks the store, which alone talks SQL"},
	{"reports", "roundkit/db/sqlcgen", "a sheet is drawn from results, not from rows"},
	{"cmd", "github.com/jackc/pgx", "the driver and its errors stay in the store"},
	{"web", "github.com/jackc/pgx", "the driver and its errors stay in the store"},
	{"reports", "github.com/jackc/pgx", "a sheet is drawn from results, not from rows"},
	{"cmd", "database/sql", "the store alone talks SQL"},
	{"web", "database/sql", "the store alone talks SQL"},
	{"reports", "database/sql", "the store alone talks SQL"},
	{"db/cluster", "roundkit/db/sqlcgen", "the server is made and started before there is a schema"},
}

// TestPlannerIsPure parses every file itself: a test that asked the go command passed
// from the test cache after a subfolder had been broken.
func TestPlannerIsPure(t *testing.T) {
	t.Parallel()
	files := 0
	for path, file := range sources(t, ".") {
		files++
		names := map[string]string{}
		for _, spec := range file.Imports {
			imported, err := strconv.Unquote(spec.Path.Value)
			require.NoError(t, err)
			if !isAllowed(imported) {
				t.Errorf("%s imports %s, which planner may not; if it reaches nothing outside, add it to the list with a reason", path, imported)
			}
			name := imported[strings.LastIndex(imported, "/")+1:]
			if imported == "math/rand/v2" {
				name = "rand"
			}
			if spec.Name != nil {
				name = spec.Name.Name
				if name == "." {
					t.Errorf("%s imports %s by a dot, so what it uses cannot be seen", path, imported)
				}
			}
			names[name] = imported
		}
		ast.Inspect(file, func(node ast.Node) bool {
			selector, ok := node.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			// An identifier with an object is a variable that hides the package.
			of, ok := selector.X.(*ast.Ident)
			if !ok || of.Obj != nil {
				return true
			}
			imported := names[of.Name]
			if slices.Contains(refused[imported], selector.Sel.Name) ||
				(imported == "math/rand/v2" && !slices.Contains(seeded, selector.Sel.Name)) {
				t.Errorf("%s uses %s.%s: planner has no clock, no machine and no chance but what it is handed", path, of.Name, selector.Sel.Name)
			}
			return true
		})
		for _, declaration := range file.Decls {
			if f, ok := declaration.(*ast.FuncDecl); ok && f.Recv == nil && f.Name.Name == "init" {
				t.Errorf("%s has an init function: state that nobody handed in", path)
			}
		}
	}
	require.Greater(t, files, 10, "found too few files: the test looks in the wrong place")
}

func TestArrowsGoDownOnly(t *testing.T) {
	t.Parallel()
	for _, arrow := range arrows {
		files := sources(t, filepath.Join("..", arrow.below))
		if arrow.below != "web" && arrow.below != "queries" { // the one may come, the other must have none
			require.NotEmpty(t, files, "found no Go file in %s: the test looks in the wrong place", arrow.below)
		}
		for path, file := range files {
			for _, spec := range file.Imports {
				imported, err := strconv.Unquote(spec.Path.Value)
				require.NoError(t, err)
				if imported == arrow.refuses || strings.HasPrefix(imported, strings.TrimSuffix(arrow.refuses, "/")+"/") {
					t.Errorf("%s imports %s: %s", path, imported, arrow.because)
				}
			}
		}
	}
}

// sources parses the Go files below a folder, tests left out: they may read what they
// test against.
func sources(t *testing.T, root string) map[string]*ast.File {
	t.Helper()
	found := map[string]*ast.File{}
	if _, err := os.Stat(root); os.IsNotExist(err) {
		return found
	}
	require.NoError(t, filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && entry.Name() == "testdata" {
			return filepath.SkipDir
		}
		if entry.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			return err
		}
		found[path] = file
		return nil
	}))
	return found
}

func isAllowed(imported string) bool {
	for name := range allowed {
		if imported == name || (strings.HasSuffix(name, "/") && strings.HasPrefix(imported, name)) {
			return true
		}
	}
	return false
}
