package near_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/near"
)

// Codes and names of the invented season's parts sheet.
func TestMissNamed(t *testing.T) {
	t.Parallel()
	known := []near.Named{{"WIP-40", "wiper, 40 mm leg"}, {"OSL-40", "oil seal, 40 mm leg"}, {"OSL-40B", "oil seal, 40 mm leg, plain-lip make"},
		{"CRW-10", "crush washer M10"}, {"CRW-10C", "crush washer M10, copper"}, {"OIL-B68", "bath oil, 68 cSt"}, {"RAG-LF", "lint-free wipe"}, {"X", ""}}
	for typed, want := range map[string]string{
		"WIP-4":        "no part WIP-4; did you mean WIP-40?",
		"wiper":        "no part wiper; did you mean WIP-40 (wiper, 40 mm leg)?",
		"Wipers":       "no part Wipers; did you mean WIP-40 (wiper, 40 mm leg)?",
		"wipre":        "no part wipre; did you mean WIP-40 (wiper, 40 mm leg), or RAG-LF (lint-free wipe)?",
		"crush washer": "no part crush washer; did you mean CRW-10 (crush washer M10), or CRW-10C (crush washer M10, copper)?",
		"oil":          "no part oil; did you mean OSL-40 (oil seal, 40 mm leg), or OSL-40B (oil seal, 40 mm leg, plain-lip make), or OIL-B68 (bath oil, 68 cSt)?",
		"40":           "no part 40; expected one of WIP-40, OSL-40, OSL-40B, CRW-10, CRW-10C, OIL-B68, RAG-LF, X",
		"stanchion":    "no part stanchion; expected one of WIP-40, OSL-40, OSL-40B, CRW-10, CRW-10C, OIL-B68, RAG-LF, X",
	} {
		require.EqualError(t, near.MissNamed("part", typed, known), want)
	}
	require.EqualError(t, near.MissNamed("part", "WIP-40", nil), "no part WIP-40; there is no part yet")
}
