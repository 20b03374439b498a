package workbook_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/workbook"
)

// TestEverySheetAndColumnIsExplained: the row types and the table of meanings list the
// same sheets and columns in the same order.
func TestEverySheetAndColumnIsExplained(t *testing.T) {
	t.Parallel()
	sheets := workbook.Sheets()
	require.Len(t, sheets, 39, "the format's definition lists 39 sheets")
	var needed []string
	for _, s := range sheets {
		require.NotEmpty(t, s.Help, s.Name)
		for i, c := range s.Columns {
			require.NotEmpty(t, c.Help, "%s: %s", s.Name, c.Heading)
			require.Equal(t, i == len(s.Columns)-1, c.Heading == "notes", "%s: notes come last", s.Name)
		}
		require.Len(t, workbook.Example(s.Name), len(s.Columns), s.Name)
		if s.Needed {
			needed = append(needed, s.Name)
		}
	}
	require.Equal(t, []string{"season", "parts", "services", "service-lines", "rounds", "planned-jobs", "stock"}, needed)
	explained := workbook.ExplainedHeadings()
	for _, s := range sheets {
		var headings []string
		for _, c := range s.Columns[:len(s.Columns)-1] {
			headings = append(headings, c.Heading)
		}
		require.Equal(t, explained[s.Name], headings, s.Name)
	}
}

// TestExampleIsLeftOut: as it is it says nothing, so a sheet with nothing else is
// untouched; changed, nobody can know whether it is meant.
func TestExampleIsLeftOut(t *testing.T) {
	t.Parallel()
	old := newSeason(t).load()
	example := func(s *season, sheet string) {
		s.sheets[sheet] = s.sheets[sheet][:0]
		var head, row []workbook.Cell
		for _, l := range workbook.Sheets() {
			if l.Name == sheet {
				for i, c := range l.Columns {
					head = append(head, workbook.Cell{Text: c.Heading})
					row = append(row, workbook.Cell{Text: workbook.Example(sheet)[i].Text})
				}
			}
		}
		s.sheets[sheet] = append(s.sheets[sheet], head, row)
	}
	for _, l := range workbook.Sheets() {
		s := newSeason(t)
		example(s, l.Name)
		got, faults := workbook.Load(s.input(), &old.Merged)
		require.Empty(t, faults.Lines(), l.Name)
		require.Empty(t, got.Changes.Lines(), l.Name)
	}
	s := newSeason(t)
	example(s, "budget")
	s.set("budget", 2, "amount", "6000")
	_, faults := workbook.Load(s.input(), &old.Merged)
	require.Equal(t, []string{`season.xlsx, sheet budget, E2 (notes): found an example row whose amount was changed, expected the word "example" taken out of its notes, or the row deleted`}, faults.Lines())
}
