package reorder

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/order"
)

// What a spreadsheet may take for a formula, also behind blanks (a space, U+00A0) and signs
// that nobody sees (NUL, U+FEFF), gets an apostrophe; the rest stays. Cases by hand.
func TestGuarded(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"=1", "+1", "-1", "@x", "\tx", "\rx", " =1", "\u00a0=1", "\x00=1", "\ufeff@x", " \u00a0\x00+1", "\n-1"} {
		require.Equal(t, "'"+text, guarded(text), "%q", text)
	}
	for _, text := range []string{"", " ", "WIP-40", "S-4010-L", " a=b", "ö=1"} {
		require.Equal(t, text, guarded(text), "%q", text)
	}
}

// Lines end with CR LF: RFC 4180, section 2, rule 1.
func TestCSVLineEnds(t *testing.T) {
	t.Parallel()
	var out bytes.Buffer
	r := order.Result{Orders: []order.Order{{Supplier: planner.Supplier{Code: "SRN"}, Lines: []order.Line{{Packs: 2}}}}}
	require.NoError(t, WriteCSV(&out, r, "SRN"))
	require.Equal(t, 2, bytes.Count(out.Bytes(), []byte("\r\n")))
	require.Equal(t, 2, bytes.Count(out.Bytes(), []byte("\n")))
}
