package frame

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"
	"pgregory.net/rapid"
)

// someCommands has each kind of thing a command line can hold. The words are those of
// the program; what the commands do does not matter here.
func someCommands() []*cli.Command {
	return []*cli.Command{
		{Name: "pack", Flags: Flags(Out, Rounds, Confidence, JSON, Database)},
		{Name: "stock", Flags: Flags(At, JSON), Subcommands: nil},
		{Name: "count", Flags: append(Flags(DryRun), &cli.StringFlag{Name: "quantity"})},
		{Name: "db", Subcommands: []*cli.Command{
			{Name: "start", Flags: Flags(Database)},
			{Name: "status", Flags: Flags(JSON)},
		}},
	}
}

func TestTakeApart(t *testing.T) {
	t.Parallel()
	tests := map[string]struct{ typed, want string }{
		"option behind the argument": {"pack TR-ALP --out f", "pack --out=f -- TR-ALP"},
		"option before it":           {"pack --out f TR-ALP", "pack --out=f -- TR-ALP"},
		"option before the command":  {"--out f pack TR-ALP", "pack --out=f -- TR-ALP"},
		"with an equals sign":        {"pack TR-ALP --out=f", "pack --out=f -- TR-ALP"},
		"equals sign in the value":   {"pack --out a=b", "pack --out=a=b"},
		"empty value":                {"pack --out=", "pack --out="},
		"one dash":                   {"pack TR-ALP -json", "pack --json -- TR-ALP"},
		"switch takes nothing":       {"pack --json TR-ALP", "pack --json -- TR-ALP"},
		"switch with a value":        {"pack --json=false TR-ALP", "pack --json=false -- TR-ALP"},
		"repeated":                   {"pack --round A TR-ALP --round B", "pack --round=A --round=B -- TR-ALP"},
		"behind two dashes":          {"pack --json -- --out", "pack --json -- --out"},
		"subcommand":                 {"db --db demo start", "db start --db=demo"},
		"negative number as value":   {"count WIP-40 --quantity -3", "count --quantity=-3 -- WIP-40"},
		"negative number as word":    {"count WIP-40 -3", "count -- WIP-40 -3"},
		"a lone dash":                {"pack --out - -", "pack --out=- -- -"},
		"value that looks like one":  {"pack --out --nothing", "pack --out=--nothing"},
		"nothing":                    {"", ""},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			line, err := TakeApart(someCommands(), strings.Fields(test.typed))
			require.NoError(t, err)
			require.Equal(t, test.want, strings.Join(line.Args(), " "))
		})
	}
}

func TestTakeApartRefuses(t *testing.T) {
	t.Parallel()
	tests := []struct{ typed, want string }{
		{"pakc TR-ALP", `no command "pakc"; did you mean pack?`},
		{"frobnicate", `no command "frobnicate"`},
		{"db strat", `no command db "strat"; did you mean start?`},
		{"db frobnicate", `no command db "frobnicate", expected start or status`},
		{"db", "db: found nothing behind it, expected start or status"},
		{"pack --ou f", "pack has no option --ou; did you mean --out?"},
		{"pack --frobnicate", "pack has no option --frobnicate"},
		{"stock --out f", "stock has no option --out"},
		{"pack TR-ALP --out", "option --out: found nothing behind it, expected a value"},
		{"pack --out --json", "option --out: found --json behind it, expected a value"},
		{"pack --out -- f", "option --out: found -- behind it, expected a value"},
		{"pack --out a --out b", "option --out: found twice, expected once"},
		{"--json", "option --json stands without a command"},
	}
	for _, test := range tests {
		t.Run(test.typed, func(t *testing.T) {
			t.Parallel()
			_, err := TakeApart(someCommands(), strings.Fields(test.typed))
			require.EqualError(t, err, test.want)
			require.ErrorIs(t, err, ErrUsage)
		})
	}
}

// Where the options stand makes no difference: any mixture of the options and the
// arguments that keeps the order among each is the same line.
func TestTakeApartOrderFree(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.StringMatching(`[a-zA-Z0-9=.,/ -]{0,8}`).Filter(func(s string) bool {
			name, _, _ := optionOf(s)
			return !isOption(everyOption(someCommands()), name) && s != "--"
		})
		var options [][]string
		for range rapid.IntRange(0, 3).Draw(t, "rounds") {
			options = append(options, []string{"--round", value.Draw(t, "round")})
		}
		if rapid.Bool().Draw(t, "out") {
			options = append(options, []string{"--out=" + value.Draw(t, "out")})
		}
		if rapid.Bool().Draw(t, "json") {
			options = append(options, []string{"--json"})
		}
		words := rapid.SliceOfN(rapid.StringMatching(`[a-zA-Z0-9][a-zA-Z0-9=-]{0,6}|-[0-9]{1,3}`), 0, 3).Draw(t, "words")

		first := append([]string{"pack"}, slices.Concat(options...)...)
		first = append(first, words...)
		want, err := TakeApart(someCommands(), first)
		require.NoError(t, err)

		var mixed []string
		rest := append([]string{"pack"}, words...)
		for len(options) > 0 || len(rest) > 0 {
			if len(rest) == 0 || (len(options) > 0 && rapid.Bool().Draw(t, "option next")) {
				mixed, options = append(mixed, options[0]...), options[1:]
			} else {
				mixed, rest = append(mixed, rest[0]), rest[1:]
			}
		}
		got, err := TakeApart(someCommands(), mixed)
		require.NoError(t, err)
		require.Equal(t, want.Args(), got.Args(), "%q", mixed)
		require.Equal(t, words, append([]string{}, got.Arguments...))
	})
}

// Whatever is typed ends in a line that reads the same again, or in one line of wrong
// usage.
func FuzzTakeApart(f *testing.F) {
	for _, seed := range []string{
		"pack TR-ALP --out f", "pack --out", "-- --out", "db start --db=x y", "--json=x stock -", "pack -out=--json --",
	} {
		f.Add(strings.ReplaceAll(seed, " ", "\x00"))
	}
	f.Fuzz(func(t *testing.T, typed string) {
		line, err := TakeApart(someCommands(), strings.Split(typed, "\x00"))
		if err != nil {
			require.True(t, errors.Is(err, ErrUsage))
			return
		}
		if line.Help {
			return
		}
		again, err := TakeApart(someCommands(), line.Args())
		require.NoError(t, err)
		require.Equal(t, line.Args(), again.Args())
		require.LessOrEqual(t, len(line.Arguments), strings.Count(typed, "\x00")+1)
	})
}

func TestCandidates(t *testing.T) {
	t.Parallel()
	tests := map[string]struct {
		words []string
		want  []string
	}{
		"nothing typed":        {nil, []string{"pack", "stock", "count", "db"}},
		"a command begun":      {[]string{"s"}, []string{"stock"}},
		"subcommands":          {[]string{"db", ""}, []string{"start", "status"}},
		"an option begun":      {[]string{"pack", "TR-ALP", "--o"}, []string{"--out"}},
		"one given is not due": {[]string{"stock", "--json", "-"}, []string{"--at", "--help"}},
		"one that repeats is":  {[]string{"pack", "--round", "KAR", "--r"}, []string{"--round", "--replace"}},
		"a value is due":       {[]string{"pack", "--out", ""}, nil},
		"an argument is due":   {[]string{"pack", ""}, nil},
		"behind two dashes":    {[]string{"pack", "--", "--o"}, nil},
		"unknown command":      {[]string{"frobnicate", ""}, nil},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, test.want, append([]string(nil), Candidates(someCommands(), test.words, Names{})...))
		})
	}
}
