package ledger_test

import (
	"cmp"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// TestCases runs what a storekeeper can read: testdata/*.txt, whose README.md says how they
// are written. What is expected there was worked out by hand from the rules of the stores.
func TestCases(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("testdata/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		head, rest, _ := strings.Cut(string(text), "\n== ")
		for _, c := range strings.Split(rest, "\n== ") {
			name, lines, _ := strings.Cut(c, "\n")
			t.Run(strings.TrimSuffix(filepath.Base(file), ".txt")+"/"+name, func(t *testing.T) {
				t.Parallel()
				runCase(t, name, head, lines)
			})
		}
	}
}

func runCase(t *testing.T, name, head, lines string) {
	s := &shop{}
	s.book.Season = []planner.Season{{Code: "2027"}}
	for _, line := range meant(head) {
		s.said(t, line)
	}
	section, want := "before", map[string][]string{}
	var out ledger.Result
	var problems []ledger.Problem
	for _, line := range meant(lines) {
		switch line {
		case "record", "taken", "after", "says":
			section = line
			continue
		}
		switch section {
		case "before":
			if !s.said(t, line) {
				_, problems := s.take(s.act(t, line))
				require.Empty(t, problems, line)
			}
		case "record":
			out, problems = s.take(s.act(t, line))
		default:
			want[section] = append(want[section], line)
		}
	}
	got := map[string][]string{}
	for _, p := range problems {
		got["says"] = append(got["says"], fmt.Sprintf("refused: found %s, expected %s", p.Found, p.Expected))
	}
	if len(problems) == 0 {
		got["says"] = out.Warnings
		for _, e := range out.Entries {
			for _, m := range e.Moves {
				got["taken"] = append(got["taken"], fmt.Sprintf("%s %s: %s from %s to %s", e.At.Format("01-02 15:04"), e.Kind, s.say(m.Lot, m.Tag, m.Quantity), m.From, m.To))
			}
		}
		for _, tag := range slices.Sorted(maps.Keys(out.Opened)) {
			got["taken"] = append(got["taken"], fmt.Sprintf("%s is open from %s on", tag, out.Opened[tag]))
		}
	}
	outside, balances := ledger.OutsideOf(&s.book), s.balances()
	for _, k := range inOrder(balances) {
		if balances[k] != 0 && !outside[k.Place] {
			got["after"] = append(got["after"], s.say(k.Lot, k.Tag, balances[k])+" in "+k.Place)
		}
	}
	for _, section := range []string{"taken", "after", "says"} {
		require.Equal(t, strings.Join(want[section], "\n"), strings.Join(got[section], "\n"), "%s: %s", name, section)
	}
	s.sound(t, name)
}

// meant leaves out what is only for the reader: blank lines and those that begin with #.
func meant(text string) (lines []string) {
	for line := range strings.Lines(text) {
		if line = strings.Join(strings.Fields(line), " "); line != "" && !strings.HasPrefix(line, "#") {
			lines = append(lines, line)
		}
	}
	return lines
}

func inOrder(m map[ledger.Key]units.Quantity) []ledger.Key {
	return slices.SortedFunc(maps.Keys(m), func(a, b ledger.Key) int {
		return cmp.Or(cmp.Compare(a.Place, b.Place), cmp.Compare(a.Lot, b.Lot), cmp.Compare(a.Tag, b.Tag))
	})
}

// said takes a line that says what there is, without a time; ok is false for all others.
func (s *shop) said(t *testing.T, line string) bool {
	t.Helper()
	head, more, _ := strings.Cut(line, ", ")
	w := strings.Fields(head)
	facts := strings.Split(more, ", ")
	if more == "" {
		facts = nil
	}
	fact := func(prefix string) string {
		for i, f := range facts {
			if v, ok := strings.CutPrefix(f, prefix+" "); ok {
				facts = slices.Delete(facts, i, i+1)
				return v
			}
		}
		return ""
	}
	b := &s.book
	switch w[0] {
	case "place": // place T-D01 drawer, in T
		b.Places = append(b.Places, planner.Place{Code: w[1], Kind: w[2], In: fact("in")})
	case "part": // part OIL in ml, truck T-L01, workshop W-L01, months once opened 6, density 0.85
		p := planner.Part{Code: w[1], Unit: units.Unit(w[3]), HomeInTruck: fact("truck"), HomeInWorkshop: fact("workshop")}
		if v := fact("months once opened"); v != "" {
			n, err := strconv.Atoi(v)
			require.NoError(t, err, line)
			p.MonthsAfterOpening = &n
		}
		if v := fact("density"); v != "" {
			d := decimal.RequireFromString(v)
			b.Liquids = append(b.Liquids, planner.Liquid{Part: p.Code, DensityGML: &d})
		}
		b.Parts = append(b.Parts, p)
	case "trip": // trip ALPS by truck T, or by air, or by home
		trip := planner.Trip{Code: w[1], GoesBy: w[3]}
		if len(w) > 4 {
			trip.Truck = w[4]
		}
		b.Trips = append(b.Trips, trip)
	case "round": // round ONE of ALPS
		b.Rounds = append(b.Rounds, planner.Round{Code: w[1], Trip: w[3]})
	case "service": // service LLS, 2 of WASHER, 40 ml of OIL and 15 %
		b.Services = append(b.Services, planner.Service{Code: w[1]})
		for _, f := range facts {
			usual, allowance, _ := strings.Cut(f, " and ")
			what, q := s.amount(t, usual)
			l := planner.ServiceLine{Service: w[1], Part: what, Typical: &q}
			if allowance != "" {
				percent := decimal.RequireFromString(strings.TrimSuffix(allowance, " %"))
				l.AllowancePercent = &percent
			}
			b.ServiceLines = append(b.ServiceLines, l)
		}
		facts = nil
	case "alternative": // alternative COPPER for WASHER
		b.Alternatives = append(b.Alternatives, planner.Alternative{Part: w[3], Alternative: w[1]})
	case "lot": // lot A of WASHER, received 2027-04-01, good until 2027-12-31
		b.Lots = append(b.Lots, planner.Lot{Code: w[1], Part: w[3], ReceivedOn: date(t, fact("received")), ExpiresOn: date(t, fact("good until"))})
	case "tag": // tag B-1 of A, opened 2027-05-20, tare 100 g
		tag := planner.Tag{Code: w[1], Lot: w[3], Part: s.part(w[3]), OpenedOn: date(t, fact("opened"))}
		if v := fact("tare"); v != "" {
			mass, err := units.ParseMass(v)
			require.NoError(t, err, line)
			tag.TareMG = &mass
		}
		b.Tags = append(b.Tags, tag)
	default:
		return false
	}
	require.Empty(t, facts, line)
	return true
}

func date(t *testing.T, text string) *day.Day {
	t.Helper()
	if text == "" {
		return nil
	}
	on, err := day.Parse(text)
	require.NoError(t, err)
	return &on
}

var timed = regexp.MustCompile(`^(\d\d-\d\d \d\d:\d\d) (.*)$`)

func (s *shop) at(t *testing.T, line string) (at time.Time, rest string) {
	t.Helper()
	m := timed.FindStringSubmatch(line)
	require.NotNil(t, m, "found %q, expected a time as 06-05 18:55 and what was done", line)
	at, err := time.Parse("2006-01-02 15:04", "2027-"+m[1])
	require.NoError(t, err, line)
	return at, m[2]
}

// act reads what somebody did at a time.
func (s *shop) act(t *testing.T, line string) act {
	t.Helper()
	at, what := s.at(t, line)
	head, rest, ok := strings.Cut(what, ": ")
	require.True(t, ok, "found %q, expected a colon after what was done", line)
	verb, object, _ := strings.Cut(head, " ")
	a := act{at: at, kind: verb}
	switch verb {
	case "job": // job in ONE: 4 of WASHER, 2 of OIL from T-D02; or what it usually takes: job in ONE: LLS
		a.job = &planner.Job{Service: rest, Round: strings.TrimPrefix(object, "in ")}
		if strings.Contains(rest, " of ") {
			a.job.Service = "REPAIR"
			for _, u := range strings.Split(rest, ", ") {
				u, from, _ := strings.Cut(u, " from ")
				what, q := s.amount(t, u)
				a.parts = append(a.parts, planner.JobPart{Part: what, Quantity: &q, From: from})
			}
		}
	case "count": // count: 10 of WASHER in T-D01
		amount, place, ok := strings.Cut(rest, " in ")
		require.True(t, ok, line)
		what, q := s.amount(t, amount)
		a.count = &planner.Count{Part: what, Place: place, Counted: q}
	case "weigh": // weigh B-1: 450 g
		mass, err := units.ParseMass(rest)
		require.NoError(t, err, line)
		a.weighing = &planner.Weighing{Tag: object, GrossMG: mass}
	case "undo": // undo: job of 06-05 19:05
		kind, when, ok := strings.Cut(rest, " of ")
		require.True(t, ok, line)
		then, _ := s.at(t, when+" .")
		for i, e := range s.held {
			if e.Kind == kind && e.At.Equal(then) && e.Reference == "" {
				a.undo = &s.held[i]
			}
		}
		require.NotNil(t, a.undo, line)
	default: // move, receipt, scrap, lend, open kit, pack for FAR: 4 of WASHER from T-D01 to T-D02
		a.kind, a.reference, _ = strings.Cut(head, " for ")
		for _, row := range strings.Split(rest, ", ") {
			row, to, ok := strings.Cut(row, " to ")
			require.True(t, ok, line)
			amount, from, ok := strings.Cut(row, " from ")
			require.True(t, ok, line)
			what, q := s.amount(t, amount)
			m := planner.Movement{Part: what, Quantity: q, From: from, To: to}
			if tag := s.tag(what); tag.Code != "" {
				m.Part, m.Lot, m.Tag = tag.Part, tag.Lot, tag.Code
			} else if l := s.lot(what); l.Code != "" {
				m.Part, m.Lot = l.Part, l.Code
			}
			a.movements = append(a.movements, m)
		}
	}
	return a
}

// amount reads "40 ml of OIL"; what may be a part, a lot or a tag.
func (s *shop) amount(t *testing.T, text string) (what string, q units.Quantity) {
	t.Helper()
	number, what, ok := strings.Cut(text, " of ")
	require.True(t, ok, "found %q, expected an amount as 4 of WASHER", text)
	q, err := units.ParseQuantity(number, s.unit(what))
	require.NoError(t, err, text)
	return what, q
}

func (s *shop) unit(what string) units.Unit {
	part := what
	if tag := s.tag(what); tag.Code != "" {
		part = tag.Part
	} else if l := s.lot(what); l.Code != "" {
		part = l.Part
	}
	i := slices.IndexFunc(s.book.Parts, func(p planner.Part) bool { return p.Code == part })
	if i < 0 {
		return units.PC
	}
	return s.book.Parts[i].Unit
}

func (s *shop) say(lot, tag string, q units.Quantity) string {
	return units.Say(q, s.unit(lot)) + " of " + cmp.Or(tag, lot)
}
