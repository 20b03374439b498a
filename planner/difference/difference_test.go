package difference_test

import (
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/difference"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

func at(clock string) time.Time {
	t, err := time.Parse("2006-01-02 15:04", "2027-06-"+clock)
	if err != nil {
		panic(err)
	}
	return t
}

func id(n byte) uuid.UUID { return uuid.UUID{n} }

func q(n int64) *units.Quantity { v := units.Quantity(n); return &v }

// season is a drawer in a truck and one in the workshop, a service that takes two wipers by
// chance and two washers always, and a kit with a ring inside.
func season() *planner.Snapshot {
	return &planner.Snapshot{
		Zone: time.UTC,
		Catalogue: planner.Catalogue{
			Parts: []planner.Part{{Code: "WIPER", Unit: units.PC}, {Code: "WASHER", Unit: units.PC}, {Code: "KIT", Unit: units.PC}, {Code: "RING", Unit: units.PC},
				{Code: "OIL", Unit: units.ML}},
			Places: []planner.Place{{Code: "truck"}, {Code: "T1", In: "truck"}, {Code: "T2", In: "truck"}, {Code: "shop"}, {Code: "W1", In: "shop"},
				{Code: "neighbour", Kind: "lent"}},
			Services:    []planner.Service{{Code: "LOW"}},
			KitContents: []planner.KitContent{{Kit: "KIT", Part: "RING", Quantity: 2}},
		},
		Plan: planner.Plan{
			Rounds:       []planner.Round{{Code: "ONE", FirstOn: day.Of(2027, 6, 3), LastOn: day.Of(2027, 6, 6)}},
			PlannedJobs:  []planner.PlannedJobs{{Round: "ONE", Service: "LOW", Jobs: 5}},
			ServiceLines: []planner.ServiceLine{{Service: "LOW", Part: "WASHER", Quantity: q(2)}},
		},
		Done: []planner.DoneJobs{{Round: "ONE", Service: "LOW", Jobs: 3}},
	}
}

func washers(entry byte, clock, fork string, n int64) stock.Moved {
	return stock.Moved{Entry: id(entry), At: at(clock), Kind: "job", Service: "LOW", Assembly: fork, Round: "ONE", Part: "WASHER", Lot: "L", From: "T1", To: "used", Quantity: units.Quantity(n)}
}

func diff(entry, count byte, clock, part, place string, n int64) stock.Moved {
	m := stock.Moved{Entry: id(entry), At: at(clock), Kind: "count", Part: part, Lot: "L", From: "count difference", To: place, Quantity: units.Quantity(n), Reference: id(count).String()}
	if n < 0 {
		m.From, m.To, m.Quantity = place, "count difference", units.Quantity(-n)
	}
	return m
}

// causes are those that the log speaks for, with why.
func causes(d difference.Difference) (out []string) {
	for _, l := range d.Likely {
		out = append(out, l.Cause+": "+l.Why)
	}
	return out
}

// What the log says of a difference. By hand, from the season above.
func TestLikely(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		moves   []stock.Moved
		counted []difference.Counted
		want    [][]string
	}{
		{"four washers missing are two jobs of five planned, three logged",
			[]stock.Moved{washers(1, "04 10:00", "F1", 2), diff(9, 8, "06 18:00", "WASHER", "T1", -4)}, nil,
			[][]string{{"job not logged: ONE planned 2 LOW more than are logged, 2 each", "other amount used: 1 of 1 jobs since took just the usual"}}},
		{"three are no whole number of jobs, six are more than were planned",
			[]stock.Moved{diff(9, 8, "06 18:00", "WASHER", "T1", -3), diff(10, 11, "06 18:01", "WASHER", "T1", -6)}, nil, [][]string{nil, nil}},
		{"two too many: the same fork twice within six hours; one of them was taken back in the other case",
			[]stock.Moved{washers(1, "04 10:00", "F1", 2), washers(2, "04 15:00", "F1", 2), diff(9, 8, "06 18:00", "WASHER", "T1", 2)}, nil,
			[][]string{{"logged twice: LOW on F1, 2027-06-04 10:00 and 15:00", "other amount used: 2 of 2 jobs since took just the usual"}}},
		{"a job of another drawer does not count",
			[]stock.Moved{washers(1, "04 10:00", "F1", 2), diff(9, 8, "06 18:00", "WASHER", "W1", 2)}, nil, [][]string{nil}},
		{"only jobs since the last count",
			[]stock.Moved{washers(1, "04 10:00", "F1", 3), washers(2, "05 10:00", "F2", 2), diff(9, 8, "06 18:00", "WASHER", "T1", 2)},
			[]difference.Counted{{Record: id(7), At: at("04 20:00"), Place: "truck", Part: "WASHER"}, {Record: id(8), At: at("06 18:00"), Place: "T1", Part: "WASHER"}},
			[][]string{{"other amount used: 1 of 1 jobs since took just the usual"}}},
		{"wrong drawer: the other way round the same day",
			[]stock.Moved{diff(9, 8, "06 18:00", "WIPER", "T1", -2), diff(11, 10, "06 18:10", "WIPER", "T2", 2)}, nil,
			[][]string{{"wrong drawer: 2 the other way at T2 the same day"}, {"wrong drawer: 2 the other way at T1 the same day"}}},
		{"a kit is missing and its ring turns up",
			[]stock.Moved{diff(9, 8, "06 18:00", "KIT", "T1", -1), diff(11, 10, "06 18:10", "RING", "T1", 2)}, nil,
			[][]string{{"kit robbed: 2 of RING the other way on 2027-06-06"}, {"kit robbed: 1 of KIT the other way on 2027-06-06"}}},
		{"lent, received and brought since",
			[]stock.Moved{
				{Entry: id(1), At: at("02 09:00"), Kind: "move", Part: "WIPER", From: "W1", To: "T1", Quantity: 20},
				{Entry: id(2), At: at("03 09:00"), Kind: "receipt", Part: "WIPER", From: "supplier", To: "T1", Quantity: 10},
				{Entry: id(3), At: at("04 09:00"), Kind: "lend", Part: "WIPER", From: "T1", To: "neighbour", Quantity: 2},
				diff(9, 8, "06 18:00", "WIPER", "T1", -2)}, nil,
			[][]string{{"lent: 2 from T1 to neighbour on 2027-06-04", "received short: 10 from supplier to T1 on 2027-06-03", "pack opened at base: 20 from W1 to T1 on 2027-06-02"}}},
		{"oil is poured by hand", []stock.Moved{diff(9, 8, "06 18:00", "OIL", "T1", -60_000)}, nil, [][]string{{"spill: it is poured by hand"}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			found, err := difference.Find(difference.Input{Snapshot: season(), Moves: c.moves, Counted: c.counted})
			require.NoError(t, err)
			require.Len(t, found, len(c.want))
			for i, d := range found {
				require.Equal(t, c.want[i], causes(d))
			}
		})
	}
}

