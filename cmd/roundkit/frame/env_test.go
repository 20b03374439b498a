package frame_test

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
)

// A command that works for more than two seconds says what it does, on a terminal only; a quick
// one says nothing, and may be done twice.
func TestWorkingIsShownAfterTwoSeconds(t *testing.T) {
	t.Parallel()
	said := func(terminal bool, works time.Duration) string {
		var err bytes.Buffer
		env := frame.Env{Err: &err, ErrTerminal: terminal, Lookup: func(string) (string, bool) { return "", false }}
		done := env.Working(t.Context(), "choosing the load")
		time.Sleep(works)
		done()
		done()
		return err.String()
	}
	require.Empty(t, said(true, time.Millisecond))
	require.Empty(t, said(false, 2500*time.Millisecond))
	require.Contains(t, said(true, 2500*time.Millisecond), "choosing the load")
}
