package frame

import (
	"bytes"
	"context"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func asking(in io.Reader, columns int) (*Env, *bytes.Buffer) {
	var errs bytes.Buffer
	return &Env{In: in, Out: io.Discard, Err: &errs, InTerminal: true, ErrTerminal: true, OutTerminal: true, TerminalColumns: columns,
		Lookup: func(string) (string, bool) { return "", false }}, &errs
}

// A question is answered by a line; the end of the input and Ctrl-C are no answer, and are
// heeded at once, though nothing was typed.
func TestAsk(t *testing.T) {
	t.Parallel()
	env, errs := asking(strings.NewReader(" two \n\nhalf"), 80)
	text, err := env.Ask(t.Context(), "how many?")
	require.NoError(t, err)
	require.Equal(t, "two", text)
	text, err = env.Ask(t.Context(), "how many?")
	require.NoError(t, err)
	require.Empty(t, text, "Enter is an answer")
	_, err = env.Ask(t.Context(), "how many?")
	require.ErrorIs(t, err, ErrStopped, "Ctrl-D is none")
	_, err = env.Ask(t.Context(), "how many?")
	require.ErrorIs(t, err, ErrStopped)
	require.Equal(t, Refused, Report(errs, err))
	require.Contains(t, errs.String(), "roundkit: stopped, nothing recorded\n")

	silent, w := io.Pipe()
	defer w.Close()
	env, _ = asking(silent, 80)
	ctx, stop := context.WithCancel(t.Context())
	time.AfterFunc(10*time.Millisecond, stop)
	start := time.Now()
	_, err = env.Ask(ctx, "how many?")
	require.ErrorIs(t, err, ErrStopped)
	require.Less(t, time.Since(start), 5*time.Second, "nothing was typed, and it ends")
}

// Only a yes is one.
func TestSure(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]bool{"y\n": true, "Yes\n": true, "\n": false, "n\n": false, "ye\n": false} {
		env, errs := asking(strings.NewReader(typed), 80)
		got, err := env.Sure(t.Context(), "Record it all the same?")
		require.NoError(t, err)
		require.Equal(t, want, got, typed)
		require.Equal(t, "Record it all the same? [y/N] ", errs.String())
	}
}

// A question is broken between words where the terminal is narrow.
func TestAskWraps(t *testing.T) {
	t.Parallel()
	env, errs := asking(strings.NewReader("\n"), 30)
	_, err := env.Ask(t.Context(), "  WIP-40, wiper, 40 mm leg: replaced? [N/y = 2, or how many]")
	require.NoError(t, err)
	require.Equal(t, "  WIP-40, wiper, 40 mm leg:\nreplaced? [N/y = 2, or how\nmany] ", errs.String())
}