// What cancels is no difference: a count taken back, a job undone over a count, a late
// record that a count already held.
func TestCancels(t *testing.T) {
	t.Parallel()
	count := difference.Counted{Record: id(8), Code: "C-1", At: at("05 18:00"), Place: "T1", Part: "WASHER"}
	back := func(entry, of byte, m stock.Moved) stock.Moved {
		m.Entry, m.Undoes, m.Undo, m.At = id(entry), id(of), true, m.At.Add(time.Hour)
		m.From, m.To, m.Reference = m.To, m.From, ""
		return m
	}
	posted := diff(9, 8, "05 18:00", "WASHER", "T1", 2)
	undone := stock.Moved{Entry: id(12), At: at("06 09:00"), Kind: "job", Undo: true, Undoes: id(1), Service: "LOW", Part: "WASHER", Lot: "L", From: "used", To: "count difference", Quantity: 2}
	late := diff(13, 8, "05 18:00", "WASHER", "T1", -2)
	late.Reference = "C-1"
	for name, moves := range map[string][]stock.Moved{
		"the count taken back":         {posted, back(10, 9, posted)},
		"the job undone over a count":  {washers(1, "05 17:00", "F1", 2), posted, undone},
		"a late job that it held":      {posted, late},
		"moved, nothing of difference": {washers(1, "05 17:00", "F1", 2)},
	} {
		found, err := difference.Find(difference.Input{Snapshot: season(), Moves: moves, Counted: []difference.Counted{count}})
		require.NoError(t, err)
		require.Empty(t, found, name)
	}
	found, err := difference.Find(difference.Input{Snapshot: season(), Moves: []stock.Moved{posted}, Counted: []difference.Counted{count}})
	require.NoError(t, err)
	require.Len(t, found, 1)
	require.Equal(t, "C-1", found[0].Code)
	require.Equal(t, day.Of(2027, 6, 5), found[0].On)
}

// A reason is only asked for beyond about 10 ml (common practice); pieces always.
func TestSmall(t *testing.T) {
	t.Parallel()
	for n, want := range map[int64]bool{-10_000: true, 10_000: true, -10_001: false} {
		found, err := difference.Find(difference.Input{Snapshot: season(), Moves: []stock.Moved{diff(9, 8, "06 18:00", "OIL", "T1", n)}})
		require.NoError(t, err)
		require.Equal(t, want, found[0].Small, n)
		require.Equal(t, !want, found[0].Open())
	}
}

func TestCauseAndName(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{"spill": "spill", "6": "spill", "1": "job not logged", "10": "count slip"} {
		got, err := difference.Cause(text)
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
	for text, want := range map[string]string{"spil": "did you mean spill?", "Dunja": "expected one of job not logged", "0": "no usual cause 0", "11": "no usual cause 11"} {
		_, err := difference.Cause(text)
		require.ErrorContains(t, err, want)
	}
	all := []difference.Difference{
		{Record: id(1), Code: "C-1", Part: planner.Part{Code: "WIPER"}, Reason: "spill"}, {Record: id(2), Part: planner.Part{Code: "WIPER"}},
		{Record: id(3), Part: planner.Part{Code: "OIL"}, Tag: "B-1"}, {Record: id(4), Part: planner.Part{Code: "OIL"}, Tag: "B-2"}}
	for name, want := range map[string]uuid.UUID{"C-1": id(1), "WIPER": id(2), id(2).String(): id(2), "B-1": id(3), "OIL": id(4)} {
		d, err := difference.Named(all, name)
		require.NoError(t, err)
		require.Equal(t, want, d.Record, name)
	}
	_, err := difference.Named(all, "RING")
	require.ErrorContains(t, err, "found no difference RING")
}
