package words_test

import (
	"fmt"
	"math/big"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
	"roundkit/planner/words"
)

// The evening's lines as people type them: what each means, or why it is refused. By hand,
// against the sheets of the invented season: 43 g / 0.872 g/ml = 49.312 ml.
func TestEvening(t *testing.T) {
	t.Parallel()
	_, b, now := evening(t)
	text, err := os.ReadFile("../../testdata/bench-evening/lines.txt")
	require.NoError(t, err)
	understood, refused := 0, 0
	for n, row := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		if row == "" || row[0] == '#' {
			continue
		}
		line, want, ok := strings.Cut(row, " => ")
		if !ok {
			line, want, ok = strings.Cut(row, " ?? ")
			require.True(t, ok, "line %d: %s", n+1, row)
			refused++
			r := b.Read(line, now)
			require.False(t, r.Understood(), "line %d: %s means %s", n+1, line, b.Short(r.Meaning))
			require.Equal(t, want, r.Faults[0].Error(), "line %d: %s", n+1, line)
			continue
		}
		understood++
		r := b.Read(line, now)
		require.Empty(t, r.Faults, "line %d: %s", n+1, line)
		require.Equal(t, want, b.Short(r.Meaning), "line %d: %s", n+1, line)
	}
	const lines, least = 150, 40
	require.GreaterOrEqual(t, understood+refused, lines)
	require.GreaterOrEqual(t, refused, least)
}

// said are the amounts that an echo names, by part, in base units: read from its text
// alone.
func said(t require.TestingT, s *planner.Snapshot, echo string) map[string]units.Quantity {
	unit := map[string]units.Unit{}
	for _, p := range s.Parts {
		unit[p.Code] = p.Unit
	}
	out := map[string]units.Quantity{}
	echo, _, _ = strings.Cut(echo, "; note ")
	for _, m := range regexp.MustCompile(`([A-Z0-9][A-Z0-9-]+) ([0-9][0-9.]*)( ml| g)?`).FindAllStringSubmatch(echo, -1) {
		u, ok := unit[m[1]]
		if !ok {
			continue
		}
		q, err := units.ParseQuantity(m[2]+m[3], u)
		require.NoError(t, err, echo)
		out[m[1]] += q
	}
	return out
}

// taken is what the record of a meaning takes, by part.
func taken(t require.TestingT, s *planner.Snapshot, m words.Meaning) map[string]units.Quantity {
	out := map[string]units.Quantity{}
	if m.Kind != words.Job {
		for _, u := range m.Used {
			out[u.Part] += u.Quantity
		}
		return out
	}
	rows, err := ledger.JobParts(&planner.Book{Plan: s.Plan, Catalogue: s.Catalogue}, m.Service, m.Assembly, m.Used, m.Not)
	require.NoError(t, err)
	for _, r := range rows {
		if r.Part != "" {
			out[r.Part] += *r.Quantity
		}
	}
	return out
}

// holds checks what must be true of any line: it is understood or has a reason; what is
// understood takes exactly what its echo says, and its own short form means the same.
func holds(t require.TestingT, s *planner.Snapshot, b *words.Bench, line string, r words.Reading, again func(string) words.Reading) {
	if !r.Understood() {
		for _, f := range r.Faults {
			require.NotEmpty(t, strings.TrimSpace(f.Error()), line)
		}
		return
	}
	echo := b.Say(r.Meaning)
	require.NotContains(t, echo, "\n")
	require.Equal(t, taken(t, s, r.Meaning), said(t, s, echo), "%s: %s", line, echo)
	short := again(b.Short(r.Meaning))
	require.Empty(t, short.Faults, "%q is short for %q", b.Short(r.Meaning), line)
	require.Equal(t, b.Say(r.Meaning), b.Say(short.Meaning), line)
	require.Equal(t, b.Long(r.Meaning), b.Long(short.Meaning), line)
}

