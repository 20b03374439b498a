package house_test

import (
	"bytes"
	"image"
	"image/png"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"roundkit/reports/house"
)

// The same content gives the same bytes, also with a picture, a chart and several sheets,
// whose kinds the library lists in no fixed order; and it is still a spreadsheet.
func TestSameBytes(t *testing.T) {
	t.Parallel()
	written := func() []byte {
		f := excelize.NewFile()
		defer func() { require.NoError(t, f.Close()) }()
		for _, name := range []string{"B", "C", "D"} {
			_, err := f.NewSheet(name)
			require.NoError(t, err)
		}
		require.NoError(t, f.SetCellValue("C", "A1", 3))
		var picture bytes.Buffer
		require.NoError(t, png.Encode(&picture, image.NewGray(image.Rect(0, 0, 2, 2))))
		require.NoError(t, f.AddPictureFromBytes("B", "B2", &excelize.Picture{Extension: ".png", File: picture.Bytes()}))
		require.NoError(t, f.AddChart("D", "B2", &excelize.Chart{Type: excelize.Bar, Series: []excelize.ChartSeries{{Values: "C!$A$1:$A$1"}}}))
		var b bytes.Buffer
		require.NoError(t, house.Write(&b, f))
		return b.Bytes()
	}
	first := written()
	for range 20 {
		require.Equal(t, first, written())
	}
	f, err := excelize.OpenReader(bytes.NewReader(first))
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	got, err := f.GetCellValue("C", "A1")
	require.NoError(t, err)
	require.Equal(t, "3", got)
	pictures, err := f.GetPictures("B", "B2")
	require.NoError(t, err)
	require.Len(t, pictures, 1)
}
