// Command mutate answers: would the tests notice if a rule of the planner, the ledger or
// the store's SQL were changed a little?
//
// It plants one small change at a time (a comparison, a sign, a dropped term, a date
// bound) at places drawn from a seed, runs the tests of the package it is in, then what
// else holds that rule (the published cases, the season's known answers), and counts what
// nobody noticed. Nothing in the tree is written: each change is an overlay of the build.
// A change that does not build, and one that the program cannot tell from the original
// text, is drawn again. Survivors that cannot be told from the original in effect stand,
// with the reason, in explained.txt beside this file.
//
// Method: mutation analysis (DeMillo, Lipton and Sayward, 1978, Hints on test data
// selection). Limits: one change at a time, the four kinds above; a test run that does
// not end in five times what the unchanged program takes counts as noticed.
package main

import (
	"bufio"
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"time"
)

// room is one part of the house, how many changes are planted in it, and what must
// notice them: packages of tests in the order tried, the quick ones first.
type room struct {
	name  string
	files string // pattern below the project's root; ** is not understood
	count int
	tests [][]string // arguments of go test
}

// knownAnswers asks the commands for the answers of the invented season and of the one
// worked out on paper; they need a server.
var knownAnswers = []string{"./cmd/roundkit/app", "-run", "KnownAnswers|PaperAnswers"}

// published are the calculations of published examples.
var published = []string{"./planner/check"}

func rooms() []room {
	own := func(name string, count int) room {
		return room{name, name + "/*.go", count, [][]string{{"./" + name + "/..."}, published, knownAnswers}}
	}
	return []room{
		own("planner/ledger", 40),
		own("planner/demand", 40),
		own("planner/forecast", 30),
		own("planner/load", 30),
		own("planner/order", 30),
		own("planner/spend", 25),
		own("planner/cost", 10),
		{"db", "db/sqlcgen/*.sql.go", 25, [][]string{{"./db", "-skip", "Simulate|Killed|Psql"}, knownAnswers}},
	}
}

func main() {
	seed := flag.Uint64("seed", 1, "which changes are drawn")
	share := flag.Float64("share", 1, "plant this share of the usual number of changes (230 in all)")
	only := flag.String("only", "", "plant in this room alone, such as planner/ledger")
	limit := flag.Duration("limit", 10*time.Minute, "time that one run of tests may take")
	allowed := flag.Float64("alive", 0.05, "share of the planted that may stay alive unexplained")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	alive, err := run(ctx, *seed, *share, *only, *limit, *allowed)
	if err != nil {
		fmt.Fprintln(os.Stderr, "mutate:", err)
		os.Exit(1)
	}
	if alive {
		os.Exit(1)
	}
}

// tally counts what became of the planted changes.
type tally struct{ planted, killed, explained, alive int }

func run(ctx context.Context, seed uint64, share float64, only string, limit time.Duration, allowed float64) (bool, error) {
	reasons, err := readReasons("testdata/mutate/explained.txt")
	if err != nil {
		return false, err
	}
	bench, err := newBench(limit)
	if err != nil {
		return false, err
	}
	defer bench.close()
	var all tally
	for _, r := range rooms() {
		if only != "" && r.name != only {
			continue
		}
		t, err := plantRoom(ctx, bench, r, rand.New(rand.NewPCG(seed, 0)), share, reasons)
		all = tally{all.planted + t.planted, all.killed + t.killed, all.explained + t.explained, all.alive + t.alive}
		fmt.Printf("%-17s planted %d, killed %d, explained %d, alive %d\n", r.name, t.planted, t.killed, t.explained, t.alive)
		if err != nil {
			return false, err
		}
	}
	fmt.Printf("mutate: seed %d: planted %d, killed %d, explained %d, alive %d\n", seed, all.planted, all.killed, all.explained, all.alive)
	if all.planted == 0 {
		return false, errors.New("nothing was planted: no such room?")
	}
	return float64(all.alive) > allowed*float64(all.planted), nil
}

// plantRoom plants the room's number of changes one by one and says of each survivor
// where it is.
func plantRoom(ctx context.Context, bench *bench, r room, dice *rand.Rand, share float64, reasons map[string]string) (tally, error) {
	var t tally
	files, err := filepath.Glob(r.files)
	if err != nil {
		return t, err
	}
	var sites []site
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		found, err := sitesOf(file)
		if err != nil {
			return t, err
		}
		sites = append(sites, found...)
	}
	dice.Shuffle(len(sites), func(i, j int) { sites[i], sites[j] = sites[j], sites[i] })
	want := int(float64(r.count)*share + 0.5)
	if want == 0 || len(sites) == 0 {
		return t, nil
	}
	if err := bench.green(ctx, r.tests); err != nil {
		return t, fmt.Errorf("%s: with nothing planted: %w", r.name, err)
	}
	defer progress("")
	for _, s := range sites {
		if t.planted == want {
			break
		}
		progress(fmt.Sprintf("%s: %d of %d planted, %d killed", r.name, t.planted, want, t.killed))
		fate, err := bench.try(ctx, s, r.tests)
		if err != nil {
			return t, err
		}
		switch why := reasons[s.key()]; {
		case fate == unbuilt:
			continue
		case fate == noticed:
			t.killed++
		case why != "":
			t.explained++
		default:
			t.alive++
			progress("")
			fmt.Printf("alive: %s\n", s)
		}
		t.planted++
	}
	return t, nil
}

// progress shows where the run stands, on a terminal only.
func progress(line string) {
	if about, err := os.Stderr.Stat(); err == nil && about.Mode()&os.ModeCharDevice != 0 {
		fmt.Fprintf(os.Stderr, "\r\033[K%s", line)
	}
}

// readReasons reads explained.txt: a survivor's key on one line, its reason on the next,
// indented. The key has the line's text, not its number, so that it outlives other edits.
func readReasons(name string) (map[string]string, error) {
	file, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer file.Close()
	reasons := map[string]string{}
	key := ""
	lines := bufio.NewScanner(file)
	for lines.Scan() {
		line := lines.Text()
		switch text := strings.TrimSpace(line); {
		case text == "" || strings.HasPrefix(text, "#"):
		case !strings.HasPrefix(line, " ") && !strings.HasPrefix(line, "\t"):
			key = text
		case key == "":
			return nil, fmt.Errorf("%s: a reason stands before any change: %q", name, text)
		default:
			reasons[key] = strings.TrimSpace(reasons[key] + " " + text)
		}
	}
	return reasons, lines.Err()
}
