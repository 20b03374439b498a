package check

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A case that wants nothing of the answer shows nothing: it fails, and says so.
func TestWantNamesAField(t *testing.T) {
	t.Parallel()
	for _, want := range []string{`{}`, `{"error":false}`} {
		r := RunLine([]byte(`{"calc":"negative-binomial","in":{"r":2,"p":0.5,"x":[0]},"want":`+want+`}`), 1)
		require.False(t, r.Pass, want)
		require.Nil(t, r.Error)
		require.Contains(t, r.Differs, "want names no field")
	}
}
