package frame

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"
)

// read parses args as the app does, for a command with every common option.
func read(t *testing.T, args ...string) (got Options, err error) {
	t.Helper()
	command := &cli.Command{
		Name:   "all",
		Flags:  Flags(Rounds, Trip, Season, Confidence, At, By, When, Database, JSON, Out, AsOf, DryRun),
		Action: func(c *cli.Context) error { got, err = ReadOptions(c); return nil },
	}
	// Hidden as in the app: the library's help options are shared by all of a process, and are written to.
	command.HideHelp = true
	app := &cli.App{Name: "roundkit", Commands: []*cli.Command{command}, DisableSliceFlagSeparator: true, HideHelp: true}
	require.NoError(t, app.Run(append([]string{"roundkit", "all"}, args...)))
	return got, err
}

func TestReadOptions(t *testing.T) {
	t.Parallel()
	got, err := read(t)
	require.NoError(t, err)
	require.Zero(t, got)

	got, err = read(t, "--round=KAR", "--round=A,B", "--trip= TR-ALP ", "--confidence=80%", "--as-of=2027-06-05", "--db=demo_2", "--json")
	require.NoError(t, err)
	require.Equal(t, []string{"KAR", "A,B"}, got.Rounds)
	require.Equal(t, "TR-ALP", got.Trip)
	require.InDelta(t, 0.8, got.Confidence, 1e-15)
	require.Equal(t, "2027-06-05", got.AsOf.String())
	require.True(t, got.JSON)
	require.False(t, got.DryRun)
}

func TestReadOptionsNamesAllFaults(t *testing.T) {
	t.Parallel()
	_, err := read(t, "--confidence=95", "--as-of=yesterday", "--trip=", "--round=")
	require.ErrorIs(t, err, ErrUsage)
	for _, want := range []string{
		`option --confidence: found "95", expected a chance above 0 and below 1, such as 0.95 or 95%`,
		"option --as-of: ", `"yesterday"`,
		"option --trip: found nothing",
		"option --round: found nothing",
	} {
		require.ErrorContains(t, err, want)
	}
}

func TestParseChance(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]float64{"0.95": 0.95, "95%": 0.95, " 95 % ": 0.95, "0,8": 0.8, "99,5%": 0.995, "1e-9": 1e-9} {
		got, err := ParseChance(text)
		require.NoError(t, err, text)
		require.InDelta(t, want, got, 1e-15, text)
	}
	for _, text := range []string{"", "0", "1", "100%", "0%", "-0.5", "95", "NaN", "nan%", "Inf", "0.9.5", "five", "%"} {
		_, err := ParseChance(text)
		require.Error(t, err, text)
	}
}

func TestReport(t *testing.T) {
	t.Parallel()
	refused := errors.New("no round KRA; did you mean KAR?")
	tests := map[string]struct {
		err    error
		status int
		want   string
	}{
		"done":       {nil, 0, ""},
		"refused":    {refused, 1, "roundkit: no round KRA; did you mean KAR?\n"},
		"hint":       {WithHint(refused, "list them"), 1, "roundkit: no round KRA; did you mean KAR?\nhint: list them\n"},
		"hint below": {fmt.Errorf("pack: %w", WithHint(refused, "list them")), 1, "roundkit: pack: no round KRA; did you mean KAR?\nhint: list them\n"},
		"usage":      {fmt.Errorf("pack: %w", Usagef("found %d", 2)), 2, "roundkit: pack: found 2\n"},
		"usage kept": {WithHint(Usagef("found 2"), "a", "b"), 2, "roundkit: found 2\nhint: a\nhint: b\n"},
		"failed":     {ErrFailed, 1, ""},
		"stopped":    {fmt.Errorf("load: %w", context.Canceled), 1, "roundkit: stopped\n"},
		"all faults": {errors.Join(refused, errors.New("sheet parts")), 1, "roundkit: no round KRA; did you mean KAR?\n  sheet parts\n"},
		"escapes":    {errors.New("no part \x1b[31mX\x07"), 1, "roundkit: no part [31mX\n"},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var out bytes.Buffer
			require.Equal(t, test.status, Report(&out, test.err))
			require.Equal(t, test.want, out.String())
		})
	}
	require.NoError(t, WithHint(nil, "nothing to hint at"))
}
