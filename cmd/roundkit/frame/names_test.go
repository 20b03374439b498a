package frame

import (
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"
)

func withNames() []*cli.Command {
	nothing := func(*cli.Context) error { return nil }
	return []*cli.Command{
		{Name: "move", ArgsUsage: "[PART QUANTITY | CASE]", Action: nothing, Flags: append(Flags(Database, JSON), &cli.StringFlag{Name: "to", Usage: "the `PLACE` it goes to"})},
		{Name: "count", ArgsUsage: "PLACE [PART=QUANTITY...]", Action: nothing, Flags: Flags(Database)},
		{Name: "log", ArgsUsage: "[WORDS...]", Action: nothing, Flags: Flags(Database)},
		{Name: "job", Subcommands: []*cli.Command{{Name: "log", ArgsUsage: "SERVICE", Action: nothing,
			Flags: append(Flags(Database), &cli.StringFlag{Name: "on", Usage: "the `ASSEMBLY`"}, &cli.StringSliceFlag{Name: "used", Usage: "`PART=QUANTITY` used"})}}},
	}
}

func TestNamesComplete(t *testing.T) {
	t.Parallel()
	names := Names{of: map[string][]string{"part": {"CRW-10", "WIP-40"}, "place": {"FC-1", "T-D01", "truck"}, "service": {"FSS", "LLS"}, "assembly": {"F01", "F02"}}}
	for name, test := range map[string]struct{ words, want []string }{
		"a place behind an option":  {[]string{"move", "CRW-10", "4", "--to", "t"}, []string{"T-D01", "truck"}},
		"a part or a case":          {[]string{"move", ""}, []string{"CRW-10", "WIP-40", "FC-1", "T-D01", "truck"}},
		"a quantity is no name":     {[]string{"move", "CRW-10", ""}, nil},
		"a place first":             {[]string{"count", "fc"}, []string{"FC-1"}},
		"then parts, however many":  {[]string{"count", "FC-1", "CRW-10=1", "w"}, []string{"WIP-40"}},
		"a service":                 {[]string{"job", "log", "l"}, []string{"LLS"}},
		"a fork":                    {[]string{"job", "log", "LLS", "--on", "f"}, []string{"F01", "F02"}},
		"a part that was used":      {[]string{"job", "log", "LLS", "--used", "wi"}, []string{"WIP-40"}},
		"anything on a line":        {[]string{"log", "lls", "f"}, []string{"FSS", "F01", "F02", "FC-1"}},
		"a database is not kept":    {[]string{"log", "--db", ""}, nil},
		"a command before its name": {[]string{"mo"}, []string{"move"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, test.want, append([]string(nil), Candidates(withNames(), test.words, names)...))
		})
	}
}

// One name but for its capitals is meant; two are not guessed between.
func TestFolded(t *testing.T) {
	t.Parallel()
	names := Names{of: map[string][]string{"part": {"CRW-10", "ab", "AB"}, "tag": {"crw-10"}}}
	for _, c := range []struct {
		typed, want string
		ok          bool
		kinds       []string
	}{
		{"crw-10", "CRW-10", true, []string{"part"}}, {"aB", "aB", false, []string{"part"}}, {"crw-11", "crw-11", false, []string{"part"}},
		{"Crw-10", "Crw-10", false, []string{"part", "tag"}},
	} {
		got, ok := names.folded(c.kinds, c.typed)
		require.Equal(t, c.want, got)
		require.Equal(t, c.ok, ok, c.typed)
	}
}
