package app

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
)

// The curve of the fly-away: a longer list never weighs less nor is less ready, the same
// points stand in JSON, on the sheet with its chart, and a picture is a picture.
func TestCurveOfATrip(t *testing.T) {
	t.Parallel()
	run := person(t, seasonURL(t, nil))
	curve := reads[answer.Curve](t, run, "pack TR-TES --alone --curve")
	require.Greater(t, len(curve.Points), 10)
	for i := 1; i < len(curve.Points); i++ {
		require.Greater(t, curve.Points[i].LimitKG, curve.Points[i-1].LimitKG)
		require.LessOrEqual(t, curve.Points[i].KG, curve.Points[i].LimitKG+1e-9)
		require.GreaterOrEqual(t, curve.Points[i].Readiness, curve.Points[i-1].Readiness)
	}
	text, _ := run(frame.Done, "pack", "TR-TES", "--alone", "--curve")
	require.Contains(t, strings.Join(strings.Fields(text), " "), "TR-TES: 15.1 kg as asked for, ready with 90 %",
		"the answer first, of the points below it")
	require.InDelta(t, reads[answer.Pack](t, run, "pack TR-TES --alone").Readiness.ProductWithoutShort, curve.Readiness, 1e-12)

	sheet, picture := filepath.Join(t.TempDir(), "curve.xlsx"), filepath.Join(t.TempDir(), "curve.svg")
	run(frame.Done, "pack", "TR-TES", "--alone", "--curve", "--out", sheet)
	f, err := excelize.OpenFile(sheet)
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	require.Contains(t, f.GetSheetList(), "kilos")
	run(frame.Done, "pack", "TR-TES", "--alone", "--curve", "--out", picture)
	svg, err := os.ReadFile(picture)
	require.NoError(t, err)
	require.Contains(t, string(svg), "<polyline")
}
