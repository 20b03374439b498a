package app

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/testdata/answers"
)

// TestPaperAnswers asks pack and reorder of a season that is small enough to be worked out
// with a pencil; the working stands beside each answer.
func TestPaperAnswers(t *testing.T) {
	t.Parallel()
	const folder = "../../../testdata/paper"
	all, err := answers.Read(os.DirFS(folder))
	require.NoError(t, err)
	require.Len(t, all, 21)
	url := loaded(t, folder)
	for _, a := range all {
		t.Run(a.ID, func(t *testing.T) {
			t.Parallel()
			env, out, errs := terminal(map[string]string{"DATABASE_URL": url})
			require.Equal(t, frame.Done, Run(t.Context(), env, a.Args()), errs)
			require.NoError(t, a.Check(out.Bytes()))
		})
	}
}
