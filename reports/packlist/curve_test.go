package packlist_test

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"io"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/load"
	"roundkit/reports/packlist"
	"roundkit/testdata/season"
)

// The curve stands on a sheet of its own with a native chart of its figures, and as a
// picture that is well-formed.
func TestCurveSheetAndPicture(t *testing.T) {
	t.Parallel()
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 5, 31))
	require.NoError(t, err)
	o, err := forecast.New(s)
	require.NoError(t, err)
	ask := load.Options{Trip: "TR-ALP", Draws: -1}
	r, err := load.Plan(t.Context(), o, ask)
	require.NoError(t, err)
	c, err := load.CurveOf(t.Context(), o, ask, 12)
	require.NoError(t, err)
	var book bytes.Buffer
	require.NoError(t, packlist.WriteCurve(&book, r, nil, c))
	f, err := excelize.OpenReader(bytes.NewReader(book.Bytes()))
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	rows, err := f.GetRows("kilos", excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	points := 0
	for _, row := range rows {
		if len(row) == 4 && row[0] != "up to kg" {
			points++
		}
	}
	require.Equal(t, 12, points)
	z, err := zip.NewReader(bytes.NewReader(book.Bytes()), int64(book.Len()))
	require.NoError(t, err)
	charts, drawn := 0, 0
	for _, part := range z.File {
		in, err := part.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(in)
		require.NoError(t, err)
		if strings.HasPrefix(part.Name, "xl/charts/chart") && bytes.Contains(text, []byte("scatterChart")) {
			charts++
		}
		if strings.HasPrefix(part.Name, "xl/worksheets/sheet") && bytes.Contains(text, []byte("<drawing ")) {
			drawn++
		}
	}
	require.Equal(t, []int{1, 1}, []int{charts, drawn}, "a chart, and a sheet that shows it")

	var picture bytes.Buffer
	require.NoError(t, packlist.Picture(&picture, r, c))
	d := xml.NewDecoder(&picture)
	lines := 0
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		if e, ok := token.(xml.StartElement); ok && e.Name.Local == "polyline" {
			for _, a := range e.Attr {
				if a.Name.Local == "points" {
					lines = len(strings.Fields(a.Value))
				}
			}
		}
	}
	require.Equal(t, 12, lines, "a corner for each point")
}
