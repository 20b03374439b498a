package packlist_test

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/papers"
	"roundkit/planner/units"
	"roundkit/reports/packlist"
	"roundkit/testdata/season"
)

// A part with an unknown UN number, one without a heading, one without an origin and one
// without a mass are each named on their list, marked where the blank is, and nothing is
// said to be within the limit.
func TestBlanksOfPapersAreNamed(t *testing.T) {
	t.Parallel()
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 5, 10))
	require.NoError(t, err)
	for i := range s.Parts {
		switch p := &s.Parts[i]; p.Code {
		case "CLN-AER":
			p.UNNumber = "9999"
		case "WIP-40":
			p.CustomsHeading = ""
		case "SPF-75":
			p.Origin = "Italy"
		case "SPR-435":
			p.MassMG = nil
		}
	}
	o, err := forecast.New(s)
	require.NoError(t, err)
	trip, err := o.Calendar.Trip("TR-GLE")
	require.NoError(t, err)
	p, err := papers.Of(o, trip, nil)
	require.NoError(t, err)
	require.False(t, p.Road.Within)
	var file bytes.Buffer
	require.NoError(t, packlist.WritePapers(&file, p))
	f, err := excelize.OpenReader(&file)
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	require.Equal(t, []string{"papers", "dangerous goods", "comes home", "used up", "personal"}, f.GetSheetList(), "by truck nothing is said of flying")
	text := map[string]string{}
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet)
		require.NoError(t, err)
		for _, row := range rows {
			text[sheet] += strings.Join(row, "\t") + "\n"
		}
	}
	for sheet, want := range map[string][]string{
		"papers":          {"used up, WIP-40: customs heading (HS code) blank", `comes home, SPF-75: country of origin: found "Italy"`, "comes home, SPR-435: weight not known", "2027-05-05", "2027-05-10"},
		"dangerous goods": {"NOT COUNTED, CLN-AER: UN 9999 is not in the table", "Not said to be within the limit", "a qualified dangerous-goods safety adviser decide"},
		"comes home":      {"closes on 2027-05-05 (Wednesday)", "SPR-435: weight not known", "never a clearance"},
		"used up":         {"closes on 2027-05-10 (Monday)", "WIP-40: customs heading (HS code) blank", "never a clearance"},
		"personal":        {"closes on 2027-05-10 (Monday)", "never a clearance"},
	} {
		for _, w := range want {
			require.Contains(t, text[sheet], w, sheet)
		}
	}
	// what stands on the sheet is what rides: the pieces of the list in all
	pieces := units.Quantity(0)
	for _, l := range p.Returnable.Lines {
		pieces += units.Quantity(l.Pieces)
	}
	last := ""
	rows, err := f.GetRows("comes home")
	require.NoError(t, err)
	for _, row := range rows {
		if len(row) > 2 && row[1] == "in all" {
			last = row[2]
		}
	}
	require.Equal(t, units.Say(pieces, units.PC), last)
}

// Where no border with customs is crossed there is no sheet for customs, and none is spoken of.
func TestNoBorderNoSheetsForCustoms(t *testing.T) {
	t.Parallel()
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 6, 1))
	require.NoError(t, err)
	no := false
	for i := range s.Trips {
		if s.Trips[i].Code == "TR-ALP" {
			s.Trips[i].Customs = &no
		}
	}
	o, err := forecast.New(s)
	require.NoError(t, err)
	trip, err := o.Calendar.Trip("TR-ALP")
	require.NoError(t, err)
	p, err := papers.Of(o, trip, nil)
	require.NoError(t, err)
	var file bytes.Buffer
	require.NoError(t, packlist.WritePapers(&file, p))
	f, err := excelize.OpenReader(&file)
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	require.Equal(t, []string{"papers", "dangerous goods"}, f.GetSheetList())
	rows, err := f.GetRows("papers")
	require.NoError(t, err)
	for _, row := range rows {
		require.NotContains(t, strings.Join(row, "\t"), "never a clearance")
	}
}
