package ledger_test

import (
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// What an undo found stays where nobody counted, and goes with the undo where a count comes
// to lie between it and its record. A workbook's undone jobs can find something; a person's
// undo is refused instead.
func TestCountAndWhatAnUndoFound(t *testing.T) {
	t.Parallel()
	b, zone := demo(t)
	facts := ledger.FactsOf(b)
	var lot planner.Lot
	for _, l := range b.Lots {
		if l.Part == "CRW-10" {
			lot = l
		}
	}
	require.NotEmpty(t, lot.Code)
	lot.Order = "" // it is there
	noon := time.Date(2027, 6, 5, 12, 0, 0, 0, zone)
	undo, key := uuid.New(), ledger.Key{Lot: lot.Code, Place: "T-D08"}
	for name, c := range map[string]struct {
		place      string
		net, found units.Quantity
		want       units.Quantity // of T-D08, because of the undo
	}{
		"counted elsewhere":                        {place: "T-D03", net: 2, found: 2},
		"counted there: 2 given back, 1 was found": {place: "T-D08", net: 1, found: 1, want: 2 - 1},
		"that count is gone":                       {place: "T-D03", net: 2, found: 1, want: 1 - 2},
	} {
		count := planner.Count{Code: uuid.NewString(), At: noon, Person: "u1", Place: c.place, Part: "CRW-10", Counted: 5}
		out, problems := ledger.Post(ledger.Input{
			Book: &planner.Book{History: planner.History{Lots: []planner.Lot{lot}, Counts: []planner.Count{count}}}, Catalogue: &facts, Zone: zone, Live: true,
			Opening: map[ledger.Key]units.Quantity{key: 5, {Lot: lot.Code, Place: "T-D03"}: 5},
			Crossed: []ledger.Crossed{{Undo: undo, UndoSeq: 9, DoneSeq: 8, DoneAt: noon.Add(-time.Hour), UndoneAt: noon.Add(time.Hour),
				Key: key, Done: 2, Net: c.net, Found: c.found}},
		})
		require.Empty(t, problems, name)
		var got units.Quantity
		for _, e := range out.Entries {
			for _, m := range e.Moves {
				require.Equal(t, undo.String(), e.Reference, name)
				if m.To == "T-D08" {
					got += m.Quantity
				} else {
					got -= m.Quantity
				}
			}
		}
		require.Equal(t, c.want, got, name)
	}
}
