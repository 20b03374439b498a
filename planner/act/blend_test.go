package act_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/act"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

const ml = 1000 // ul

// On Saturday evening 148.9 ml of OIL-D22 and 580.4 ml of OIL-D16 are open in the locker. By hand
// from lots.csv and tags.csv: 100 ml at 59.00 GBP / 2000 ml and 40 ml at 88.50 GBP / 3000 ml are
// 2.95 + 1.18 GBP; B-111, opened on 2027-02-11 and good for 12 months, is past its date first.
// ASTM D7152 with volume fractions and the W of ASTM D341 (log10 of log10 of cSt + 0.7), reckoned
// outside this program: 20.317 cSt.
func TestBlend(t *testing.T) {
	t.Parallel()
	snap, _ := saturday(t)
	s, err := act.NewState(snap, act.When{})
	require.NoError(t, err)
	rows, cst, err := s.Blend(planner.Tag{Code: "BL-1", Part: "OIL-D22"}, []act.Poured{{Tag: "B-111", Quantity: 100 * ml}, {Tag: "B-109", Quantity: 40 * ml}}, "", "lot x")
	require.NoError(t, err)
	require.InDelta(t, 20.317277, cst, 1e-6)
	require.Len(t, rows.Lots, 1)
	lot := rows.Lots[0]
	require.Equal(t, "4.13 GBP", lot.Cost.String()+" "+lot.Currency)
	require.Equal(t, day.Of(2028, 2, 11), *lot.ExpiresOn)
	require.Equal(t, day.Of(2027, 6, 5), *lot.ReceivedOn)
	require.Equal(t, units.Quantity(140*ml), *lot.Quantity)
	require.Equal(t, []planner.Tag{{Code: "BL-1", Part: "OIL-D22", Lot: lot.Code, OpenedOn: lot.ReceivedOn}}, rows.Tags)
	require.Equal(t, []planner.Movement{
		{Part: "OIL-D22", Lot: "LT-0047", Tag: "B-111", From: "T-L01", To: ledger.OpenedKit, Quantity: 100 * ml},
		{Part: "OIL-D16", Lot: "LT-0046", Tag: "B-109", From: "T-L01", To: ledger.OpenedKit, Quantity: 40 * ml},
		{Part: "OIL-D22", Lot: lot.Code, Tag: "BL-1", From: ledger.OpenedKit, To: "T-L01", Quantity: 140 * ml},
	}, rows.Movements)
}

// A blend of a lot that is not valued, or of lots paid in two currencies, is not valued itself:
// half of its cost would look like all of it. One that was mixed yesterday came in yesterday.
func TestBlendIsValuedWholeOrNotAtAll(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func(*planner.Lot){
		"not valued":     func(l *planner.Lot) { l.Cost = nil },
		"two currencies": func(l *planner.Lot) { l.Currency = "CHF" },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			snap, _ := saturday(t)
			for i := range snap.Lots {
				if snap.Lots[i].Code == "LT-0046" {
					spoil(&snap.Lots[i])
				}
			}
			s, err := act.NewState(snap, act.When{On: day.Of(2027, 6, 4), Late: true})
			require.NoError(t, err)
			rows, _, err := s.Blend(planner.Tag{Code: "BL-1", Part: "OIL-D22"}, []act.Poured{{Tag: "B-111", Quantity: 100 * ml}, {Tag: "B-109", Quantity: 40 * ml}}, "", "lot x")
			require.NoError(t, err)
			require.Nil(t, rows.Lots[0].Cost)
			require.Empty(t, rows.Lots[0].Currency)
			require.Equal(t, day.Of(2027, 6, 4), *rows.Lots[0].ReceivedOn)
			require.Equal(t, day.Of(2027, 6, 4), *rows.Tags[0].OpenedOn)
		})
	}
}

func TestBlendRefuses(t *testing.T) {
	t.Parallel()
	snap, _ := saturday(t)
	s, err := act.NewState(snap, act.When{})
	require.NoError(t, err)
	two := []act.Poured{{Tag: "B-111", Quantity: 100 * ml}, {Tag: "B-109", Quantity: 40 * ml}}
	for _, c := range []struct {
		label, part, at string
		from            []act.Poured
		want            string
	}{
		{"BL-1", "OIL-D22", "", two[:1], "found 1 bottles, expected two or more to pour together"},
		{"B-110", "OIL-D22", "", two, "found tag B-110, expected a new one: it names something already"},
		{"", "OIL-D22", "", two, "found no tag, expected the code on the new bottle's label"},
		{"BL-1", "GRS-SIL", "", two, "found GRS-SIL, expected an oil in ml that the blend stands for"},
		{"BL-1", "OIL-D22", "T-L09", two, "no place T-L09; did you mean T-L0"},
		{"BL-1", "OIL-D22", "", []act.Poured{two[0], {Tag: "B-109", Quantity: 600 * ml}}, "B-109: found 600 ml, expected at most the 580.4 ml that the book has in it: weigh the bottle first"},
		{"BL-1", "OIL-D22", "", []act.Poured{two[0], {Tag: "B-109"}}, "B-109: found 0 ml, expected more than 0"},
		{"BL-1", "OIL-D22", "", []act.Poured{two[0], two[0]}, "found B-111 twice, expected one amount of it"},
		{"BL-1", "OIL-D22", "", []act.Poured{two[0], {Tag: "SPR-410#1", Quantity: 1}}, "expected bottles of oil"},
		{"BL-1", "OIL-D22", "", []act.Poured{two[0], {Tag: "B-101", Quantity: 1}}, "B-101 is nowhere in the book now"},
	} {
		rows, _, err := s.Blend(planner.Tag{Code: c.label, Part: c.part}, c.from, c.at, "lot x")
		require.ErrorContains(t, err, c.want)
		require.Empty(t, rows)
	}
	_, _, err = s.Blend(planner.Tag{Code: "BL-1", Part: "OIL-D22"}, []act.Poured{{Tag: "B-122", Quantity: 1000 * ml}, two[1]}, "", "lot x")
	require.ErrorIs(t, err, act.ErrDoubt, "more than a bottle holds")
}
