package labels_test

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"roundkit/planner/day"
	"roundkit/planner/place"
	"roundkit/reports/labels"
	"roundkit/testdata/season"
)

const modulePixels, quiet = 8, 4

// Every label of the invented season: the picture on the sheet, read by a reader written
// from the standard, says what the label says, and so do the words beside it.
func TestEveryCodeReads(t *testing.T) {
	t.Parallel()
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 6, 5))
	require.NoError(t, err)
	tree, err := place.New(s.Places, s.Assemblies)
	require.NoError(t, err)
	list, err := tree.Labels("", nil, s.Cases)
	require.NoError(t, err)
	require.Len(t, list, 21, "4 workshop drawers, 12 places in the truck, 5 cases (scenario, section 7)")
	var file bytes.Buffer
	require.NoError(t, labels.Write(&file, list, "=team & co"))
	f, err := excelize.OpenReader(&file)
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	for i, l := range list {
		picture, err := excelize.CoordinatesToCellName(i%2*3+1, i/2+1)
		require.NoError(t, err)
		words, err := excelize.CoordinatesToCellName(i%2*3+2, i/2+1)
		require.NoError(t, err)
		found, err := f.GetPictures("labels", picture)
		require.NoError(t, err)
		require.Len(t, found, 1, picture)
		text, err := read(found[0].File, modulePixels, quiet)
		require.NoError(t, err, l.Code)
		require.Equal(t, labels.Text(l), text)
		require.Equal(t, l.Code, strings.Split(text, "\n")[0])
		cell, err := f.GetCellValue("labels", words)
		require.NoError(t, err)
		require.True(t, strings.HasPrefix(cell, l.Code+"\n"+l.Name), cell)
	}
	case5 := list[len(list)-1]
	require.Equal(t, "at most 32 kg; empty 8 kg; over 25 kg two people", case5.Mind)
}

// Any text that a label can have is read back whole.
func TestCodesReadBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := place.Label{Code: rapid.StringMatching(`[A-Z]-[0-9A-Z]{1,12}`).Draw(t, "code"), Name: rapid.String().Draw(t, "name"), In: rapid.StringN(0, 60, 200).Draw(t, "in")}
		text := labels.Text(l)
		require.LessOrEqual(t, len(text), 84)
		require.True(t, strings.HasPrefix(text, l.Code))
		picture, side, err := labels.Picture(text)
		require.NoError(t, err)
		require.Zero(t, side%modulePixels)
		got, err := read(picture, modulePixels, quiet)
		require.NoError(t, err)
		require.Equal(t, text, got)
	})
}

func TestLabelsRefuse(t *testing.T) {
	t.Parallel()
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 6, 5))
	require.NoError(t, err)
	tree, err := place.New(s.Places, s.Assemblies)
	require.NoError(t, err)
	_, err = tree.Labels("", []string{"T-D1", "FC1", "F01"}, s.Cases)
	require.ErrorContains(t, err, "T-D1; did you mean T-D01?")
	require.ErrorContains(t, err, "FC1; did you mean FC-1?")
	require.ErrorContains(t, err, "F01: found a fork, shock or bike")
	_, err = tree.Labels("turck", nil, s.Cases)
	require.ErrorContains(t, err, "did you mean truck?")
	_, _, err = labels.Picture(strings.Repeat("x", 5000))
	require.ErrorContains(t, err, "QR code of 5000 bytes")
}
