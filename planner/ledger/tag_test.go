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

// Two people carry the same spring to the same drawer: the second finds it gone from where it
// was, and it does not lie in the drawer twice.
func TestOneThingMovedTwice(t *testing.T) {
	t.Parallel()
	b, zone := demo(t)
	facts := ledger.FactsOf(b)
	tag := facts.Tags["SPF-58#1"]
	require.NotEmpty(t, tag.Lot)
	_, problems := ledger.Post(ledger.Input{
		Book: &planner.Book{History: planner.History{Lots: []planner.Lot{facts.Lots[tag.Lot]}, Tags: []planner.Tag{tag},
			Movements: []planner.Movement{{Code: uuid.NewString(), At: time.Date(2027, 6, 5, 12, 0, 0, 0, zone), Part: tag.Part, Lot: tag.Lot, Tag: tag.Code,
				From: "W-A4", To: "T-D05", Quantity: 1, Reason: "move"}}}},
		Catalogue: &facts, Zone: zone, Live: true,
		Opening: map[ledger.Key]units.Quantity{{Lot: tag.Lot, Tag: tag.Code, Place: "T-D05"}: 1},
	})
	require.Len(t, problems, 1)
	require.Contains(t, problems[0].Expected, "somebody has moved it")
}