// Lines of words that a bench has, in any order: whatever is understood takes what its echo
// says.
func TestNothingBeyondTheEcho(t *testing.T) {
	t.Parallel()
	s, b, now := evening(t)
	var some []string
	for _, p := range s.Parts {
		some = append(append(some, p.Code), strings.Fields(p.Name)...)
	}
	for _, v := range s.Services {
		some = append(append(some, v.Code, v.Code), strings.Fields(v.Name)...)
	}
	for _, a := range s.Assemblies {
		some = append(some, a.Code)
	}
	for _, p := range s.Places {
		some = append(append(some, p.Code), strings.Fields(p.Name)...)
	}
	amounts := []string{"2", "1", "43g", "0.5 l", "12 cc", "3 pc", "=2", "=43 g", "1 bottle", "x2", "53 lb/in", "68 cst", "48"}
	glue := []string{"no", "to", "from", "at", "count", "move", "lend", "scrap", "receive", "weigh", "open", "swap", "by u1", "yesterday 22:10", "18:55", "2 h ago", "and",
		"pim", "teo's", "fork", "B-104", "SPF-84#1", "wip", "oil", "grease", "kit", "spring"}
	understood := 0
	rapid.Check(t, func(t *rapid.T) {
		var line []string
		if rapid.Bool().Draw(t, "begun") { // as most lines do
			line = append(line, rapid.SampledFrom([]string{"lls f03", "dmp f07", "shk s02", "air s05", "fss f01", "wsh ym-a", "swf f05 53", "count t-d03", "move to t-l01", "scrap", "lend to lent-1"}).Draw(t, "first"))
		}
		for range rapid.IntRange(0, 6).Draw(t, "many") {
			line = append(line, rapid.SampledFrom([][]string{some, amounts, glue}[rapid.IntRange(0, 2).Draw(t, "of")]).Draw(t, "word"))
		}
		text := strings.Join(line, " ")
		r := b.Read(text, now)
		if r.Understood() {
			understood++
		}
		holds(t, s, b, text, r, func(l string) words.Reading { return b.Read(l, now) })
	})
	require.Positive(t, understood)
}

func FuzzLine(f *testing.F) {
	s, b, now := evening(f)
	text, err := os.ReadFile("../../testdata/bench-evening/lines.txt")
	require.NoError(f, err)
	for _, row := range strings.Split(string(text), "\n") {
		line, _, _ := strings.Cut(row, " => ")
		line, _, _ = strings.Cut(line, " ?? ")
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) {
		holds(t, s, b, line, b.Read(line, now), func(l string) words.Reading { return b.Read(l, now) })
	})
}

// Words stand in any order and case.
func TestAnyOrderAnyCase(t *testing.T) {
	t.Parallel()
	_, b, now := evening(t)
	parts := []string{"lls", "f03", "wip=2", "oil=43g", "no gloves", "yesterday 22:10", "by dunja"}
	want := b.Read(strings.Join(parts, " "), now)
	require.Empty(t, want.Faults)
	rapid.Check(t, func(t *rapid.T) {
		line := strings.Join(rapid.Permutation(parts).Draw(t, "order"), " ")
		if rapid.Bool().Draw(t, "loud") {
			line = strings.ToUpper(line)
		}
		got := b.Read(line, now)
		require.Empty(t, got.Faults, line)
		require.ElementsMatch(t, want.Used, got.Used, line)
		got.Used = want.Used
		require.Equal(t, want.Meaning, got.Meaning, line)
	})
}

// A choice takes the place of what could mean two things.
func TestChoices(t *testing.T) {
	t.Parallel()
	_, b, now := evening(t)
	for line, want := range map[string]string{
		"lls pim wip=2":      "LLS F08 WIP-40=2", // the second fork
		"lls f03 foot nut":   "LLS F03 FNB-10=1", // the nut, not its seal
		"lls":                "LLS F02",          // which fork
		"count t-d03 24 crw": "count at T-D03 CRW-10C=24",
	} {
		r := b.Read(line, now)
		require.False(t, r.Understood(), line)
		f := r.Faults[0]
		require.Greater(t, len(f.Choices), 1, line)
		again := b.Read(r.With(f, f.Choices[1]), now)
		require.Empty(t, again.Faults, line)
		require.Equal(t, want, b.Short(again.Meaning), line)
	}
}

// Grams go through the oil's density. By hand: 43 g / 0.872 g/ml = 49.3119... ml.
func TestGrams(t *testing.T) {
	t.Parallel()
	_, b, now := evening(t)
	r := b.Read("lls f03 oil=43g", now)
	want, _ := new(big.Rat).Quo(big.NewRat(43, 1), big.NewRat(872, 1000)).Float64()
	require.InDelta(t, want, units.ToFloat(r.Used[0].Quantity, units.ML), 0.0005)
	require.Equal(t, "49.312", fmt.Sprint(units.ToFloat(r.Used[0].Quantity, units.ML)))
}

// A season of 1,000 parts: 62 are the invented season's, the rest stand beside them.
func BenchmarkLine(b *testing.B) {
	s, _, now := evening(b)
	const many = 1000
	for i := len(s.Parts); i < many; i++ {
		p := s.Parts[i%62]
		p.Code = fmt.Sprintf("%s-%03d", strings.Split(p.Code, "-")[0], i)
		s.Parts = append(s.Parts, p)
	}
	bench := words.New(s)
	const line = "LLS F03 wip-40=2 oil=43g no gloves, crush=2 yesterday 22:10 by dunja"
	require.Empty(b, bench.Read(line, now).Faults)
	b.Run("read", func(b *testing.B) {
		for b.Loop() {
			bench.Read(line, now)
		}
	})
	b.Run("made ready and read", func(b *testing.B) {
		for b.Loop() {
			words.New(s).Read(line, now)
		}
	})
}
